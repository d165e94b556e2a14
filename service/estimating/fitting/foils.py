"""Foils: how many digits, letters and shapes a brief's list comes to, and where they go."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from itertools import groupby

from service.estimating.answer import Fitting
from service.estimating.book import FoilKind, Foils
from service.estimating.brief import Piece
from service.estimating.fitting.garland import Garland, crown, crown_at, rises_straight
from service.estimating.fitting.words import sentence


@dataclass(frozen=True, kw_only=True, slots=True)
class FoilList:
    """The foils of a list by sort, each sort in the order in which it was named."""

    digits: tuple[str, ...]
    words: tuple[str, ...]
    shapes: tuple[str, ...]


def spelled(wanted: Iterable[str]) -> Iterator[str]:
    """Foils as they are read: "5", "0" is "50", and letters named one by one are a word."""
    for single, group in groupby(map(str.strip, wanted), key=_single):
        if single:
            yield "".join(group)
        else:
            yield from group


def _single(name: str) -> str:
    if len(name) != 1:
        return ""
    return "digit" if name.isdecimal() else "letter" * name.isalpha()


def sort_foils(wanted: Iterable[str], shape_names: tuple[str, ...]) -> FoilList:
    """Foils by sort: "5" is a digit, "LOVE" four letters, "star" a shape that the book names.

    Letters that are named one by one are a word too.
    """
    digits: list[str] = []
    words: list[str] = []
    shapes: list[str] = []
    for name in spelled(wanted):
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
    found: FoilList, index: int, piece: Piece, garland: Garland, book: Foils
) -> Iterator[Fitting]:
    """The foils, all in one line on the piece at `index`, filled with air by hand pump."""
    spot, at_m = crown(garland), crown_at(garland)
    if piece.count > 1:
        spot = f"on the first of the {piece.count}, {spot}"
    line = _Line(found=found, spot=spot, upright=rises_straight(garland))
    for sort, number, kind, place in (
        ("digit", len(found.digits), book.digit, line.digits()),
        ("letter", sum(map(len, found.words)), book.letter, line.words()),
        ("shape", len(found.shapes), book.shape, line.shapes()),
    ):
        if number:
            yield _foil(sort, number, kind, place, index, at_m)


@dataclass(frozen=True, kw_only=True, slots=True)
class _Line:
    """Foils in one line that follows the garland: digits, words, and shapes at both ends."""

    found: FoilList
    spot: str
    upright: bool

    def digits(self) -> str:
        return self._row(f"{self.spot}: {_quoted(self.found.digits)}", self.found.digits)

    def words(self) -> str:
        place = f"{self._after() if self.found.digits else self.spot}: {_quoted(self.found.words)}"
        return self._row(place, "".join(self.found.words))

    def shapes(self) -> str:
        shapes, names = self.found.shapes, ", ".join(self.found.shapes)
        if not (self.found.digits or self.found.words):
            return self._row(f"{self.spot}: {names}", shapes)
        others = "digits" if self.found.digits else "letters"
        if len(shapes) == 1:
            return f"{'above' if self.upright else 'to the left of'} the {others}: {names}"
        sides = "above and under them" if self.upright else "left and right"
        return f"at both ends of the line, {sides} in turn: {names}"

    def _after(self) -> str:
        return "under the digits" if self.upright else "to the right of the digits"

    def _row(self, place: str, members: tuple[str, ...] | str) -> str:
        order = "one under the other" if self.upright else "along the garland from left to right"
        return f"{place}, {order}" if len(members) > 1 else place


def _quoted(names: Iterable[str]) -> str:
    return ", ".join(f"“{name}”" for name in names)


def _foil(sort: str, count: int, kind: FoilKind, place: str, index: int, at_m: float) -> Fitting:
    price = kind.price + kind.mount_price
    return Fitting(
        code="foils",
        label=f"foil {sort}, air-filled",
        piece=index,
        count=count,
        unit="foil",
        unit_cost=price,
        cost=count * price,
        seconds=count * kind.seconds,
        place=sentence(place),
        mount=sentence(kind.mount),
        at_m=(round(at_m, 3),),
    )
