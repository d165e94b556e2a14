"""Touching balloons: rings of n, nested along a line, and mixed clusters in a garland.

Rings of touching spheres that nest, each turned by pi/n against the last, are the trade's quad
columns and spiral arches (n = 4). A mixed organic garland is treated by the share of its own
girth that rubber fills, a law that gives back the nested quad when all balloons are equal.
"""

import math
from collections.abc import Mapping

from service.estimating.balloons import sphere_volume
from service.estimating.book import Cluster, Recipe

RANDOM_CLOSE_PACKING = 0.6366
"""Solid fraction of equal spheres poured and shaken (Scott & Kilgour 1969, J. Phys. D 2, 863)."""

DENSEST_PACKING = math.pi / math.sqrt(18)
"""No arrangement of equal spheres fills more (Kepler; Hales 2005): 0.7405."""


def nested_pitch(n: int, diameter_m: float) -> float:
    """Distance [m] along the line between nested rings of `n` touching spheres.

    Centres of a ring lie at r = d / (2 sin(pi/n)); a sphere of the next ring touches two of this
    one, which gives p = d sqrt(1 - 1/(4 cos^2(pi/2n))). For n = 4 it is 2^(-1/4) d. Derived.
    """
    return diameter_m * math.sqrt(1 - 1 / (4 * math.cos(math.pi / (2 * n)) ** 2))


def nested_girth(n: int, diameter_m: float) -> float:
    """Thickness [m] of a ring of `n` touching spheres: d (1 + 1/sin(pi/n)). Derived."""
    return diameter_m * (1 + 1 / math.sin(math.pi / n))


def nested_solid_fraction(n: int) -> float:
    """Share of the cylinder round nested rings of `n` that the spheres fill; quad 0.544."""
    solid = n * sphere_volume(1)
    return solid / (math.pi / 4 * nested_girth(n, 1) ** 2 * nested_pitch(n, 1))


def balloons_per_metre(solid_fraction: float, girth_m: float, mean_volume_m3: float) -> float:
    """Balloons a metre [1/m] of garland: phi (pi/4) G^2 / V.

    G is the girth [m] and V the mean volume of a balloon [m3].
    """
    return solid_fraction * math.pi / 4 * girth_m**2 / mean_volume_m3


def nested_rings(length_m: float, n: int, diameter_m: float, *, closed: bool) -> int:
    """Rings of `n` that span `length_m` [m].

    On an open path the first and the last ring reach half a diameter beyond their centres, so
    that k rings span (k - 1) p + d; round a closed one they span k p.
    """
    pitch = nested_pitch(n, diameter_m)
    rings = length_m / pitch if closed else (length_m - diameter_m) / pitch + 1
    return max(1, round(rings))


def contents(recipe: Recipe, cluster: Cluster) -> Mapping[int, int]:
    """Balloons by size class [in] in one cluster.

    A cluster of six is a quad and a duplet, and one of the duplet's two is the large balloon.
    """
    match cluster:
        case Cluster.DUPLET:
            return {recipe.base_size: 2}
        case Cluster.QUAD:
            return {recipe.base_size: 4}
        case Cluster.MINI_QUAD:
            return {recipe.small_size: 4}
        case Cluster.SIX:
            return {recipe.base_size: 5, recipe.large_size: 1}
