"""Foils where the fittings put them: in one line that follows the garland, about its crown."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from service.estimating import (
    FOIL_HEIGHTS_M,
    FOIL_NARROW,
    FOILS_APART_M,
    FoilList,
    Point,
    PriceBook,
    sort_foils,
)
from service.workshop.scene.grown import Grown
from service.workshop.scene.values import Foil, FoilSort

_BEFORE_M = 0.03
_STEP_M = 0.02
_ABOUT = 15
_TRIES, _LOOKED_BACK = 4, 3

_SHARES = (1.0, 0.9, 0.8, 0.7, 0.6, 0.5, 0.42, 0.35)
"""Foils that do not fit their garland are drawn so much smaller, the first that does."""

_TALLEST, _WIDEST = 1.5, 0.95
"""No foil is taller than that, in girths; nor wider, where they hang one under the other."""

_ON_IT = 0.8
"""So much of the half of an outer foil lies on its garland at least."""

_ROUND = 0.4
"""On a closed line, foils go no farther than so much of it to either side."""

_UPRIGHT = 4.0
"""A stretch that rises so many times as steeply as it goes aside is read from its top down."""


@dataclass(frozen=True, kw_only=True, slots=True)
class _One:
    """One foil of the line, by its own width and height [m]."""

    sort: FoilSort
    text: str
    width_m: float
    height_m: float

    def clear_of(self, other: _One, aside: float, above: float) -> bool:
        """Whether middles so far apart [m] keep the two from touching."""
        wide = (self.width_m + other.width_m) / 2 + FOILS_APART_M
        high = (self.height_m + other.height_m) / 2 + FOILS_APART_M
        return abs(aside) >= wide or abs(above) >= high


def foils_on(
    grown: Grown, wanted: tuple[str, ...], at_m: float, book: PriceBook, hex_value: str
) -> Iterator[Foil]:
    """The foils of a brief on the piece that carries them, in its path's coordinates.

    Their middle is `at_m` along the path, which is where the fittings say.
    """
    found = sort_foils(wanted, book.fittings.foils.shape_names)
    line = _Line(grown, at_m)
    for share in _SHARES:
        foils = [*_in_line(found, share, grown.girth_m, upright=line.upright)]
        at = line.places(foils)
        if at is not None:
            break
    else:
        at = line.crowded(len(foils))
    for foil, (x, y) in zip(foils, at, strict=True):
        half, up = foil.width_m / 2, foil.height_m / 2
        z = grown.front(x - half, y - up, x + half, y + up) + _BEFORE_M
        yield Foil(
            sort=foil.sort,
            text=foil.text,
            centre=Point(x=x, y=y, z=z),
            width_m=foil.width_m,
            height_m=foil.height_m,
            hex=hex_value,
        )


def _in_line(found: FoilList, share: float, girth_m: float, *, upright: bool) -> Iterator[_One]:
    """As they are read: shapes at both ends in turn, and between them digits, then words."""
    inner = [(FoilSort.DIGIT, text) for text in found.digits]
    inner += [(FoilSort.LETTER, text) for text in "".join(found.words).upper()]
    shapes = [(FoilSort.SHAPE, text) for text in found.shapes]
    order = [*reversed(shapes[::2]), *inner, *shapes[1::2]] if inner else shapes
    for sort, text in order:
        narrow = 1.0 if sort is FoilSort.SHAPE else FOIL_NARROW
        high = min(FOIL_HEIGHTS_M[sort.value] * share, _TALLEST * girth_m)
        if upright:
            high = min(high, _WIDEST * girth_m / narrow)
        yield _One(sort=sort, text=text, width_m=high * narrow, height_m=high)


class _Line:
    """The stretch that carries them, as places (x, y) every `_STEP_M` along it in reading order.

    It is read from left to right, from the top down where it is `upright`.
    """

    def __init__(self, grown: Grown, at_m: float) -> None:
        line = grown.line_at(at_m)
        last = max(2, round(line.run.length_m / _STEP_M))
        step = line.run.length_m / last
        ties = line.ties([line.run.start_m + step * i for i in range(last + 1)])
        self._points = [(float(tie.at[0]), float(tie.at[1])) for tie in ties]
        self._middle = min(round((at_m - line.run.start_m) / step), last)
        self._closed = line.run.closed
        self._floor = -grown.stand.lift_m
        before, after = max(self._middle - _ABOUT, 0), min(self._middle + _ABOUT, last)
        aside, rise = (
            b - a for a, b in zip(self._points[before], self._points[after], strict=True)
        )
        self.upright = abs(rise) > _UPRIGHT * abs(aside)
        if rise > 0 if self.upright else aside < 0:
            self._points.reverse()
            self._middle = last - self._middle

    def places(self, foils: Sequence[_One]) -> list[tuple[float, float]] | None:
        """A middle for each, on the garland and clear of the others; None where it is too short."""
        least, most = self._ends(foils)
        first = max(self._middle, least)
        found: list[int] | None = None
        for _ in range(_TRIES):
            walked = self._walked(foils, first, most) or self._walked(foils, least, most)
            if walked is None:
                break
            found = walked
            to_middle = self._middle - _middle_of(foils, found)
            first = max(least, found[0] + min(to_middle, most - found[-1]))
        if found is None:
            return None
        return [self._points[at % len(self._points)] for at in found]

    def crowded(self, number: int) -> list[tuple[float, float]]:
        """Places spread over the whole stretch, for more than go side by side."""
        last = len(self._points) - 1
        return [self._points[round(last * (i + 0.5) / number)] for i in range(number)]

    def _ends(self, foils: Sequence[_One]) -> tuple[int, int]:
        """From where to where middles may be: the outer ones have to lie on the garland."""
        last = len(self._points) - 1
        if self._closed:
            return self._middle - round(_ROUND * last), self._middle + round(_ROUND * last)
        first_m, last_m = (
            _ON_IT * (foil.height_m if self.upright else foil.width_m) / 2
            for foil in (foils[0], foils[-1])
        )
        return round(first_m / _STEP_M), last - round(last_m / _STEP_M)

    def _walked(self, foils: Sequence[_One], first: int, most: int) -> list[int] | None:
        """One after another, each as soon as it is clear of those before it."""
        found: list[int] = []
        at = first
        for index, foil in enumerate(foils):
            before = [*zip(foils[:index], found, strict=True)][-_LOOKED_BACK:]
            while self._low(foil, at) or any(
                not self._clear(foil, at, other, there) for other, there in before
            ):
                at += 1
                if at > most:
                    return None
            found.append(at)
        return found if at <= most else None

    def _low(self, foil: _One, at: int) -> bool:
        return self._points[at % len(self._points)][1] - foil.height_m / 2 < self._floor

    def _clear(self, foil: _One, at: int, other: _One, there: int) -> bool:
        (x, y), (far_x, far_y) = (self._points[i % len(self._points)] for i in (at, there))
        return foil.clear_of(other, x - far_x, y - far_y)


def _middle_of(foils: Sequence[_One], found: Sequence[int]) -> int:
    """The middle of what stands between the shapes, or of the shapes where they are alone."""
    spots = [*zip(foils, found, strict=True)]
    inner = [at for foil, at in spots if foil.sort is not FoilSort.SHAPE] or found
    return (inner[0] + inner[-1]) // 2
