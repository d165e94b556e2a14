"""What wind does to boards and frames, what holds them, and when they come down.

US examples are worked in feet, pounds and mph as printed, through the same functions in SI.
"""

from functools import partial

from service.estimating.brief import Ground
from service.estimating.gusts import (
    GRAVITY_M_S2,
    Ballast,
    Base,
    Body,
    ComeDown,
    Face,
    WindLoad,
    asce_velocity_pressure_psf,
    ballast_for,
    beaufort,
    come_down,
    gust_held,
    velocity_pressure,
)
from tests.published.demo import book
from tests.published.forces import board
from tests.published.row import FOOT, POUND, Disagreement, Row, derived, published
from tests.published.wind import MPH, PSF, face

_HOARDING = "'Design calculation for hoarding': 2 x 3 m, arm 1 m, footing 0.3 m deep"


def hoarding() -> Body:
    """The example's hoarding; it takes a coefficient of 1."""
    return board(6, 1, 1)


def hoarding_load() -> WindLoad:
    """What the example's wind does to it."""
    return hoarding().load(velocity_pressure(9.22, density_kg_m3=2 * 0.613))


def hoarding_safety() -> float:
    """What 2,119 N of concrete hold over what 9.22 m/s does."""
    base = Base(depth_m=0.3, friction=1, safety=1)
    held = gust_held(hoarding(), base, 2119 / GRAVITY_M_S2, density_kg_m3=2 * 0.613)
    return (held.tipping_m_s / 9.22) ** 2


def hoarding_ballast() -> float:
    """Concrete [kg] that holds the hoarding as safely as the example's."""
    base = Base(depth_m=0.3, friction=1, safety=317.84 / 312.66)
    return ballast_for(hoarding_load(), base).against_tipping_kg


def canopy_pounds(length_ft: float) -> float:
    """What keeps an open canopy 10 ft deep from tipping at 35 mph, without any safety.

    Its roof is taken as 3 ft high in profile, 8.5 ft up; the guides leave sliding to friction.
    """
    profile = board(3 * length_ft * FOOT**2, face(Face.SQUARE_PANEL), 8.5 * FOOT)
    load = profile.load(asce_velocity_pressure_psf(35) * PSF)
    base = Base(depth_m=10 * FOOT, friction=book().wind.friction[Ground.PAVING], safety=1)
    return ballast_for(load, base).against_tipping_kg / POUND


def held_newtons(ballast_kg: float) -> float:
    """The push that a mass holds at a friction of 1 without any safety."""
    held = gust_held(board(1, 1, 0), Base(depth_m=1, friction=1, safety=1), ballast_kg)
    return velocity_pressure(held.sliding_m_s)


_ANCHORS = "'Bouncy castle safety: wind and anchors' 2018"

BALLAST = (
    published(
        id="hoarding: push",
        source=_HOARDING,
        expected=312.66,
        tolerance=0.02,
        unit="N",
        answer=lambda: hoarding_load().force_n,
    ),
    published(
        id="hoarding: moment",
        source=_HOARDING,
        expected=312.66,
        tolerance=0.02,
        unit="N m",
        answer=lambda: hoarding_load().moment_nm,
    ),
    published(
        id="hoarding: safety",
        source=f"{_HOARDING}: 1.02",
        expected=1.02,
        tolerance=0.005,
        answer=hoarding_safety,
    ),
    published(
        id="hoarding: mass of its footing",
        source="'Design calculation for hoarding': 'weight 2119 kg'",
        expected=2119,
        tolerance=1,
        unit="kg",
        answer=hoarding_ballast,
        disagrees=Disagreement(
            by=-0.898, because="2,119 are newtons; the footing's mass is 216 kg"
        ),
    ),
    published(
        id="canopy 10 x 10 ft at 35 mph",
        source="'Weight for a 10x10': at least 200 lb; the roof's 3 ft profile is ours",
        expected=200,
        tolerance=50,
        unit="lb",
        answer=partial(canopy_pounds, 10),
    ),
    published(
        id="canopy 10 x 20 ft at 35 mph",
        source="'Weight for a 10x20 canopy': 370 lb; the roof's 3 ft profile is ours",
        expected=370,
        tolerance=90,
        unit="lb",
        answer=partial(canopy_pounds, 20),
    ),
    published(
        id="six anchors share 978 kg",
        source=f"{_ANCHORS}: 163 kg each",
        expected=163,
        tolerance=1e-9,
        unit="kg",
        answer=lambda: Ballast(against_tipping_kg=978, against_sliding_kg=0, feet=6).each_foot_kg,
    ),
    published(
        id="what an anchor of 163 kg holds",
        source=f"{_ANCHORS}: 167 kN",
        expected=167_000,
        tolerance=1,
        unit="N",
        answer=partial(held_newtons, 163),
        disagrees=Disagreement(
            by=-0.990, because="163 kg weigh 1.6 kN: the unit printed is off by a hundred"
        ),
    ),
    published(
        id="safety of friction",
        source="Concrete Society, 'Friction between elements': at least 2.0 on side loads",
        expected=2.0,
        tolerance=0.1,
        answer=lambda: book().wind.safety_factor,
        disagrees=Disagreement(
            by=-0.25, because="one safety for tipping and sliding, over the lowest friction known"
        ),
    ),
)

