"""A round hoop on its stand; left open where less than all of it is covered."""

import math

from service.estimating.paths.arcs import Arc
from service.estimating.paths.curves import Path, Point
from service.estimating.paths.kinds import Form, Kind


def _path(*, width_m: float) -> Path:
    """A circle of diameter `width_m` standing on the floor: L = pi D [m]."""
    radius = width_m / 2
    down = -math.pi / 2
    circle = Arc(
        centre=Point(x=radius, y=radius), radius_m=radius, start=down, end=down - 2 * math.pi
    )
    return Path(curves=(circle,), top_m=width_m, closed=True)


KIND = Kind(
    forms=(Form(measures=("width_m",), path=_path, formula="πw"),),
    stands=True,
    owned=True,
)
