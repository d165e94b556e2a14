"""Statics: what a wind does to a body, the ballast that holds it, and when it comes down."""

import math
from dataclasses import dataclass
from typing import Literal

from service.estimating.gusts.demands import demand, not_negative, one_or_more, positive
from service.estimating.gusts.wind import AIR_DENSITY_KG_M3, METRES_PER_SECOND_PER_MPH

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

GRAVITY_M_S2 = 9.80665
"""Standard gravity (ISO 80000-3)."""

COME_DOWN_LIMIT_M_S = 24 * METRES_PER_SECOND_PER_MPH
"""Nothing stays up beyond this, gusts included: the limit for inflatables, 24 mph (EN 14960)."""

WATCH_SHARE, ACT_SHARE = 0.6, 0.8
"""Shares of the come-down gust at which people are warned (a city park's wind management plan)."""

SAFETY = 1.5
"""Common practice, no source: by how much holding must exceed what the wind does."""


@dataclass(frozen=True, kw_only=True, slots=True)
class WindLoad:
    """What wind does to a body: a level push [N], its moment about the edge of the base [N m]."""

    force_n: float
    moment_nm: float

    def __post_init__(self) -> None:
        """Refuse a push or moment that is no number or below 0."""
        demand(force_n=not_negative(self.force_n), moment_nm=not_negative(self.moment_nm))

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
        demand(
            area_m2=not_negative(self.area_m2),
            coefficient=not_negative(self.coefficient),
            height_m=not_negative(self.height_m),
        )


@dataclass(frozen=True, kw_only=True, slots=True)
class Body:
    """Parts that stand and fall together; one in the lee of another still counts in full."""

    parts: tuple[Part, ...]

    def load(self, pressure_pa: float) -> WindLoad:
        """Push and moment at a velocity pressure [Pa]: sums of q c A and of q c A z."""
        demand(pressure_pa=not_negative(pressure_pa))
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
        demand(
            depth_m=positive(self.depth_m),
            friction=positive(self.friction),
            own_mass_kg=not_negative(self.own_mass_kg),
            feet=one_or_more(self.feet),
            safety=one_or_more(self.safety),
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
    demand(ballast_kg=not_negative(ballast_kg), density_kg_m3=positive(density_kg_m3))
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
    demand(limit_m_s=positive(limit_m_s))
    if limit_m_s <= held.gust_m_s:
        return ComeDown(gust_m_s=limit_m_s, set_by="limit")
    tips_first = held.tipping_m_s <= held.sliding_m_s
    return ComeDown(gust_m_s=held.gust_m_s, set_by="tipping" if tips_first else "sliding")