_WIND_PLAN = "Bute Park's 'Wind management plan': actions at 60 % and 80 % of the limit"


def still() -> ComeDown:
    """When a piece that catches no wind comes down: at the limit."""
    return come_down(
        gust_held(Body(parts=()), Base(depth_m=1, friction=0.4), 0),
        limit_m_s=book().wind.come_down_m_s,
    )


COMING_DOWN = (
    published(
        id="limit in mph",
        source="'European wind speed requirements' after EN 14960: 24 mph",
        expected=24,
        tolerance=1e-9,
        unit="mph",
        answer=lambda: still().gust_m_s / MPH,
    ),
    published(
        id="limit by Beaufort",
        source="'European wind speed requirements' after EN 14960: not above force 5",
        expected=5,
        tolerance=0,
        answer=lambda: beaufort(still().gust_m_s),
    ),
    derived(
        id="watch at",
        source=f"{_WIND_PLAN}: 14.4 mph",
        expected=14.4,
        tolerance=1e-9,
        unit="mph",
        answer=lambda: still().watch_at_m_s / MPH,
    ),
    derived(
        id="act at",
        source=f"{_WIND_PLAN}: 19.2 mph",
        expected=19.2,
        tolerance=1e-9,
        unit="mph",
        answer=lambda: still().act_at_m_s / MPH,
    ),
)

_BS_5975 = "Concrete Society, friction between elements, after BS 5975"


FRICTIONS = (
    published(
        id="concrete on paving",
        source=f"{_BS_5975}: 0.4",
        expected=0.4,
        tolerance=1e-9,
        answer=lambda: book().wind.friction[Ground.PAVING],
    ),
    published(
        id="steel on trowelled concrete",
        source=f"{_BS_5975}: 0.5",
        expected=0.5,
        tolerance=0.05,
        answer=lambda: book().wind.friction[Ground.PAVING],
        disagrees=Disagreement(
            by=-0.2, because="paving goes by its lowest pair, concrete on concrete"
        ),
    ),
    published(
        id="timber on concrete",
        source="data sheet 'Friction between elements': 0.7, lowest measured",
        expected=0.7,
        tolerance=0.05,
        answer=lambda: book().wind.friction[Ground.PAVING],
        disagrees=Disagreement(
            by=-0.429, because="paving goes by its lowest pair, concrete on concrete"
        ),
    ),
    published(
        id="bare steel on smooth cast concrete",
        source=f"{_BS_5975}: 0.1",
        expected=0.1,
        tolerance=0.02,
        answer=lambda: book().wind.friction[Ground.PAVING],
        disagrees=Disagreement(
            by=3.0, because="paving is brushed; a smooth floor needs rubber or the owner's figure"
        ),
    ),
    published(
        id="planed wood on plywood",
        source="UNECE CTU Code, appendix 2, friction factors: 0.3, dry and wet",
        expected=0.3,
        tolerance=1e-9,
        answer=lambda: book().wind.friction[Ground.TIMBER],
    ),
    published(
        id="steel on sawn timber",
        source="load-securing friction tables, sawn timber on steel: 0.4",
        expected=0.4,
        tolerance=0.05,
        answer=lambda: book().wind.friction[Ground.TIMBER],
        disagrees=Disagreement(
            by=-0.25, because="timber goes by its lowest pair, planed wood on plywood"
        ),
    ),
    published(
        id="wet grass",
        source="Noon 1994, Engineering Analysis of Vehicular Accidents: 0.2 for a tire",
        expected=0.2,
        tolerance=1e-9,
        answer=lambda: book().wind.friction[Ground.GRASS],
    ),
)

ROWS: tuple[Row, ...] = (*BALLAST, *COMING_DOWN, *FRICTIONS)
