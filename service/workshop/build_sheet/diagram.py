"""A piece as a plain drawing: its support, where garland is, and where each thing goes on it."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from enum import StrEnum
from itertools import pairwise

from service.estimating import Path, Point, Stretch

_FLAT_M = 0.05
_HAIR_M = 1e-6
"""So much before its end a stretch is on its own row still, and not at the start of the next."""

_SAMPLES = 48
_MOST_NUMBERS = 24
_NUMBER_STEPS = (1, 2, 5, 10, 20, 50, 100, 200, 500)


class Sign(StrEnum):
    """What stands at a place of the path."""

    NUMBER = "number"
    HELD = "held"
    MARK = "mark"


@dataclass(frozen=True, kw_only=True, slots=True)
class Spot:
    """A place on the path [m], the unit vector that points away from the piece, and what is there.

    `text` is a cluster's number, or what the list of things to attach calls it.
    """

    sign: Sign
    x: float
    y: float
    out_x: float
    out_y: float
    text: str = ""


Line = tuple[tuple[float, float], ...]


@dataclass(frozen=True, kw_only=True, slots=True)
class Diagram:
    """Lines and spots in metres, x to the right and y up; `from_above` where that is how it lies.

    `support` is the whole path, `garland` what carries balloons.
    """

    support: tuple[Line, ...]
    garland: tuple[Line, ...]
    spots: tuple[Spot, ...]
    from_above: bool


def diagram(
    path: Path,
    stretches: Sequence[Stretch],
    held: Sequence[Sequence[float]],
    marks: Iterable[tuple[str, float]],
) -> Diagram:
    """The drawing of one piece: where each stretch is `held`, and `marks` by name, along the path.

    Places are in metres from the start of the path.
    """
    view = _View(path)
    spots = [
        *(
            view.spot(Sign.HELD, min(at, stretch.run.end_m - _HAIR_M))
            for stretch, places in zip(stretches, held, strict=True)
            for at in places
        ),
        *(view.spot(Sign.NUMBER, at, str(number)) for number, at in _numbers(stretches)),
        *(view.spot(Sign.MARK, at, name) for name, at in marks),
    ]
    return Diagram(
        support=tuple(view.line(start, end) for start, end in _unbroken(path)),
        garland=tuple(view.line(s.run.start_m, s.run.end_m) for s in stretches),
        spots=tuple(spots),
        from_above=view.from_above,
    )


class _View:
    """The path as it is looked at: from the front, or from above where all of it lies flat."""

    def __init__(self, path: Path) -> None:
        self._path = path
        points = [path.at(path.length_m * i / _SAMPLES) for i in range(_SAMPLES + 1)]
        self.from_above = _reach(p.z for p in points) > max(_FLAT_M, _reach(p.y for p in points))
        seen = [self._seen(point) for point in points]
        self._middle = tuple((min(axis) + max(axis)) / 2 for axis in zip(*seen, strict=True))

    def line(self, start_m: float, end_m: float) -> Line:
        bends = [at for at in self._path.corners_m if start_m < at < end_m]
        even = [start_m + (end_m - start_m) * i / _SAMPLES for i in range(_SAMPLES + 1)]
        return tuple(self._at(min(at, end_m - _HAIR_M)) for at in sorted([*even, *bends]))

    def spot(self, sign: Sign, at_m: float, text: str = "") -> Spot:
        x, y = self._at(at_m)
        out_x, out_y = self._outwards(at_m)
        return Spot(sign=sign, x=x, y=y, out_x=out_x, out_y=out_y, text=text)

    def _outwards(self, at_m: float) -> tuple[float, float]:
        rows = _unbroken(self._path)
        start, end = next(((a, b) for a, b in rows if at_m < b), (0.0, self._path.length_m))
        (x1, y1) = self._at(max(at_m - 0.02, start))
        (x2, y2) = self._at(min(at_m + 0.02, end - _HAIR_M))
        length = ((x2 - x1) ** 2 + (y2 - y1) ** 2) ** 0.5 or 1.0
        out = (-(y2 - y1) / length, (x2 - x1) / length)
        x, y = self._at(at_m)
        away = out[0] * (x - self._middle[0]) + out[1] * (y - self._middle[1])
        # Neither side of a straight line is outside: numbers stand above it, or to its left.
        inside = abs(away) > _FLAT_M and not self._path.breaks_m
        towards = away if inside else out[1] - out[0]
        return out if towards >= 0 else (-out[0], -out[1])

    def _at(self, walked_m: float) -> tuple[float, float]:
        return self._seen(self._path.at(walked_m))

    def _seen(self, point: Point) -> tuple[float, float]:
        return (point.x, -point.z) if self.from_above else (point.x, point.y)


def _reach(values: Iterable[float]) -> float:
    found = list(values)
    return max(found) - min(found)


def _unbroken(path: Path) -> Iterator[tuple[float, float]]:
    return pairwise((0.0, *path.breaks_m, path.length_m))


def _numbers(stretches: Sequence[Stretch]) -> Iterator[tuple[int, float]]:
    """Every so manieth cluster, and the first and last of each stretch where there is room."""
    total = sum(len(stretch.clusters) for stretch in stretches)
    step = next((n for n in _NUMBER_STEPS if total <= n * _MOST_NUMBERS), _NUMBER_STEPS[-1])
    for stretch in stretches:
        if not stretch.clusters:
            continue
        first, last = stretch.clusters[0].number, stretch.clusters[-1].number
        for cluster in stretch.clusters:
            number = cluster.number
            ends = number in (first, last)
            near_an_end = min(number - first, last - number) * 2 < step
            if ends or (number % step == 0 and not near_an_end):
                yield number, cluster.at_m
