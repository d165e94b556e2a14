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
    if not rows:
        return _hung([*_stacked([shapes], grown)], grown, hex_value) if found.shapes else ()
    return _hung([*_beside(shapes, rows, grown), *_stacked(rows, grown)], grown, hex_value)


_Place = tuple[_Row, str, float, float]
"""A foil of a row: its text, and where its middle is: x, y [m]."""


def _figures(sort: FoilSort, texts: Sequence[str], height_m: float) -> _Row:
    return _Row(sort=sort, texts=texts, each_m=height_m * _NARROW, height_m=height_m)


def _stacked(rows: Sequence[_Row], grown: Grown) -> Iterator[_Place]:
    """The first row at the crown, the others under it, each from left to right."""
    middle, y = grown.crown().x, _first_y(rows, grown)
    for row, after in zip(rows, (*rows[1:], None), strict=True):
        x = middle - (row.width_m - row.each_m) / 2
        for text in row.texts:
            yield row, text, x, y
            x += row.each_m + _BETWEEN_M
        if after is not None:
            y -= (row.height_m + after.height_m) / 2 + _BETWEEN_M


def _first_y(rows: Sequence[_Row], grown: Grown) -> float:
    """How high the first row is: no higher than the garland's edge, and all clear of the floor."""
    crown, half = grown.crown().y, rows[0].height_m / 2
    under = sum(row.height_m + _BETWEEN_M for row in rows[1:])
    lowest = -grown.stand.lift_m + under + half + _BETWEEN_M
    return max(min(crown, crown + grown.girth_m / 2 - half), lowest)


def _beside(shapes: _Row, rows: Sequence[_Row], grown: Grown) -> Iterator[_Place]:
    """Left and right of the first row in turn."""
    y = _first_y(rows, grown)
    for index, text in enumerate(shapes.texts):
        side, out = (-1 if index % 2 == 0 else 1), index // 2 + 0.5
        away = rows[0].width_m / 2 + out * (shapes.each_m + _BETWEEN_M)
        yield shapes, text, grown.crown().x + side * away, y


def _hung(places: Sequence[_Place], grown: Grown, hex_value: str) -> tuple[Foil, ...]:
    """Flat before all the balloons that are behind any of them."""
    z = _BEFORE_M + grown.front(
        min(x - row.each_m / 2 for row, _, x, _ in places),
        min(y - row.height_m / 2 for row, _, _, y in places),
        max(x + row.each_m / 2 for row, _, x, _ in places),
        max(y + row.height_m / 2 for row, _, _, y in places),
    )
    return tuple(
        Foil(
            sort=row.sort,
            text=text,
            centre=Point(x=x, y=y, z=z),
            width_m=row.each_m,
            height_m=row.height_m,
            hex=hex_value,
        )
        for row, text, x, y in places
    )
