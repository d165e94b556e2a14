"""One balloon: a sphere of its sized diameter."""

import math

CUBIC_METRES_PER_CUBIC_FOOT = 0.3048**3


def sphere_volume(diameter_m: float) -> float:
    """Volume [m3] of a sphere of diameter `diameter_m` [m]: pi d^3 / 6."""
    return math.pi * diameter_m**3 / 6
