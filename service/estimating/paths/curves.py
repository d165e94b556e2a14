"""A path as a chain of curves, each walked by its own arc length."""

import math
from bisect import bisect_right
from dataclasses import dataclass, field
from itertools import accumulate
from typing import Protocol


@dataclass(frozen=True, kw_only=True, slots=True)
class Point:
    """A place on the path: `x` along it, `y` up from the floor, `z` towards the viewer [m]."""

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
    """Curves in the order in which they are walked, and their whole arc length [m].

    `top_m` is the greatest height above the floor that hands must reach [m]. `corners_m` are the
    bends, by arc length from the start [m]; `breaks_m` the places where one curve ends and the
    next does not begin. A `closed` path has its end at its start: it begins at its lowest point
    and goes up the left side.
    """

    curves: tuple[Curve, ...]
    top_m: float
    closed: bool = False
    corners_m: tuple[float, ...] = ()
    breaks_m: tuple[float, ...] = ()
    length_m: float = field(init=False)

    def __post_init__(self) -> None:
        whole = math.fsum([curve.length_m for curve in self.curves])
        object.__setattr__(self, "length_m", whole)

    @property
    def start(self) -> Point:
        """Where it begins."""
        return self.curves[0].at(0.0)

    @property
    def end(self) -> Point:
        """Where it ends."""
        last = self.curves[-1]
        return last.at(last.length_m)

    def at(self, walked_m: float) -> Point:
        """The point `walked_m` [m] from the start, held within the path."""
        ends = list(accumulate(curve.length_m for curve in self.curves))
        walked = min(max(walked_m, 0.0), ends[-1])
        index = min(bisect_right(ends, walked), len(ends) - 1)
        before = ends[index - 1] if index else 0.0
        return self.curves[index].at(walked - before)
