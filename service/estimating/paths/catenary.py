"""The hanging chain, upside down as a freestanding arch or as it hangs in a swag.

y = a cosh(x/a): over a span w the rise is h = a (cosh(w/2a) - 1) and the length 2a sinh(w/2a).
"""

import math
from dataclasses import dataclass

from service.estimating.paths.curves import Path, Point


def parameter(span_m: float, rise_m: float) -> float:
    """The chain's `a` [m] from its span and its rise (or sag) [m].

    With u = w/2a the ratio rise/half span is (cosh u - 1)/u, which grows with u, so bisection on
    u is safe; Newton's steps then bring it to the last digits.
    """
    ratio = rise_m / (span_m / 2)
    low, high = 0.0, 1.0
    while _ratio(high) < ratio:
        low, high = high, high * 2
    u = high
    for _ in range(60):
        step = u - (_ratio(u) - ratio) / _slope(u)
        # A Newton step that leaves the bracket would diverge: halve instead.
        following = step if low < step < high else (low + high) / 2
        low, high = (following, high) if _ratio(following) < ratio else (low, following)
        if abs(following - u) <= 1e-15 * following:
            break
        u = following
    return span_m / 2 / u


def _ratio(u: float) -> float:
    # cosh u - 1 loses its digits for small u; 2 sinh^2(u/2) is the same and does not.
    return 2 * math.sinh(u / 2) ** 2 / u


def _slope(u: float) -> float:
    return (u * math.sinh(u) - 2 * math.sinh(u / 2) ** 2) / u**2


@dataclass(frozen=True, kw_only=True, slots=True)
class Catenary:
    """A chain over a span; `upward` stands as an arch, otherwise it hangs between two hooks."""

    span_m: float
    rise_m: float
    a_m: float
    upward: bool

    @property
    def length_m(self) -> float:
        """2a sinh(w/2a) [m]."""
        return 2 * self.a_m * math.sinh(self.span_m / 2 / self.a_m)

    def at(self, walked_m: float) -> Point:
        """The point `walked_m` [m] from the left end; from the lowest point s = a sinh(x/a)."""
        x = self.a_m * math.asinh((walked_m - self.length_m / 2) / self.a_m)
        from_vertex = 2 * self.a_m * math.sinh(x / 2 / self.a_m) ** 2
        height = self.rise_m - from_vertex if self.upward else from_vertex
        return Point(x=x + self.span_m / 2, y=height)


def arch(*, width_m: float, height_m: float) -> Path:
    """A freestanding arch: the chain turned over."""
    curve = Catenary(span_m=width_m, rise_m=height_m, a_m=parameter(width_m, height_m), upward=True)
    return Path(curves=(curve,), top_m=height_m)


def swag(*, width_m: float, sag_m: float) -> Path:
    """A garland hung between two points `width_m` apart, `sag_m` deep in the middle.

    The hooks are taken to be out of reach from the floor, so that a ladder is cautioned.
    """
    curve = Catenary(span_m=width_m, rise_m=sag_m, a_m=parameter(width_m, sag_m), upward=False)
    return Path(curves=(curve,), top_m=USUAL_HOOK_HEIGHT_M)


USUAL_HOOK_HEIGHT_M = 2.7
"""Common practice, no source: a swag hangs from picture rail or beam, above a raised hand."""
