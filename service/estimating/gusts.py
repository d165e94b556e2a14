"""Wind on what stands outdoors: its pressure, what it pushes, and when the piece comes down.

Every figure here is a caution and no proof of safety; CAUTION says so in words for people and goes
wherever one of these figures is shown. Speeds are gusts unless a name says mean. Pure physics: it
knows neither pieces nor price books. Values of the wrong kind are refused with BriefError.
"""

import math
from bisect import bisect_right
from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from typing import Literal

from service.estimating.errors import BriefError, Faults

CAUTION = (
    "These wind and ballast figures are a caution, never a certificate. Local code and the venue"
    " decide; anything that people stand under or near is a matter for a licensed engineer. Measure"
    " gusts where it stands, and take it down early: no ballast makes it safe in every wind."
)
ASSUMPTIONS = (
    "the wind blows level and square on the widest face, from the front or from the back",
    "uplift is not counted, nor are loose drapes and curtains, which catch more wind and flap",
    "frame, garland and ballast are tied together so firmly that they tip or slide as one",
    "the ground is level and firm, feet on a smooth floor have rubber under them, and nothing"
    " funnels the wind",
    "its own weight and the ballast sit midway between front and back, on the floor",
    "all balloons are filled with air: helium would take weight off the feet",
)
"""No uplift and a frame that tips as a whole are what public guides to tent ballast take too."""

AIR_DENSITY_KG_M3 = 1.25
"""EN 1991-1-4, 4.5(1), the recommended value."""

GRAVITY_M_S2 = 9.80665
"""Standard gravity (ISO 80000-3)."""

METRES_PER_SECOND_PER_MPH = 0.44704

INLAND_GUST_FACTOR = 1.66
"""A 3 s gust over a 10 min mean, inland, 10 m up (Harper, Kepert & Ginger 2010, WMO/TD-No. 1555).

Meant for tropical cyclones; for winds at large EN 1991-1-4 has 1.52 in open country, 1.73 in a
suburb.
"""

COME_DOWN_LIMIT_M_S = 24 * METRES_PER_SECOND_PER_MPH
"""Nothing stays up beyond this, gusts included: the limit for inflatables, 24 mph (EN 14960)."""

WATCH_SHARE, ACT_SHARE = 0.6, 0.8
"""Shares of the come-down gust at which people are warned (a city park's wind management plan)."""

SAFETY = 1.5
"""Common practice, no source: by how much holding must exceed what the wind does."""


def velocity_pressure(speed_m_s: float, *, density_kg_m3: float = AIR_DENSITY_KG_M3) -> float:
    """Pressure [Pa] of a wind [m/s] brought to rest: rho v^2 / 2 (EN 1991-1-4, 4.10).

    Density of air [kg/m3] above 0.
    """
    _demand(speed_m_s=_not_negative(speed_m_s), density_kg_m3=_positive(density_kg_m3))
    return density_kg_m3 * speed_m_s**2 / 2


def asce_velocity_pressure_psf(speed_mph: float, *, exposure: float = 1.0) -> float:
    """The same in US units [lb/ft2], V [mph]: 0.00256 Kz Kzt Kd V^2 (ASCE 7).

    `exposure` is the product Kz Kzt Kd [-]. Agrees with air of 1.225 kg/m3 within 0.2 %.
    """
    _demand(speed_mph=_not_negative(speed_mph), exposure=_positive(exposure))
    return 0.00256 * exposure * speed_mph**2


_BEAUFORT_LIMITS_M_S = (0.2, 1.5, 3.3, 5.4, 7.9, 10.7, 13.8, 17.1, 20.7, 24.4, 28.4, 32.6)
# The WMO table steps in tenths, 10.7 then 10.8: halfway between, so that no speed is in a gap.
_BEAUFORT_EDGES_M_S = tuple(limit + 0.05 for limit in _BEAUFORT_LIMITS_M_S)


