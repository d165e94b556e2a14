"""What an estimate had said of a job before it was done."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from decimal import Decimal


@dataclass(frozen=True, kw_only=True, slots=True)
class Range:
    """P10, P50 and P90 of a job's cost, overhead left out."""

    low: Decimal
    likely: Decimal
    high: Decimal


@dataclass(frozen=True, kw_only=True, slots=True)
class Told:
    """What was said of a job when it was priced.

    `quoted` is what its quote went by and `by_book` what the price book alone would have said.
    `hours` [h] are the quote's, of all hands by task, but "drive" is by the clock. `calibration`
    names what the quote went by besides the book.
    """

    quoted: Range
    by_book: Range
    hours: Mapping[str, float] = field(default_factory=dict)
    calibration: str | None = None
