"""Supports along straight lines: runs, columns, stairs, ceilings."""

import math

from service.estimating.paths.curves import Path, Point, Straight

TABLE_HEIGHT_M = 0.76
"""Common practice, no source: 30 in."""

MANTEL_HEIGHT_M = 1.4
"""Common practice, no source: 54 in."""

WALL_HEIGHT_M = 2.3
"""Common practice, no source: a run on a wall hangs at the height of a raised hand."""

CEILING_HEIGHT_M = 3.0
"""Common practice, no source: a hall's ceiling."""

CEILING_ROW_M = 0.6
"""Common practice, no source: rows of garland under a ceiling hang about two feet apart."""


def _run(length_m: float, height_m: float) -> Straight:
    return Straight(start=Point(x=0, y=height_m), end=Point(x=length_m, y=height_m))


def wall_run(*, length_m: float) -> Path:
    """A run along a wall [m]."""
    return Path(curves=(_run(length_m, WALL_HEIGHT_M),), top_m=WALL_HEIGHT_M)


def wall_corner(*, width_m: float, height_m: float) -> Path:
    """Up one side of a wall and across its top: L = w + h [m]."""
    side = Straight(start=Point(x=0, y=0), end=Point(x=0, y=height_m))
    return Path(curves=(side, _run(width_m, height_m)), top_m=height_m)


def mantel(*, length_m: float) -> Path:
    """A run along a mantel [m]."""
    return Path(curves=(_run(length_m, MANTEL_HEIGHT_M),), top_m=MANTEL_HEIGHT_M)


def table(*, length_m: float) -> Path:
    """A run along a table [m]."""
    return Path(curves=(_run(length_m, TABLE_HEIGHT_M),), top_m=TABLE_HEIGHT_M)


def ceiling_run(*, length_m: float) -> Path:
    """One run under a ceiling [m]."""
    return Path(curves=(_run(length_m, CEILING_HEIGHT_M),), top_m=CEILING_HEIGHT_M)


def ceiling_area(*, length_m: float, width_m: float) -> Path:
    """Parallel rows under a ceiling of `length_m` by `width_m`: L = rows times length [m]."""
    rows = max(1, round(width_m / CEILING_ROW_M))
    gap = width_m / rows
    y = CEILING_HEIGHT_M
    curves = tuple(
        Straight(start=Point(x=0, y=y, z=z), end=Point(x=length_m, y=y, z=z))
        for z in (gap * (row + 0.5) for row in range(rows))
    )
    return Path(curves=curves, top_m=y)


def column(*, height_m: float) -> Path:
    """Straight up [m]."""
    up = Straight(start=Point(x=0, y=0), end=Point(x=0, y=height_m))
    return Path(curves=(up,), top_m=height_m)


def staircase(*, rise_m: float, run_m: float) -> Path:
    """Along the handrail: L = hypot(rise, run) [m]."""
    rail = 0.9  # IRC R311.7.8 puts a handrail 34 to 38 in above the nosings (from memory).
    slope = Straight(start=Point(x=0, y=rail), end=Point(x=run_m, y=rise_m + rail))
    # A person on the stairs reaches the rail; the fall is what is cautioned, at full height.
    return Path(curves=(slope,), top_m=math.fsum((rise_m, rail)))