def beaufort(mean_m_s: float) -> int:
    """Beaufort number, 0 to 12, of a 10 min mean [m/s] 10 m up (WMO table in m/s)."""
    _demand(mean_m_s=_not_negative(mean_m_s))
    return bisect_right(_BEAUFORT_EDGES_M_S, mean_m_s)


def beaufort_band(number: int) -> tuple[float, float]:
    """Mean speeds [m/s] of a Beaufort number, 0 to 12: from the first, below the second."""
    _demand(number=(0 <= number <= 12, "must be from 0 to 12"))
    edges = (0.0, *_BEAUFORT_EDGES_M_S, math.inf)
    return edges[number], edges[number + 1]


def beaufort_speed(number: float) -> float:
    """The mean speed [m/s] that a Beaufort number, 0 to 12, stands for: 0.836 B^1.5.

    The constant in m/s is from memory; public how-tos have it in mph, 1.87.
    """
    _demand(number=(0 <= number <= 12, "must be from 0 to 12"))
    return 0.836 * math.pow(number, 1.5)


def gust_factor(height_m: float, roughness_m: float) -> float:
    """Gust over 10 min mean [-]: sqrt(1 + 7 I), I = 1/ln(z/z0) (EN 1991-1-4, 4.7 and 4.8).

    Height z [m] up to 200, roughness length z0 [m] well below it: open sea 0.003, flat land 0.01,
    open country 0.05, suburb 0.3; the code takes at least 1, 1, 2 and 5 m for z.
    """
    _demand(
        height_m=(roughness_m < height_m <= 200, "must be above the roughness, at most 200"),
        roughness_m=_positive(roughness_m),
    )
    return math.sqrt(1 + 7 / math.log(height_m / roughness_m))


def gust_speed(mean_m_s: float, factor: float = INLAND_GUST_FACTOR) -> float:
    """Gust [m/s] to reckon with at a 10 min mean [m/s]; a factor [-] below 1 is refused."""
    _demand(mean_m_s=_not_negative(mean_m_s), factor=_one_or_more(factor))
    return mean_m_s * factor


@dataclass(frozen=True, kw_only=True, slots=True)
class Coefficient:
    """A figure without unit from a table, and where it comes from."""

    value: float
    source: str
    mark: Literal["published", "from memory"] = "published"


class Face(StrEnum):
    """What a flat part shows the wind; a sign board is any panel that stands near the ground."""

    SQUARE_PANEL = "square_panel"
    LONG_PANEL = "long_panel"
    DISC = "disc"
    SIGN_BOARD = "sign_board"


_DATA_BOOK = "Aeronautical Engineer's Data Book, fig. 5.13: drag coefficients of standard shapes"

FORCE_COEFFICIENTS: Mapping[Face, Coefficient] = {
    Face.SQUARE_PANEL: Coefficient(value=1.17, source=_DATA_BOOK),
    Face.LONG_PANEL: Coefficient(value=1.98, source=_DATA_BOOK),
    Face.DISC: Coefficient(value=1.12, source="engineering encyclopedia, 'Drag coefficient'"),
    Face.SIGN_BOARD: Coefficient(value=1.80, source="EN 1991-1-4, 7.4.3(2)"),
}

# Length over diameter and coefficient of a cylinder square to the wind, same source.
_CYLINDER = ((1.0, 0.63), (2.0, 0.68), (5.0, 0.74), (10.0, 0.82), (40.0, 0.98))
_ENDLESS_CYLINDER = 1.20


def garland_coefficient(length_m: float, girth_m: float) -> float:
    """Force coefficient [-], on its outline, of a garland so long and so thick [m].

    A cylinder by length over diameter, table of the Aeronautical Engineer's Data Book: linear in
    the logarithm between entries, beyond 40 linear in the inverse to the endless cylinder's 1.20,
    below 1 as at 1. The fall in drag at high Reynolds numbers is not counted on.
    """
    _demand(length_m=_positive(length_m), girth_m=_positive(girth_m))
    ratio = length_m / girth_m
    last, at_last = _CYLINDER[-1]
    if ratio >= last:
        return _ENDLESS_CYLINDER - (_ENDLESS_CYLINDER - at_last) * last / ratio
    if ratio <= 1:
        return _CYLINDER[0][1]
    after = bisect_right(_CYLINDER, (ratio, math.inf))
    (low, at_low), (high, at_high) = _CYLINDER[after - 1], _CYLINDER[after]
    return at_low + (at_high - at_low) * math.log(ratio / low) / math.log(high / low)


