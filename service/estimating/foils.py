"""Foils: how many digits, letters and shapes a brief's list comes to."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Literal

from service.estimating.book import FoilKind, Foils

Sort = Literal["digit", "letter", "shape"]


@dataclass(frozen=True, kw_only=True, slots=True)
class FoilCount:
    """So many foils of one sort, and what each takes."""

    sort: Sort
    count: int
    kind: FoilKind


def count_foils(wanted: Iterable[str], foils: Foils) -> tuple[FoilCount, ...]:
    """Foils by sort: "5" is a digit, "LOVE" four letters, "star" a shape that the book names."""
    totals: dict[Sort, int] = {"digit": 0, "letter": 0, "shape": 0}
    for name in wanted:
        for sort, number in _pieces_of(name.strip(), foils).items():
            totals[sort] += number
    kinds: Mapping[Sort, FoilKind] = {
        "digit": foils.digit,
        "letter": foils.letter,
        "shape": foils.shape,
    }
    return tuple(
        FoilCount(sort=sort, count=number, kind=kinds[sort])
        for sort, number in totals.items()
        if number
    )


def _pieces_of(name: str, foils: Foils) -> Mapping[Sort, int]:
    if name.lower() in foils.shape_names:
        return {"shape": 1}
    digits = sum(character.isdigit() for character in name)
    letters = sum(character.isalpha() for character in name)
    # A sign such as "&" or a heart drawn as a character is a foil too: it counts as a shape.
    return {"digit": digits, "letter": letters} if digits or letters else {"shape": 1}
