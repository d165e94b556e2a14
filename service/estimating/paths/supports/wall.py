"""A run along a wall, or up one side of it and across to the far corner."""

from functools import partial

from service.estimating.paths.curves import Path, Point
from service.estimating.paths.kinds import WIDE_HIGH, Form, Kind
from service.estimating.paths.straight import Straight, level

HANG_HEIGHT_M = 2.3
"""Common practice, no source: a run on a wall hangs at the height of a raised hand."""


def _corner(*, width_m: float, height_m: float) -> Path:
    """Up one side of a wall and across its top: L = w + h [m]."""
    turn = Point(x=0, y=height_m)
    up = Straight(start=Point(x=0, y=0), end=turn)
    across = Straight(start=turn, end=Point(x=width_m, y=height_m))
    # The end is the wall's own far corner.
    return Path(
        curves=(up, across), top_m=height_m, corners_m=(up.length_m, up.length_m + across.length_m)
    )


KIND = Kind(
    forms=(
        Form(measures=("length_m",), path=partial(level, height_m=HANG_HEIGHT_M), formula="length"),
        Form(measures=WIDE_HIGH, path=_corner, formula="w + h: up one side and across"),
    )
)
