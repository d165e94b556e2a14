"""Straight lines, and the paths that are made of them."""

import math
from dataclasses import dataclass, field
from itertools import accumulate, pairwise

from service.estimating.paths.curves import Path, Point


@dataclass(frozen=True, kw_only=True, slots=True)
class Straight:
    """A straight line between two points; its length is their distance [m]."""

    start: Point
    end: Point
    length_m: float = field(init=False)

    def __post_init__(self) -> None:
        a, b = self.start, self.end
        object.__setattr__(self, "length_m", math.dist((a.x, a.y, a.z), (b.x, b.y, b.z)))

    def at(self, walked_m: float) -> Point:
        """The point `walked_m` [m] from the start."""
        a, b, share = self.start, self.end, walked_m / self.length_m
        return Point(
            x=a.x + share * (b.x - a.x),
            y=a.y + share * (b.y - a.y),
            z=a.z + share * (b.z - a.z),
        )


def bent(*points: Point, top_m: float) -> Path:
    """From point to point in straight lines, with a corner wherever two of them meet."""
    lines = tuple(Straight(start=a, end=b) for a, b in pairwise(points))
    corners = tuple(accumulate(line.length_m for line in lines[:-1]))
    return Path(curves=lines, top_m=top_m, corners_m=corners)


def level(*, length_m: float, height_m: float) -> Path:
    """A level run of `length_m` [m], `height_m` [m] above the floor."""
    return bent(Point(x=0, y=height_m), Point(x=length_m, y=height_m), top_m=height_m)


def draped(*, length_m: float, height_m: float, drop_m: float) -> Path:
    """A level run that hangs down at both ends by `drop_m`: L = length + 2 drop [m]."""
    below = height_m - drop_m
    return bent(
        Point(x=0, y=below),
        Point(x=0, y=height_m),
        Point(x=length_m, y=height_m),
        Point(x=length_m, y=below),
        top_m=height_m,
    )


def up_across_down(*, width_m: float, height_m: float) -> Path:
    """Up one side, across the top and down the other, without the foot: L = 2h + w [m]."""
    return draped(length_m=width_m, height_m=height_m, drop_m=height_m)
