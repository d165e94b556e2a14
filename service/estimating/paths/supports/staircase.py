"""Along the handrail of a straight flight."""

import math

from service.estimating.paths.curves import Path, Point
from service.estimating.paths.kinds import Form, Kind, Measures
from service.estimating.paths.straight import bent

RISER_M = 0.19685
"""7 3/4 in, the highest that a dwelling's riser may be: IRC 2018 R311.7.5.1."""

TREAD_M = 0.254
"""10 in, the least that a dwelling's tread may be deep: IRC 2018 R311.7.5.2."""

RAIL_M = 0.9
"""Handrails are 34 to 38 in above the nosings: IRC R311.7.8, from memory."""

FEWEST_STEPS, MOST_STEPS = 1, 90
"""Ninety risers are 28.9 m of rail, about as long as one piece can be."""


def _slope(*, rise_m: float, run_m: float) -> Path:
    """Along the handrail: L = hypot(rise, run) [m]; from the steps it is never out of reach."""
    top = math.fsum((rise_m, RAIL_M))
    return bent(Point(x=0, y=RAIL_M), Point(x=run_m, y=top), top_m=RAIL_M)


def _of_steps(*, steps: float) -> Path:
    """The steepest flight of so many risers, a tread to each, that a dwelling may have."""
    return _slope(rise_m=steps * RISER_M, run_m=steps * TREAD_M)


def _whole_steps(given: Measures) -> tuple[str, str] | None:
    steps = given.get("steps", FEWEST_STEPS)
    if FEWEST_STEPS <= steps <= MOST_STEPS and steps == int(steps):
        return None
    return "steps", f"give a whole number of steps from {FEWEST_STEPS} to {MOST_STEPS}"


KIND = Kind(
    forms=(
        Form(measures=("rise_m", "run_m"), path=_slope, formula="√(rise² + run²)"),
        Form(
            measures=("steps",),
            path=_of_steps,
            formula="steps × √(riser² + tread²), riser 7¾ in, tread 10 in",
            asked_for=False,
        ),
    ),
    across_way_out=True,
    fits=_whole_steps,
)
