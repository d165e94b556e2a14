"""One run under a ceiling, or parallel rows over an area of it."""

from functools import partial

from service.estimating.paths.curves import Path, Point
from service.estimating.paths.kinds import Form, Kind
from service.estimating.paths.straight import Straight, level

HEIGHT_M = 3.0
"""Common practice, no source: a hall's ceiling."""

ROW_M = 0.6
"""Common practice, no source: rows of garland under a ceiling hang about two feet apart."""


def _area(*, length_m: float, width_m: float) -> Path:
    """Parallel rows under a ceiling of `length_m` by `width_m`: L = rows times length [m]."""
    rows = max(1, round(width_m / ROW_M))
    gap = width_m / rows
    lines = tuple(
        Straight(start=Point(x=0, y=HEIGHT_M, z=z), end=Point(x=length_m, y=HEIGHT_M, z=z))
        for z in (gap * (row + 0.5) for row in range(rows))
    )
    breaks = tuple(length_m * row for row in range(1, rows))
    return Path(curves=lines, top_m=HEIGHT_M, breaks_m=breaks)


KIND = Kind(
    forms=(
        Form(
            measures=("length_m", "width_m"),
            path=_area,
            formula="rows × length, rows about 0.6 m apart",
        ),
        Form(measures=("length_m",), path=partial(level, height_m=HEIGHT_M), formula="length"),
    )
)
