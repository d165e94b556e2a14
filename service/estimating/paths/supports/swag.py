"""A garland that hangs between two hooks at the same height."""

from service.estimating.paths.catenary import Catenary
from service.estimating.paths.curves import Path
from service.estimating.paths.kinds import Form, Kind

USUAL_HOOK_HEIGHT_M = 2.7
"""Common practice, no source: a swag hangs from picture rail or beam, above a raised hand."""


def _path(*, width_m: float, sag_m: float) -> Path:
    """Between hooks `width_m` apart, `sag_m` deep in the middle: L = 2a sinh(w/2a) [m]."""
    # The hooks are out of reach from the floor, and a deep swag still clears it.
    hooks = max(USUAL_HOOK_HEIGHT_M, sag_m)
    chain = Catenary(span_m=width_m, rise_m=sag_m, upward=False, lowest_m=hooks - sag_m)
    return Path(curves=(chain,), top_m=hooks)


KIND = Kind(
    forms=(
        Form(
            measures=("width_m", "sag_m"),
            path=_path,
            formula="2a sinh(w/2a), sag = a(cosh(w/2a) - 1)",
        ),
    )
)
