"""Arcs of circles and half an ellipse, with the elliptic integrals that measure it."""

import math
from dataclasses import dataclass, field

from service.estimating.paths.curves import Point


@dataclass(frozen=True, kw_only=True, slots=True)
class Arc:
    """Part of a circle, from angle `start` to angle `end` [rad], anticlockwise from the x axis."""

    centre: Point
    radius_m: float
    start: float
    end: float

    @property
    def length_m(self) -> float:
        """Radius times angle [m]."""
        return self.radius_m * abs(self.end - self.start)

    def at(self, walked_m: float) -> Point:
        """The point `walked_m` [m] from the start."""
        angle = self.start + (self.end - self.start) * walked_m / self.length_m
        return Point(
            x=self.centre.x + self.radius_m * math.cos(angle),
            y=self.centre.y + self.radius_m * math.sin(angle),
            z=self.centre.z,
        )


def ellipse_perimeter(a: float, b: float) -> float:
    """Perimeter [m] of the ellipse with semi-axes `a`, `b` [m], to within 1e-14 of itself.

    By the arithmetic-geometric mean: P = 2 pi (a^2 - sum 2^(n-1) c_n^2) / AGM(a, b), which is
    4 a E(m), m = 1 - b^2/a^2 (Abramowitz & Stegun 17.6, complete elliptic integral E).
    """
    big, small = max(a, b), min(a, b)
    total, weight = big**2 - 0.5 * (big**2 - small**2), 0.5
    while True:
        half_gap = (big - small) / 2
        big, small = (big + small) / 2, math.sqrt(big * small)
        weight *= 2
        total -= weight * half_gap**2
        # The gap shrinks quadratically: what a further step would add is below 1e-18.
        if half_gap <= 1e-9 * big:
            return 2 * math.pi * total / big


def incomplete_e(angle: float, m: float) -> float:
    """Incomplete elliptic integral of the second kind E(angle | m), to within 1e-13 of itself.

    For 0 <= `angle` <= pi/2 [rad] and 0 <= `m` < 1. E = s RF(c^2, 1 - m s^2, 1) - m/3 s^3
    RD(c^2, 1 - m s^2, 1) with s, c the sine and cosine (DLMF 19.25.9), both by Carlson's
    duplication (DLMF 19.36).
    """
    s = math.sin(angle)
    x, y, z = math.cos(angle) ** 2, 1 - m * s * s, 1.0
    collected, weight = 0.0, 1.0
    # Each round quarters what the three differ by, and the error goes by its square.
    while z - x > 1e-8 * z:
        root_x, root_y, root_z = math.sqrt(x), math.sqrt(y), math.sqrt(z)
        shift = root_x * root_y + root_y * root_z + root_z * root_x
        collected += weight / (root_z * (z + shift))
        weight /= 4
        x, y, z = (x + shift) / 4, (y + shift) / 4, (z + shift) / 4
    mean = (x + y + z) / 3
    rf = 1 / math.sqrt(mean)
    rd = 3 * collected + weight * rf / mean
    return s * rf - m * s**3 * rd / 3


def _angle_of(integral: float, m: float) -> float:
    """The angle [rad] up to which E(angle | m) comes to `integral`, by Newton's steps.

    E is concave and never above its angle, so that from the integral itself every step goes up
    and none goes past the answer.
    """
    angle = min(integral, math.pi / 2)
    while angle < math.pi / 2:
        short = integral - incomplete_e(angle, m)
        if short <= 1e-14:
            break
        angle += short / math.sqrt(1 - m * math.sin(angle) ** 2)
    return min(angle, math.pi / 2)


@dataclass(frozen=True, kw_only=True, slots=True)
class HalfEllipse:
    """The upper half of an ellipse, both feet on the floor: L = 2 a E(m), a the longer semi-axis.

    Length to within 1e-14 of itself; a point lies within 1e-12 of the length from where it is
    asked for.
    """

    width_m: float
    height_m: float
    length_m: float = field(init=False)

    def __post_init__(self) -> None:
        half = ellipse_perimeter(self.width_m / 2, self.height_m) / 2
        object.__setattr__(self, "length_m", half)

    def at(self, walked_m: float) -> Point:
        """The point `walked_m` [m] from the left foot."""
        in_x, up = self._of_left_half(min(walked_m, self.length_m - walked_m))
        left = walked_m <= self.length_m / 2
        return Point(x=in_x if left else self.width_m - in_x, y=up)

    def _of_left_half(self, from_foot_m: float) -> tuple[float, float]:
        half, high = self.width_m / 2, self.height_m
        # The integral runs from the end of the shorter axis: a foot, or the top where it is low.
        if high >= half:
            angle = _angle_of(from_foot_m / high, 1 - (half / high) ** 2)
            return half * (1 - math.cos(angle)), high * math.sin(angle)
        angle = _angle_of((self.length_m / 2 - from_foot_m) / half, 1 - (high / half) ** 2)
        return half * (1 - math.sin(angle)), high * math.cos(angle)
