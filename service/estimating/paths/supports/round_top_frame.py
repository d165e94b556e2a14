"""Two legs under a semicircular top."""

import math

from service.estimating.paths.arcs import Arc
from service.estimating.paths.curves import Path, Point
from service.estimating.paths.kinds import WIDE_HIGH, Form, Kind, Measures
from service.estimating.paths.straight import Straight


def _path(*, width_m: float, height_m: float) -> Path:
    """Legs to the spring points and a semicircle over them: L = 2(h - w/2) + pi w/2 [m]."""
    radius = width_m / 2
    spring = max(0.0, height_m - radius)
    top = Arc(centre=Point(x=radius, y=spring), radius_m=radius, start=math.pi, end=0)
    if not spring:  # a half circle on the floor has no legs at all
        return Path(curves=(top,), top_m=height_m)
    left = Straight(start=Point(x=0, y=0), end=Point(x=0, y=spring))
    right = Straight(start=Point(x=width_m, y=spring), end=Point(x=width_m, y=0))
    return Path(
        curves=(left, top, right),
        top_m=height_m,
        corners_m=(spring, spring + top.length_m),
    )


def _at_least_a_half_circle(given: Measures) -> tuple[str, str] | None:
    radius = given["width_m"] / 2
    # A rounding of feet to metres must not refuse a half circle.
    if given["height_m"] >= radius * 0.999:
        return None
    return (
        "height_m",
        f"a round top {given['width_m']:g} m wide is {radius:g} m high by itself;"
        " give at least that height",
    )


KIND = Kind(
    forms=(Form(measures=WIDE_HIGH, path=_path, formula="2(h - w/2) + πw/2"),),
    stands=True,
    owned=True,
    fits=_at_least_a_half_circle,
)
