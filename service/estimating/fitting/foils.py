"""Foils: how many digits, letters and shapes a brief's list comes to, and where they go."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from service.estimating.answer import Fitting
from service.estimating.book import FoilKind, Foils
from service.estimating.brief import Piece
from service.estimating.fitting.garland import Garland, crown, crown_at
from service.estimating.fitting.words import sentence

_LEFT_TO_RIGHT = "side by side from left to right"


@dataclass(frozen=True, kw_only=True, slots=True)
class FoilList:
    """The foils of a list by sort, each sort in the order in which it was named."""

    digits: tuple[str, ...]
    words: tuple[str, ...]
    shapes: tuple[str, ...]


def sort_foils(wanted: Iterable[str], shape_names: tuple[str, ...]) -> FoilList:
    """Foils by sort: "5" is a digit, "LOVE" four letters, "star" a shape that the book names."""
    digits: list[str] = []
    words: list[str] = []
    shapes: list[str] = []
    for name in map(str.strip, wanted):
        word = "".join(filter(str.isalpha, name))
        numbers = [character for character in name if character.isdigit()]
        # A sign such as "&" or a heart drawn as a character is a foil too: it counts as a shape.
        if name.lower() in shape_names or not (word or numbers):
            shapes.append(name)
            continue
        digits += numbers
        if word:
            words.append(word)
    return FoilList(digits=tuple(digits), words=tuple(words), shapes=tuple(shapes))


def foils(
    wanted: tuple[str, ...], piece: Piece, garland: Garland, book: Foils
) -> Iterator[Fitting]:
    """The foils, all on the brief's first piece, filled with air by hand pump."""
    if not wanted:
        return
    found = sort_foils(wanted, book.shape_names)
    spot, at_m = crown(garland), crown_at(garland)
    if piece.count > 1:
        spot = f"on the first of the {piece.count}, {spot}"
    if found.digits:
        place = f"{spot}: {_quoted(found.digits)}"
        yield _foil("digit", len(found.digits), book.digit, _row(place, found.digits), at_m)
    if found.words:
        place = _place_of_words(found, spot)
        yield _foil("letter", sum(map(len, found.words)), book.letter, place, at_m)
    if found.shapes:
        place = _place_of_shapes(found, spot)
        yield _foil("shape", len(found.shapes), book.shape, place, at_m)


def _place_of_words(found: FoilList, spot: str) -> str:
    above = "under the digits" if found.digits else spot
    place = f"{above}: {_quoted(found.words)}"
    if len(found.words) > 1:
        return f"{place}, one under the other, each from left to right"
    return _row(place, found.words[0])


def _place_of_shapes(found: FoilList, spot: str) -> str:
    names = ", ".join(found.shapes)
    if not (found.digits or found.words):
        return _row(f"{spot}: {names}", found.shapes)
    others = "digits" if found.digits else "letters"
    if len(found.shapes) == 1:
        return f"to the left of the {others}: {names}"
    return f"beside the {others}, left and right in turn: {names}"


def _row(place: str, members: tuple[str, ...] | str) -> str:
    return f"{place}, {_LEFT_TO_RIGHT}" if len(members) > 1 else place


def _quoted(names: Iterable[str]) -> str:
    return ", ".join(f"“{name}”" for name in names)


def _foil(sort: str, count: int, kind: FoilKind, place: str, at_m: float) -> Fitting:
    price = kind.price + kind.mount_price
    return Fitting(
        code="foils",
        label=f"foil {sort}, air-filled",
        piece=0,
        count=count,
        unit="foil",
        unit_cost=price,
        cost=count * price,
        seconds=count * kind.seconds,
        place=sentence(place),
        mount=sentence(kind.mount),
        at_m=(round(at_m, 3),),
    )