FRICTION: Mapping[str, Coefficient] = {
    "grass": Coefficient(
        value=0.2, source="wet grass under a tire (Noon 1994); any foot", mark="from memory"
    ),
    "paving": Coefficient(value=0.4, source="concrete on concrete, BS 5975 (Concrete Society)"),
    "timber": Coefficient(value=0.3, source="planed wood on plywood, CTU Code, appendix 2"),
    "carpet": Coefficient(value=0.3, source="laid loose it slides itself", mark="from memory"),
}
"""Static friction [-] by floor, the low end. Bare steel on smooth cast concrete has only 0.1
(BS 5975): rubber under the feet, or the owner's own figure."""


@dataclass(frozen=True, kw_only=True, slots=True)
class WindLoad:
    """What wind does to a body: a level push [N], its moment about the edge of the base [N m]."""

    force_n: float
    moment_nm: float

    def __post_init__(self) -> None:
        """Refuse a push or moment that is no number or below 0."""
        _demand(force_n=_not_negative(self.force_n), moment_nm=_not_negative(self.moment_nm))

    @property
    def effective_height_m(self) -> float:
        """Height [m] at which the push has that moment; 0 where nothing is pushed."""
        return self.moment_nm / self.force_n if self.force_n else 0.0


@dataclass(frozen=True, kw_only=True, slots=True)
class Part:
    """A part that catches wind: outline [m2], force coefficient [-], height of its center [m]."""

    area_m2: float
    coefficient: float
    height_m: float

    def __post_init__(self) -> None:
        """Refuse every measure that is no number or below 0."""
        _demand(
            area_m2=_not_negative(self.area_m2),
            coefficient=_not_negative(self.coefficient),
            height_m=_not_negative(self.height_m),
        )


@dataclass(frozen=True, kw_only=True, slots=True)
class Body:
    """Parts that stand and fall together; one in the lee of another still counts in full."""

    parts: tuple[Part, ...]

    def load(self, pressure_pa: float) -> WindLoad:
        """Push and moment at a velocity pressure [Pa]: sums of q c A and of q c A z."""
        _demand(pressure_pa=_not_negative(pressure_pa))
        pushes = [pressure_pa * part.coefficient * part.area_m2 for part in self.parts]
        heights = (part.height_m for part in self.parts)
        moment = sum(push * height for push, height in zip(pushes, heights, strict=True))
        return WindLoad(force_n=sum(pushes), moment_nm=moment)


@dataclass(frozen=True, kw_only=True, slots=True)
class Base:
    """What a body stands on.

    `depth_m` [m] is from the foremost to the rearmost point that touches the floor, square to the
    face. A hoop or frame tips over its front or its back edge, whichever way the wind blows, so
    half the depth is its arm; with ballast on the back legs alone it is free to fall back.
    Friction [-], own mass with garland [kg], number of feet, safety [-].
    """

    depth_m: float
    friction: float
    own_mass_kg: float = 0.0
    feet: int = 1
    safety: float = SAFETY

    def __post_init__(self) -> None:
        """Refuse a base without depth, grip or feet, and a safety that is none."""
        _demand(
            depth_m=_positive(self.depth_m),
            friction=_positive(self.friction),
            own_mass_kg=_not_negative(self.own_mass_kg),
            feet=_one_or_more(self.feet),
            safety=_one_or_more(self.safety),
        )


@dataclass(frozen=True, kw_only=True, slots=True)
class Ballast:
    """Mass to add [kg], beyond the body's own, against tipping and against sliding."""

    against_tipping_kg: float
    against_sliding_kg: float
    feet: int

    @property
    def needed_kg(self) -> float:
        """In all [kg]: the larger of the two, since the same mass does both."""
        return max(self.against_tipping_kg, self.against_sliding_kg)

    @property
    def each_foot_kg(self) -> float:
        """On each foot [kg], in equal shares."""
        return self.needed_kg / self.feet


