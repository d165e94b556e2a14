"""The hanging chain, upside down as a freestanding arch or as it hangs in a swag.

y = a cosh(x/a): over a span w the rise is h = a (cosh(w/2a) - 1) and the length 2a sinh(w/2a).
"""

import math
from dataclasses import dataclass, field

from service.estimating.paths.curves import Point


def parameter(span_m: float, rise_m: float) -> float:
    """The chain's `a` [m] from its span and its rise (or sag) [m], to within 1e-14 of itself.

    With u = w/2a, r = h/(w/2) it solves g(u) = (cosh u - 1)/u = r. g is convex and grows, and at
    u = 2 asinh r it is r^2/asinh r, which is not below r: from there Newton's steps go down to
    the root and never past it.
    """
    ratio = rise_m / (span_m / 2)
    u = 2 * math.asinh(ratio)
    while True:
        sinh_half = math.sinh(u / 2)
        # cosh u - 1 loses its digits for small u; 2 sinh^2(u/2) is the same and does not.
        vers = 2 * sinh_half**2
        slope = (u * 2 * sinh_half * math.cosh(u / 2) - vers) / u**2
        step = (vers / u - ratio) / slope
        u -= step
        # Steps shrink quadratically: the one after this would be below 1e-16.
        if step <= 1e-9 * u:
            return span_m / 2 / u


@dataclass(frozen=True, kw_only=True, slots=True)
class Catenary:
    """A chain over a span; `upward` stands as an arch, otherwise it hangs between two hooks.

    `lowest_m` is the height above the floor of an arch's feet or of a swag's middle. Its length
    2a sinh(w/2a) is right to within 1e-13 of itself.
    """

    span_m: float
    rise_m: float
    upward: bool
    lowest_m: float = 0.0
    a_m: float = field(init=False)
    length_m: float = field(init=False)

    def __post_init__(self) -> None:
        a = parameter(self.span_m, self.rise_m)
        object.__setattr__(self, "a_m", a)
        object.__setattr__(self, "length_m", 2 * a * math.sinh(self.span_m / 2 / a))

    def at(self, walked_m: float) -> Point:
        """The point `walked_m` [m] from the left end; from the vertex s = a sinh(x/a)."""
        x = self.a_m * math.asinh((walked_m - self.length_m / 2) / self.a_m)
        from_vertex = 2 * self.a_m * math.sinh(x / 2 / self.a_m) ** 2
        above = self.rise_m - from_vertex if self.upward else from_vertex
        return Point(x=x + self.span_m / 2, y=self.lowest_m + above)
