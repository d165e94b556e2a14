"""An arch that stands by itself: the chain turned over, or half an ellipse."""

from service.estimating.paths.arcs import HalfEllipse
from service.estimating.paths.catenary import Catenary
from service.estimating.paths.curves import Path
from service.estimating.paths.kinds import WIDE_HIGH, Form, Kind, Shape


def _chain(*, width_m: float, height_m: float) -> Path:
    """What bends as it likes stands as the chain hangs: L = 2a sinh(w/2a) [m]."""
    return Path(curves=(Catenary(span_m=width_m, rise_m=height_m, upward=True),), top_m=height_m)


def _half_ellipse(*, width_m: float, height_m: float) -> Path:
    """L = 2 a E(m) [m]."""
    return Path(curves=(HalfEllipse(width_m=width_m, height_m=height_m),), top_m=height_m)


_SHAPES = {
    Shape.CATENARY: Form(
        measures=WIDE_HIGH, path=_chain, formula="2a sinh(w/2a), h = a(cosh(w/2a) - 1)"
    ),
    Shape.SEMI_ELLIPSE: Form(
        measures=WIDE_HIGH, path=_half_ellipse, formula="2a E(m), m = 1 - b²/a²"
    ),
}

KIND = Kind(forms=(_SHAPES[Shape.CATENARY],), stands=True, owned=True, shapes=_SHAPES)
