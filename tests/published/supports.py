"""Doorways, mantels, swags and stairs, the line that runs along them, and who stands beside."""

import math
from decimal import Decimal

from service.estimating.book import LineAndFixings, LineKind
from service.estimating.line import LONG_260_M, line_for
from service.estimating.paths import Path, Run, Support
from service.estimating.paths.supports.staircase import RISER_M, TREAD_M
from service.workshop.scene.composing import PERSON_M
from tests.published.geometry import along, swag
from tests.published.row import FOOT, INCH, Between, Disagreement, Row, published, remembered


def stairs(rise: float, run: float) -> Path:
    """The handrail of a straight flight."""
    return along(Support.STAIRCASE, rise_m=rise, run_m=run)


_LINE = LineAndFixings(
    kind=LineKind.CORD,
    tail_m=3 * FOOT,
    knots_share=0,
    price_per_m=Decimal(0),
    length_m=100,
    join_m=0.2,
    spacing_m=0.4,
    clips_per_point=1,
    price_per_clip=Decimal(0),
    bands_per_point=1,
    price_per_band=Decimal(0),
)


def line_ft(length_ft: float) -> float:
    """Line for one run with three feet at each end; feet in, feet out."""
    return line_for((Run(start_m=0, length_m=length_ft * FOOT),), _LINE).length_m / FOOT


HOUSES = (
    published(
        id="doorway 10 ft high, 4 ft wide",
        source="garden center's 'Swag, wrap & rope': height x 2 + width = 24 ft",
        expected=24,
        tolerance=1e-9,
        unit="ft",
        answer=lambda: along(Support.DOORWAY, width_m=4, height_m=10).length_m,
    ),
    published(
        id="mantel of 6 ft with ends hanging down",
        source="'How much garland for draping?': 2 ft at each end, 10 ft in all",
        expected=10,
        tolerance=1e-9,
        unit="ft",
        # In meters: the mantel itself is 1.4 m high.
        answer=lambda: along(Support.MANTEL, length_m=6 * FOOT, drop_m=2 * FOOT).length_m / FOOT,
    ),
    published(
        id="swag on a fence, a quarter of its span deep",
        source="'How do you measure a garland for a fence?': 1.2 times its length",
        expected=1.2,
        tolerance=0.06,
        unit="spans",
        answer=lambda: swag(1, 0.25),
    ),
    published(
        id="swag on a banister, a quarter of its span deep",
        source="garden center's 'Swag, wrap & rope': length x 1.5",
        expected=1.5,
        tolerance=0.06,
        unit="spans",
        answer=lambda: swag(1, 0.25),
        disagrees=Disagreement(by=-0.232, because="half as much again hangs down by half the span"),
    ),
    published(
        id="across a room of 20 x 30 ft",
        source="decorators' list archive 21729: sqrt(1300) = 36.055 ft",
        expected=36.055,
        tolerance=0.001,
        unit="ft",
        answer=lambda: stairs(20, 30).length_m,
    ),
)

_COUNTY = "as a county prints it"

STAIRS = (
    published(
        id="riser at its limit",
        source=f"IRC 2018 R311.7.5.1 {_COUNTY}: 7 3/4 in (196 mm)",
        expected=0.196,
        tolerance=0.001,
        unit="m",
        answer=lambda: RISER_M,
    ),
    published(
        id="tread at its limit",
        source=f"IRC 2018 R311.7.5.2 {_COUNTY}: 10 in (254 mm)",
        expected=0.254,
        tolerance=1e-9,
        unit="m",
        answer=lambda: TREAD_M,
    ),
    published(
        id="stairs of 108 in rise and 130 in run",
        source="'Stair calculator', standard 9 ft floor: 14 risers, 13 treads, 169.0 in",
        expected=169.0,
        tolerance=0.05,
        unit="in",
        answer=lambda: stairs(108, 130).length_m,
    ),
    published(
        id="stairs of 108 in rise and 154 in run",
        source="'Stair layout', step by step: 15 risers, 14 treads of 11 in, 188.10 in",
        expected=188.10,
        tolerance=0.005,
        unit="in",
        answer=lambda: stairs(108, 154).length_m,
    ),
    published(
        id="stairs of 108 in by their 14 steps alone",
        source="'Stair calculator', standard 9 ft floor: 14 risers, 13 treads, 169.0 in",
        expected=169.0,
        tolerance=1,
        unit="in",
        answer=lambda: along(Support.STAIRCASE, steps=14).length_m / INCH,
        disagrees=Disagreement(
            by=0.048,
            because="steps alone are taken at the steepest and with a tread to every riser",
        ),
    ),
    published(
        id="public stairs by their 13 steps alone",
        source="Architectural Barriers Act 504.2: risers to 7 in, treads from 11 in",
        expected=13 * math.hypot(7, 11),
        tolerance=1,
        unit="in",
        answer=lambda: along(Support.STAIRCASE, steps=13).length_m / INCH,
        disagrees=Disagreement(by=-0.030, because="steps alone are taken at a dwelling's limits"),
    ),
)

LINES = (
    published(
        id="line for a 20 ft arch",
        source="arch instructions of a balloon dealer: six feet more, three at each end",
        expected=26,
        tolerance=1e-9,
        unit="ft",
        answer=lambda: line_ft(20),
    ),
    published(
        id="line for a 20 ft arch with short tails",
        source="'Balloon arch with a fishing line' (two pages): 24 in more",
        expected=22,
        tolerance=0.1,
        unit="ft",
        answer=lambda: line_ft(20),
        disagrees=Disagreement(
            by=0.182, because="a foot at each end ties to a sand bag and nothing else"
        ),
    ),
    published(
        id="length of a 260",
        source="twister's 'Kinds of balloons': the 60 means about 60 in long",
        expected=60,
        tolerance=1e-9,
        unit="in",
        answer=lambda: LONG_260_M / INCH,
    ),
)

BESIDE = (
    remembered(
        id="figure beside the garland in a picture",
        source="NCHS, Vital and Health Statistics 3(46): adults are 161.3 cm (women) and 175.3 cm"
        " (men) tall on average",
        expected=Between(low=1.613, high=1.753),
        unit="m",
        answer=lambda: PERSON_M,
    ),
)

ROWS: tuple[Row, ...] = (*HOUSES, *STAIRS, *LINES, *BESIDE)
