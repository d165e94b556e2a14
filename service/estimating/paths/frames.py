"""Supports made of straight legs and circular tops: frames, hoop, doorway."""

import math
from itertools import pairwise

from service.estimating.paths.curves import Arc, Path, Point, Straight


def round_top_frame(*, width_m: float, height_m: float) -> Path:
    """Two legs under a semicircle: L = 2(h - w/2) + pi w/2 [m]."""
    radius = width_m / 2
    spring = height_m - radius
    legs = (
        Straight(start=Point(x=0, y=0), end=Point(x=0, y=spring)),
        Straight(start=Point(x=width_m, y=spring), end=Point(x=width_m, y=0)),
    )
    top = Arc(centre=Point(x=radius, y=spring), radius_m=radius, start=math.pi, end=0)
    # A half circle on the floor has no legs at all.
    curves = (legs[0], top, legs[1]) if spring > 0 else (top,)
    return Path(curves=curves, top_m=height_m)


def square_frame(*, width_m: float, height_m: float) -> Path:
    """Up, across and down, without the foot: L = 2h + w [m]."""
    corners = (
        Point(x=0, y=0),
        Point(x=0, y=height_m),
        Point(x=width_m, y=height_m),
        Point(x=width_m, y=0),
    )
    sides = (Straight(start=a, end=b) for a, b in pairwise(corners))
    return Path(curves=tuple(sides), top_m=height_m)


def hoop(*, width_m: float) -> Path:
    """A whole circle of diameter `width_m` standing on the floor: L = pi D [m]."""
    radius = width_m / 2
    down = -math.pi / 2
    circle = Arc(
        centre=Point(x=radius, y=radius), radius_m=radius, start=down, end=down + 2 * math.pi
    )
    return Path(curves=(circle,), top_m=width_m, closed=True)