def ballast_for(load: WindLoad, base: Base) -> Ballast:
    """Ballast that holds a load; m is with the body's own mass. Statics of a rigid body.

    Tipping: M SF <= m g depth/2. Sliding: F SF <= mu m g.
    """
    tipping = load.moment_nm * base.safety / (GRAVITY_M_S2 * base.depth_m / 2)
    sliding = load.force_n * base.safety / (GRAVITY_M_S2 * base.friction)
    return Ballast(
        against_tipping_kg=max(0.0, tipping - base.own_mass_kg),
        against_sliding_kg=max(0.0, sliding - base.own_mass_kg),
        feet=base.feet,
    )


@dataclass(frozen=True, kw_only=True, slots=True)
class Held:
    """Gusts [m/s] up to which a body does not tip and does not slide, safety included."""

    tipping_m_s: float
    sliding_m_s: float

    @property
    def gust_m_s(self) -> float:
        """The lower of the two [m/s]; infinite for a body that catches no wind."""
        return min(self.tipping_m_s, self.sliding_m_s)


def gust_held(
    body: Body, base: Base, ballast_kg: float, *, density_kg_m3: float = AIR_DENSITY_KG_M3
) -> Held:
    """The gusts that so much ballast in all [kg] still holds: `ballast_for` turned round.

    Density of air [kg/m3] above 0.
    """
    _demand(ballast_kg=_not_negative(ballast_kg), density_kg_m3=_positive(density_kg_m3))
    weight_n = (ballast_kg + base.own_mass_kg) * GRAVITY_M_S2
    acts = body.load(density_kg_m3 / 2 * base.safety)
    return Held(
        tipping_m_s=_speed(weight_n * base.depth_m / 2, acts.moment_nm),
        sliding_m_s=_speed(weight_n * base.friction, acts.force_n),
    )


def _speed(holds: float, acts_at_1_m_s: float) -> float:
    return math.sqrt(holds / acts_at_1_m_s) if acts_at_1_m_s else math.inf


@dataclass(frozen=True, kw_only=True, slots=True)
class ComeDown:
    """The gust [m/s] at which a piece comes down, and what sets it."""

    gust_m_s: float
    set_by: Literal["tipping", "sliding", "limit"]

    @property
    def watch_at_m_s(self) -> float:
        """Gust [m/s] from which somebody watches it: 60 %."""
        return WATCH_SHARE * self.gust_m_s

    @property
    def act_at_m_s(self) -> float:
        """Gust [m/s] at which people are cleared away and hands are ready: 80 %."""
        return ACT_SHARE * self.gust_m_s


def come_down(held: Held, *, limit_m_s: float = COME_DOWN_LIMIT_M_S) -> ComeDown:
    """When a piece comes down: at what holds it, or at a limit [m/s] that no ballast lifts."""
    _demand(limit_m_s=_positive(limit_m_s))
    if limit_m_s <= held.gust_m_s:
        return ComeDown(gust_m_s=limit_m_s, set_by="limit")
    tips_first = held.tipping_m_s <= held.sliding_m_s
    return ComeDown(gust_m_s=held.gust_m_s, set_by="tipping" if tips_first else "sliding")


_Check = tuple[bool, str]


def _not_negative(value: float) -> _Check:
    return math.isfinite(value) and value >= 0, "must be a number of 0 or more"


def _positive(value: float) -> _Check:
    return math.isfinite(value) and value > 0, "must be a number above 0"


def _one_or_more(value: float) -> _Check:
    return math.isfinite(value) and value >= 1, "must be a number of 1 or more"


def _demand(**checks: _Check) -> None:
    faults = Faults()
    for field, (holds, detail) in checks.items():
        faults.check(holds, field, detail)
    faults.raise_as(BriefError)
