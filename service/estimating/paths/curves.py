"""A path as a chain of curves, each walked by its own arc length."""

import math
from bisect import bisect_right
from dataclasses import dataclass
from itertools import accumulate
from typing import Protocol


@dataclass(frozen=True, kw_only=True, slots=True)
class Point:
    """A place on the path: `x` along it, `y` up, `z` towards the viewer [m]."""

    x: float
    y: float
    z: float = 0.0


class Curve(Protocol):
    """One smooth part of a path."""

    @property
    def length_m(self) -> float:
        """Arc length [m]."""
        ...

    def at(self, walked_m: float) -> Point:
        """The point `walked_m` [m] along the curve from its start."""
        ...


@dataclass(frozen=True, kw_only=True, slots=True)
class Path:
    """Curves joined end to end; `closed` when the end meets the start.

    `top_m` is the greatest height above the floor that hands must reach [m].
    """

    curves: tuple[Curve, ...]
    top_m: float
    closed: bool = False

    @property
    def length_m(self) -> float:
        """Arc length of the whole path [m]."""
        return math.fsum(curve.length_m for curve in self.curves)

    def at(self, walked_m: float) -> Point:
        """The point `walked_m` [m] from the start, held within the path."""
        ends = list(accumulate(curve.length_m for curve in self.curves))
        walked = min(max(walked_m, 0.0), ends[-1])
        index = min(bisect_right(ends, walked), len(ends) - 1)
        before = ends[index - 1] if index else 0.0
        return self.curves[index].at(walked - before)


@dataclass(frozen=True, kw_only=True, slots=True)
class Straight:
    """A straight line between two points."""

    start: Point
    end: Point

    @property
    def length_m(self) -> float:
        """Distance between the ends [m]."""
        return math.dist(_xyz(self.start), _xyz(self.end))

    def at(self, walked_m: float) -> Point:
        """The point `walked_m` [m] from the start."""
        share = walked_m / self.length_m
        x, y, z = (
            a + share * (b - a) for a, b in zip(_xyz(self.start), _xyz(self.end), strict=True)
        )
        return Point(x=x, y=y, z=z)


@dataclass(frozen=True, kw_only=True, slots=True)
class Arc:
    """Part of a circle, from angle `start` to angle `end` [rad], anticlockwise from the x axis."""

    centre: Point
    radius_m: float
    start: float
    end: float

    @property
    def length_m(self) -> float:
        """Radius times angle [m]."""
        return self.radius_m * abs(self.end - self.start)

    def at(self, walked_m: float) -> Point:
        """The point `walked_m` [m] from the start."""
        angle = self.start + (self.end - self.start) * walked_m / self.length_m
        return Point(
            x=self.centre.x + self.radius_m * math.cos(angle),
            y=self.centre.y + self.radius_m * math.sin(angle),
            z=self.centre.z,
        )


def _xyz(point: Point) -> tuple[float, float, float]:
    return point.x, point.y, point.z
