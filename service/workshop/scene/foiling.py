"""Foils where the fittings put them: digits at the crown, words under them, shapes beside."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from service.estimating import METRES_PER_INCH, Point, PriceBook, sort_foils
from service.workshop.scene.grown import Grown
from service.workshop.scene.values import Foil, FoilSort

_DRAWN_IN = 0.88
"""A foil filled with air is so much of its flat size. Common practice, no source."""

_DIGIT_M = 34 * METRES_PER_INCH * _DRAWN_IN
_LETTER_M = 16 * METRES_PER_INCH * _DRAWN_IN
_SHAPE_M = 18 * METRES_PER_INCH * _DRAWN_IN
"""The sizes that are usual on a garland, by their flat height. Common practice, no source."""

_NARROW = 0.64
"""A digit or letter is about so much of its height across."""

_BEFORE_M = 0.03
_BETWEEN_M = 0.05


@dataclass(frozen=True, kw_only=True, slots=True)
class _Row:
    """Foils side by side: what sort they are, and the width and height of each [m]."""

    sort: FoilSort
    texts: Sequence[str]
    each_m: float
    height_m: float

    @property
    def width_m(self) -> float:
        """From the first one's left to the last one's right [m]."""
        return len(self.texts) * (self.each_m + _BETWEEN_M) - _BETWEEN_M


def foils_on(
    grown: Grown, wanted: tuple[str, ...], book: PriceBook, hex_value: str
) -> tuple[Foil, ...]:
    """The foils of a brief on its first piece, in its path's coordinates."""
    found = sort_foils(wanted, book.fittings.foils.shape_names)
    rows = [_figures(FoilSort.DIGIT, found.digits, _DIGIT_M)] if found.digits else []
    rows += [_figures(FoilSort.LETTER, word.upper(), _LETTER_M) for word in found.words]
    shapes = _Row(sort=FoilSort.SHAPE, texts=found.shapes, each_m=_SHAPE_M, height_m=_SHAPE_M)
    if found.shapes and not rows:
        rows, shapes = [shapes], _Row(sort=FoilSort.SHAPE, texts=(), each_m=0.0, height_m=0.0)
    if not rows:
        return ()
    return tuple(_hung(rows, shapes, grown, hex_value))


def _figures(sort: FoilSort, texts: Sequence[str], height_m: float) -> _Row:
    return _Row(sort=sort, texts=texts, each_m=height_m * _NARROW, height_m=height_m)


def _hung(rows: Sequence[_Row], beside: _Row, grown: Grown, hex_value: str) -> Iterator[Foil]:
    """The first row at the crown, the others under it, and shapes left and right in turn."""
    crown = grown.crown()
    under = sum(row.height_m + _BETWEEN_M for row in rows[1:])
    floor = -grown.stand.lift_m
    high = rows[0].height_m / 2
    # No higher than the garland's own edge, and clear of the floor.
    middle = min(crown.y, crown.y + grown.girth_m / 2 - high)
    middle = max(middle, floor + under + high + _BETWEEN_M)
    width = max(row.width_m for row in rows)
    reach = width / 2 + (beside.each_m if beside.texts else 0.0)
    z = _BEFORE_M + grown.front(
        crown.x - reach, middle - high - under, crown.x + reach, middle + high
    )
    for index, text in enumerate(beside.texts):
        side, out = (-1 if index % 2 == 0 else 1), index // 2
        x = crown.x + side * (
            rows[0].width_m / 2 + beside.each_m / 2 + _BETWEEN_M + out * beside.each_m
        )
        yield _foil(beside, text, Point(x=x, y=middle, z=z), hex_value)
    top = middle + high
    for row in rows:
        left = crown.x - row.width_m / 2
        for index, text in enumerate(row.texts):
            x = left + row.each_m / 2 + index * (row.each_m + _BETWEEN_M)
            yield _foil(row, text, Point(x=x, y=top - row.height_m / 2, z=z), hex_value)
        top -= row.height_m + _BETWEEN_M


def _foil(row: _Row, text: str, centre: Point, hex_value: str) -> Foil:
    return Foil(
        sort=row.sort,
        text=text,
        centre=centre,
        width_m=row.each_m,
        height_m=row.height_m,
        hex=hex_value,
    )
