"""A piece with what dresses it and its dimension lines, as it takes up room in the picture."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace

from service.workshop.scene.grown import Grown
from service.workshop.scene.looking import Thing, reaching
from service.workshop.scene.stands.stand import BELOW_M
from service.workshop.scene.values import Direction, Foil, Measure

_CLEAR_M, _UNDER_M, _UNDER_SHARE = 0.05, 0.17, 0.45
_WRITTEN_M = 0.15


@dataclass(frozen=True, kw_only=True, slots=True)
class Shown:
    """One such piece and its dressing; only the first copy has foils and, if `measured`, lines.

    `reach_m` is how far to the left and the right it comes without dimension lines, `lowest_m`
    how far down its balloons and their dressing come [m].
    """

    grown: Grown
    dressing: tuple[Thing, ...]
    measured: bool = True
    reach_m: tuple[float, float] = field(init=False)
    lowest_m: float = field(init=False)

    def __post_init__(self) -> None:
        half = {size: diameter / 2 for size, diameter in self.grown.sized.items()}
        balls = [(spot.x, half[spot.size_class]) for spot in self.grown.spots]
        lows = [spot.y - half[spot.size_class] for spot in self.grown.spots]
        lows += [at.y - r for thing in self.dressing for at, r in reaching(thing)]
        object.__setattr__(self, "lowest_m", min(lows))
        stand = self.grown.stand
        solid = (*stand.panels, *stand.rods, *self.dressing)
        object.__setattr__(self, "reach_m", _sides([*balls, *_across(solid)]))

    def things(self, copy: int, label_m: float) -> Iterator[Thing]:
        """All that belongs to one copy besides balloons; `label_m` wide is what a line says."""
        yield from self.grown.stand.panels
        yield from self.grown.stand.rods
        for thing in self.dressing:
            if copy == 0 or not isinstance(thing, Foil):
                yield thing
        yield from self._lines(copy, label_m)

    def sides(self, copy: int, label_m: float) -> tuple[float, float]:
        """How far to the left and the right one copy comes [m], labels included."""
        labels = [
            (x, label_m) for line in self._lines(copy, label_m) for x in (line.start.x, line.end.x)
        ]
        return _sides([*((x, 0.0) for x in self.reach_m), *labels])

    def rise(self, copy: int, label_m: float) -> tuple[float, float]:
        """How far down and how far up from the floor one copy comes [m], labels included."""
        half = {size: diameter / 2 for size, diameter in self.grown.sized.items()}
        stand = self.grown.stand
        spans = [(spot.y, half[spot.size_class]) for spot in self.grown.spots]
        spans += [
            (at.y, r)
            for thing in (*stand.panels, *stand.rods, *self.dressing)
            for at, r in reaching(thing)
        ]
        for line in self._lines(copy, label_m):
            spans += [(line.start.y, _WRITTEN_M), (line.end.y, _WRITTEN_M)]
        low, high = _sides(spans)
        return low + stand.lift_m, high + stand.lift_m

    def _lines(self, copy: int, label_m: float) -> Iterator[Measure]:
        if copy == 0 and self.measured:
            yield from (self._beside(each, label_m) for each in self.grown.stand.measures)

    def _beside(self, line: Measure, label_m: float) -> Measure:
        """A line on its own side of the garland, so far off that its label is clear.

        An upright one on the left where the path begins, else on the right; one that hangs in
        the air under all that hangs down.
        """
        if line.direction in (Direction.HEIGHT, Direction.DROP):
            left, right = self.reach_m
            away = label_m + _CLEAR_M
            x = right + away if line.start.x > 0 else left - away
            return replace(line, start=replace(line.start, x=x), end=replace(line.end, x=x))
        if line.start.y <= 0:
            y = line.start.y - max(0.0, _UNDER_SHARE * label_m - BELOW_M)
            return replace(line, start=replace(line.start, y=y), end=replace(line.end, y=y))
        y = self.lowest_m - max(_UNDER_M, _UNDER_SHARE * label_m)
        return replace(line, start=replace(line.start, y=y), end=replace(line.end, y=y))


def _across(things: Sequence[Thing]) -> Iterator[tuple[float, float]]:
    return ((point.x, radius) for thing in things for point, radius in reaching(thing))


def _sides(spans: Sequence[tuple[float, float]]) -> tuple[float, float]:
    return min(x - radius for x, radius in spans), max(x + radius for x, radius in spans)
