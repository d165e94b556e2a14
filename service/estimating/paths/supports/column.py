"""Straight up a pole."""

from service.estimating.paths.curves import Path, Point
from service.estimating.paths.kinds import Form, Kind
from service.estimating.paths.straight import bent


def _path(*, height_m: float) -> Path:
    """Straight up: L = h [m]."""
    return bent(Point(x=0, y=0), Point(x=0, y=height_m), top_m=height_m)


KIND = Kind(
    forms=(Form(measures=("height_m",), path=_path, formula="h"),),
    stands=True,
    owned=True,
    quads=True,
)
