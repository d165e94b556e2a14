"""Wind on what stands outdoors: its pressure, what it pushes, and when the piece comes down.

Every figure here is a caution and no proof of safety; CAUTION says so in words for people and goes
wherever one of these figures is shown. Speeds are gusts unless a name says mean. Pure physics: it
knows neither pieces nor price books. Values of the wrong kind are refused with BriefError.
"""

from service.estimating.gusts.coefficients import (
    FORCE_COEFFICIENTS,
    FRICTION,
    Coefficient,
    Face,
    garland_coefficient,
)
from service.estimating.gusts.statics import (
    ACT_SHARE,
    ASSUMPTIONS,
    CAUTION,
    COME_DOWN_LIMIT_M_S,
    GRAVITY_M_S2,
    SAFETY,
    WATCH_SHARE,
    Ballast,
    Base,
    Body,
    ComeDown,
    Held,
    Part,
    WindLoad,
    ballast_for,
    come_down,
    gust_held,
)
from service.estimating.gusts.wind import (
    AIR_DENSITY_KG_M3,
    INLAND_GUST_FACTOR,
    METRES_PER_SECOND_PER_MPH,
    asce_velocity_pressure_psf,
    beaufort,
    beaufort_band,
    beaufort_speed,
    gust_factor,
    gust_speed,
    velocity_pressure,
)

__all__ = [
    "ACT_SHARE",
    "AIR_DENSITY_KG_M3",
    "ASSUMPTIONS",
    "CAUTION",
    "COME_DOWN_LIMIT_M_S",
    "FORCE_COEFFICIENTS",
    "FRICTION",
    "GRAVITY_M_S2",
    "INLAND_GUST_FACTOR",
    "METRES_PER_SECOND_PER_MPH",
    "SAFETY",
    "WATCH_SHARE",
    "Ballast",
    "Base",
    "Body",
    "Coefficient",
    "ComeDown",
    "Face",
    "Held",
    "Part",
    "WindLoad",
    "asce_velocity_pressure_psf",
    "ballast_for",
    "beaufort",
    "beaufort_band",
    "beaufort_speed",
    "come_down",
    "garland_coefficient",
    "gust_factor",
    "gust_held",
    "gust_speed",
    "velocity_pressure",
]
