"""Wind: the pressure that it is, the Beaufort scale, and gusts from a mean."""

import math
from bisect import bisect_right

from service.estimating.gusts.demands import demand, not_negative, one_or_more, positive

AIR_DENSITY_KG_M3 = 1.25
"""EN 1991-1-4, 4.5(1), the recommended value."""

METRES_PER_SECOND_PER_MPH = 0.44704

INLAND_GUST_FACTOR = 1.66
"""A 3 s gust over a 10 min mean, inland, 10 m up (Harper, Kepert & Ginger 2010, WMO/TD-No. 1555).

Meant for tropical cyclones; for winds at large EN 1991-1-4 has 1.52 in open country, 1.73 in a
suburb.
"""


def velocity_pressure(speed_m_s: float, *, density_kg_m3: float = AIR_DENSITY_KG_M3) -> float:
    """Pressure [Pa] of a wind [m/s] brought to rest: rho v^2 / 2 (EN 1991-1-4, 4.10).

    Density of air [kg/m3] above 0.
    """
    demand(speed_m_s=not_negative(speed_m_s), density_kg_m3=positive(density_kg_m3))
    return density_kg_m3 * speed_m_s**2 / 2


def asce_velocity_pressure_psf(speed_mph: float, *, exposure: float = 1.0) -> float:
    """The same in US units [lb/ft2], V [mph]: 0.00256 Kz Kzt Kd V^2 (ASCE 7).

    `exposure` is the product Kz Kzt Kd [-]. Agrees with air of 1.225 kg/m3 within 0.2 %.
    """
    demand(speed_mph=not_negative(speed_mph), exposure=positive(exposure))
    return 0.00256 * exposure * speed_mph**2


_BEAUFORT_LIMITS_M_S = (0.2, 1.5, 3.3, 5.4, 7.9, 10.7, 13.8, 17.1, 20.7, 24.4, 28.4, 32.6)
# The WMO table steps in tenths, 10.7 then 10.8: halfway between, so that no speed is in a gap.
_BEAUFORT_EDGES_M_S = tuple(limit + 0.05 for limit in _BEAUFORT_LIMITS_M_S)


def beaufort(mean_m_s: float) -> int:
    """Beaufort number, 0 to 12, of a 10 min mean [m/s] 10 m up (WMO table in m/s)."""
    demand(mean_m_s=not_negative(mean_m_s))
    return bisect_right(_BEAUFORT_EDGES_M_S, mean_m_s)


def beaufort_band(number: int) -> tuple[float, float]:
    """Mean speeds [m/s] of a Beaufort number, 0 to 12: from the first, below the second."""
    demand(number=(0 <= number <= 12, "must be from 0 to 12"))
    edges = (0.0, *_BEAUFORT_EDGES_M_S, math.inf)
    return edges[number], edges[number + 1]


def beaufort_speed(number: float) -> float:
    """The mean speed [m/s] that a Beaufort number, 0 to 12, stands for: 0.836 B^1.5.

    The constant in m/s is from memory; public how-tos have it in mph, 1.87.
    """
    demand(number=(0 <= number <= 12, "must be from 0 to 12"))
    return 0.836 * math.pow(number, 1.5)


def gust_factor(height_m: float, roughness_m: float) -> float:
    """Gust over 10 min mean [-]: sqrt(1 + 7 I), I = 1/ln(z/z0) (EN 1991-1-4, 4.7 and 4.8).

    Height z [m] up to 200, roughness length z0 [m] well below it: open sea 0.003, flat land 0.01,
    open country 0.05, suburb 0.3; the code takes at least 1, 1, 2 and 5 m for z.
    """
    demand(
        height_m=(roughness_m < height_m <= 200, "must be above the roughness, at most 200"),
        roughness_m=positive(roughness_m),
    )
    return math.sqrt(1 + 7 / math.log(height_m / roughness_m))


def gust_speed(mean_m_s: float, factor: float = INLAND_GUST_FACTOR) -> float:
    """Gust [m/s] to reckon with at a 10 min mean [m/s]; a factor [-] below 1 is refused."""
    demand(mean_m_s=not_negative(mean_m_s), factor=one_or_more(factor))
    return mean_m_s * factor
