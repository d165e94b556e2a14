"""The brief under construction, as data."""

from collections.abc import Mapping
from dataclasses import dataclass, fields
from datetime import date, time
from decimal import Decimal
from typing import Any

from bot.dialogue.stored import known_fields


@dataclass(frozen=True, kw_only=True)
class Piece:
    """One thing to build, as far as it is known. Measures in metres.

    `support` is a support of the wire contract, or None while nobody has said what carries it.
    A staircase has its slope as length, and its run as width and rise as height where those were
    told. `fullness`, `placement`, `coverage` and `pattern` are None for what is usual.
    """

    support: str | None = None
    count: int = 1
    uncounted: bool = False  # several, but nobody has said how many
    width_m: float | None = None
    height_m: float | None = None
    length_m: float | None = None
    assumed: bool = False  # the client did not know the size and agreed to a usual one
    fullness: str | None = None
    placement: str | None = None
    coverage: float | None = None
    pattern: str | None = None


@dataclass(frozen=True, kw_only=True)
class Accent:
    """What dresses the pieces: its kind as on the wire, how many, and a sign's words.

    `each` tells whether it goes on every piece, or on the first alone.
    """

    kind: str
    count: int | None = None
    words: str | None = None
    each: bool = False


@dataclass(frozen=True, kw_only=True)
class Draft:
    """What is known of the event. None and () mean unknown. Times are local to the shop."""

    pieces: tuple[Piece, ...] = ()
    fullness: str | None = None
    colours: tuple[str, ...] = ()
    unwanted: tuple[str, ...] = ()  # colours that must not be in it
    accents: tuple[Accent, ...] = ()
    floating: int | None = None  # balloons on helium; 0 while nobody has said how many
    occasion: str | None = None
    event_date: date | None = None
    event_month: date | None = None  # the first of the month, while the day is open
    start_time: time | None = None
    end_time: time | None = None
    guests: int | None = None
    setting: str | None = None
    place: str | None = None
    postal_code: str | None = None
    budget_min: Decimal | None = None
    budget_max: Decimal | None = None
    foils: tuple[str, ...] = ()
    words: str = ""  # the client's own words, for the owner

    def to_dict(self) -> dict[str, Any]:
        """The draft as JSON values."""
        return plain_fields(self)

    @classmethod
    def from_dict(cls, stored: Mapping[str, Any]) -> "Draft":
        """The draft that `to_dict` gave; what is unknown or damaged is left out."""
        return cls(**known_fields(cls, stored))


def plain_fields(value: Any) -> dict[str, Any]:
    """The fields of `value` as JSON values."""
    return {one.name: _plain(getattr(value, one.name)) for one in fields(value)}


def _plain(value: Any) -> Any:
    if isinstance(value, Draft | Piece | Accent):
        return plain_fields(value)
    if isinstance(value, tuple):
        return [_plain(one) for one in value]
    if isinstance(value, date | time):
        return value.isoformat()
    return str(value) if isinstance(value, Decimal) else value
