"""What wind does to boards and panels.

US examples are worked in feet, pounds and mph as printed, through the same functions in SI.
"""

from functools import partial

from service.estimating.gusts import (
    Base,
    Body,
    Face,
    Held,
    Part,
    WindLoad,
    asce_velocity_pressure_psf,
    ballast_for,
    gust_held,
)
from tests.published.row import FOOT, POUND, Disagreement, Row, derived, published
from tests.published.wind import BANNERS, EN_SIGN, MPH, POUND_FORCE, PSF, en_peak_kpa, face


def board(area_m2: float, coefficient: float, height_m: float) -> Body:
    """One board and nothing else."""
    part = Part(area_m2=area_m2, coefficient=coefficient, height_m=height_m)
    return Body(parts=(part,))


def pounds(area_ft2: float, coefficient: float, mph: float, exposure: float = 1.0) -> float:
    """Push on a board in pounds, by the US pressure."""
    pressure = asce_velocity_pressure_psf(mph, exposure=exposure) * PSF
    return board(area_ft2 * FOOT**2, coefficient, 0).load(pressure).force_n / POUND_FORCE


_PANEL = "Engineering Stack Exchange 22313, panel wind load: 10 x 4 ft, 15 mph, Cd 2"
_FROM_PANEL = "from the Q&A's panel on a base 3.5 ft deep, recomputed by hand"


def panel() -> Body:
    """The Q&A's panel, its center at 5 ft."""
    return board(40 * FOOT**2, 2.0, 5 * FOOT)


def panel_load() -> WindLoad:
    """What 15 mph does to the panel."""
    return panel().load(asce_velocity_pressure_psf(15) * PSF)


def panel_pounds(against: str, safety: float) -> float:
    """Pounds that keep the panel from tipping or sliding: base 3.5 ft deep, friction 0.4."""
    base = Base(depth_m=3.5 * FOOT, friction=0.4, safety=safety)
    ballast = ballast_for(panel_load(), base)
    tips = against == "tipping"
    return (ballast.against_tipping_kg if tips else ballast.against_sliding_kg) / POUND


def held(ballast_lb: float) -> Held:
    """Gusts that so much ballast holds on the panel's base, by the US pressure."""
    base = Base(depth_m=3.5 * FOOT, friction=0.4, safety=1)
    density = 2 * asce_velocity_pressure_psf(1) * PSF / MPH**2
    return gust_held(panel(), base, ballast_lb * POUND, density_kg_m3=density)


def en_sign_force_kn() -> float:
    """The EN signboard's push."""
    pressure = en_peak_kpa(34.82, 5, 0.01) * 1000
    return board(7 * 5, face(Face.SIGN_BOARD), 5).load(pressure).force_n / 1000


FORCES = (
    published(
        id="panel: push",
        source=f"{_PANEL}: 46.08 lb",
        expected=46.08,
        tolerance=0.001,
        unit="lb",
        answer=lambda: pounds(40, 2, 15),
    ),
    published(
        id="panel: moment at 20 psf",
        source="Engineering Stack Exchange 22313, answer: 20 psf give 4,000 lb ft at the base",
        expected=4000,
        tolerance=0.01,
        unit="lb ft",
        answer=lambda: (
            board(40 * FOOT**2, 1, 5 * FOOT).load(20 * PSF).moment_nm / POUND_FORCE / FOOT
        ),
    ),
    derived(
        id="panel: moment at 15 mph",
        source=_FROM_PANEL,
        expected=230.4,
        tolerance=0.01,
        unit="lb ft",
        answer=lambda: panel_load().moment_nm / POUND_FORCE / FOOT,
    ),
    *(
        derived(
            id=f"panel: ballast against {against}, safety {safety}",
            source=_FROM_PANEL,
            expected=lb,
            tolerance=0.05,
            unit="lb",
            answer=partial(panel_pounds, against, safety),
        )
        for against, safety, lb in (
            ("tipping", 1.0, 131.7),
            ("tipping", 1.5, 197.5),
            ("sliding", 1.0, 115.2),
            ("sliding", 1.5, 172.8),
        )
    ),
    derived(
        id="panel: gust at which it tips with 131.7 lb",
        source="ballast against tipping at 15 mph, turned round",
        expected=15,
        tolerance=0.01,
        unit="mph",
        answer=lambda: held(131.7).tipping_m_s / MPH,
    ),
    derived(
        id="panel: gust at which it slides with 115.2 lb",
        source="ballast against sliding at 15 mph, turned round",
        expected=15,
        tolerance=0.01,
        unit="mph",
        answer=lambda: held(115.2).sliding_m_s / MPH,
    ),
    published(
        id="US sign: push",
        source="'Sign calculator', sheet after ASCE 7-10: G 0.85, Cf 1.80, 7.48 ft2, 648 lb",
        expected=648,
        tolerance=0.5,
        unit="lb",
        answer=lambda: pounds(7.48, 0.85 * face(Face.SIGN_BOARD), 155, exposure=1.083 * 0.85),
    ),
    published(
        id="EN sign: push",
        source=f"{EN_SIGN}: 101.43 kN",
        expected=101.43,
        tolerance=0.1,
        unit="kN",
        answer=en_sign_force_kn,
    ),
    published(
        id="banner 4 x 8 ft at 75 mph",
        source=f"{BANNERS}: 460 lb",
        expected=460,
        tolerance=1,
        unit="lb",
        answer=lambda: pounds(32, face(Face.SIGN_BOARD), 75),
        disagrees=Disagreement(
            by=0.802, because="the article takes a coefficient of 1; code has 1.8 for a sign"
        ),
    ),
    published(
        id="photo board 4 x 6 ft at 20 mph",
        source="'Stand outs', a photo board: approximately 25 pounds",
        expected=25,
        tolerance=1,
        unit="lb",
        answer=lambda: pounds(24, face(Face.SQUARE_PANEL), 20),
        disagrees=Disagreement(
            by=0.150, because="the writer takes a coefficient of 1, the handbook 1.17"
        ),
    ),
)

ROWS: tuple[Row, ...] = FORCES
