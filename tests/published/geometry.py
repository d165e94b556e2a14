"""Lengths of curves: frames and hoops, chains, ellipses, and the arches between them.

Worked in the unit of the source: every path scales with its measures.
"""

import math
from collections.abc import Mapping
from functools import partial

from scipy import integrate, special

from service.estimating.paths import Path, Placement, Shape, Support, kind_of, runs
from service.estimating.paths.arcs import HalfEllipse, ellipse_perimeter, incomplete_e
from service.estimating.paths.catenary import parameter
from tests.published.row import Disagreement, Row, derived, published, remembered


def along(support: Support, shape: Shape = Shape.CATENARY, **measures: float) -> Path:
    """The path of a support, in whatever unit its measures have."""
    given: Mapping[str, float] = measures
    return kind_of(support).path(given, shape)


def arch(width: float, height: float, shape: Shape = Shape.CATENARY) -> float:
    """Length of a freestanding arch."""
    return along(Support.FREESTANDING_ARCH, shape, width_m=width, height_m=height).length_m


def on_legs(width: float, height: float) -> float:
    """Length of a half circle on two legs."""
    return along(Support.ROUND_TOP_FRAME, width_m=width, height_m=height).length_m


def swag(width: float, sag: float) -> float:
    """Length of a swag."""
    return along(Support.SWAG, width_m=width, sag_m=sag).length_m


def slope(path: Path) -> float:
    """Slope of the last millionth of a path."""
    near = path.at((1 - 1e-6) * path.length_m)
    return (path.end.y - near.y) / (path.end.x - near.x)


def gateway() -> float:
    """Length of the Gateway Arch's centroid curve by quadrature [ft]."""
    half, _ = integrate.quad(
        lambda x: math.hypot(1, 68.7672 * 0.0100333 * math.sinh(0.0100333 * x)), 0, 299.2239
    )
    return 2 * float(half)


def parabola(rise: float) -> float:
    """Length of a parabola over a span of 1 by quadrature."""
    half, _ = integrate.quad(lambda x: math.hypot(1, 8 * rise * x), 0, 0.5)
    return 2 * float(half)


def chain(width: float, height: float) -> float:
    """Length of a chain by quadrature, its parameter found by bisection."""
    low, high = width / 100, 100 * width
    for _ in range(200):
        a = (low + high) / 2
        low, high = (a, high) if a * (math.cosh(width / 2 / a) - 1) > height else (low, a)
    half, _ = integrate.quad(lambda x: math.hypot(1, math.sinh(x / a)), 0, width / 2)
    return 2 * float(half)


_CLOSED = "closed form, recomputed by hand"

FRAMES = (
    derived(
        id="frame 4 x 7 ft, a half circle on legs",
        source="2 (7 - 2) + 2 pi",
        expected=2 * 5 + 2 * math.pi,
        tolerance=1e-9,
        unit="ft",
        answer=partial(on_legs, 4, 7),
    ),
    *(
        derived(
            id=f"half circle on legs {width} x {height}",
            source=f"2 (h - w/2) + pi w/2, {_CLOSED}",
            expected=length,
            tolerance=0.005,
            unit="ft",
            answer=partial(on_legs, width, height),
        )
        for width, height, length in ((6, 8, 19.42), (10, 10, 25.71), (30, 20, 57.12))
    ),
    *(
        derived(
            id=f"half ellipse {width} x {height}",
            source=f"complete elliptic integral, {_CLOSED}",
            expected=length,
            tolerance=0.005,
            unit="ft",
            answer=partial(arch, width, height, Shape.SEMI_ELLIPSE),
        )
        for width, height, length in ((6, 8, 18.18), (10, 10, 24.22), (30, 20, 55.26))
    ),
    derived(
        id="half ellipse 16 x 8 is a half circle",
        source="8 pi",
        expected=8 * math.pi,
        tolerance=1e-9,
        unit="ft",
        answer=partial(arch, 16, 8, Shape.SEMI_ELLIPSE),
    ),
    *(
        derived(
            id=f"catenary {width} x {height}",
            source="bisection for the parameter and scipy.integrate.quad",
            expected=chain(width, height),
            tolerance=1e-6,
            unit="ft",
            answer=partial(arch, width, height),
        )
        for width, height in ((6, 8), (10, 10), (30, 20))
    ),
    published(
        id="hoop 8 ft across",
        source="florist's 'Moon gate garland': 3.14 x 8 = 25.12 ft",
        expected=25.12,
        tolerance=0.02,
        unit="ft",
        answer=lambda: along(Support.HOOP, width_m=8).length_m,
    ),
    derived(
        id="hoop 8 ft across, left open by a quarter",
        source="three quarters of pi D",
        expected=6 * math.pi,
        tolerance=1e-12,
        unit="ft",
        answer=lambda: runs(along(Support.HOOP, width_m=8), 0.75, Placement.ONE_SIDE)[0].length_m,
    ),
)

CHAINS = (
    published(
        id="parameter of the catenary through (10, 6)",
        source="numerical methods exercise, 'Catenary curve Matlab help': C = 9.1889",
        expected=9.1889,
        tolerance=5e-5,
        answer=partial(parameter, 20, 6),
    ),
    published(
        id="parameter of the cable that hangs 3 wide and 0.59 deep",
        source="LibreTexts, General Physics I, 19.3 The Catenary: y = a cosh(x/a) - a with a = 2",
        expected=2.0,
        tolerance=1e-9,
        answer=lambda: parameter(3, 2 * (math.cosh(0.75) - 1)),
    ),
    published(
        id="parameter of a cable 100 ft apart, 30 ft of sag",
        source="calculus thread on the catenary with poles 100 ft apart: about 46",
        expected=46,
        tolerance=0.5,
        answer=partial(parameter, 100, 30),
    ),
    published(
        id="parameter of a cable 45.4 m apart, 30 m of sag",
        source="'80 m cable between two 50 m poles', worked example: a = 11.67",
        expected=11.67,
        tolerance=0.02,
        unit="m",
        answer=partial(parameter, 45.4, 30),
    ),
    published(
        id="cable 45.4 m apart, 30 m of sag",
        source="'80 m cable between two 50 m poles', worked example: 80 m, 45.4 m apart",
        expected=80,
        tolerance=0.05,
        unit="m",
        answer=partial(swag, 45.4, 30),
    ),
    published(
        id="wire between poles 50 ft apart, 4.36 ft of sag",
        source="Stewart, Calculus, applications of integration: 51 ft, held 24.36 ft up, 20 lowest",
        expected=51,
        tolerance=0.005,
        unit="ft",
        answer=lambda: swag(50, 24.36 - 20),
    ),
    published(
        id="telephone line over 14 m, its slope at the pole",
        source="Stewart, Calculus, hyperbolic functions: y = 20 cosh(x/20) - 15, slope 0.3572",
        expected=0.3572,
        tolerance=1e-4,
        answer=lambda: slope(along(Support.SWAG, width_m=14, sag_m=20 * (math.cosh(0.35) - 1))),
    ),
    published(
        id="wires between towers 40 m apart",
        source="answer to 'Electrical wires between two towers', y = 20 cosh(x/20): 47 m",
        expected=47,
        tolerance=0.5,
        unit="m",
        answer=lambda: swag(40, 20 * (math.cosh(1) - 1)),
    ),
    derived(
        id="posts of 10 m, cable 8 m up",
        source="s = 2a sinh(d/2a) with a = 8: d = 16 acosh 1.25, s = 16 x 0.75",
        expected=12,
        tolerance=1e-9,
        unit="m",
        answer=lambda: swag(16 * math.acosh(1.25), 2),
    ),
    published(
        id="cable over 100 ft, 12.25 ft of sag",
        source="Beer & Johnston, Statics, cables: 104 ft by the first two terms",
        expected=104,
        tolerance=0.15,
        unit="ft",
        answer=partial(swag, 100, 12.25),
    ),
    published(
        id="cable over 200 ft, 25 ft of sag",
        source="steel calculator's 'Cable sag reference', scenario A: a = 199.35, s = 207.5 ft",
        expected=207.5,
        tolerance=0.1,
        unit="ft",
        answer=partial(swag, 200, 25),
        disagrees=Disagreement(
            by=0.0029, because="its iteration stops early: at a = 199.35 a cable sags 25.6 ft"
        ),
    ),
    *(
        published(
            id=f"cable series, sag {sag:g} of the span",
            source="handbook series for cables: l (1 + 8/3 n^2 - 32/5 n^4 + 256/7 n^6), n = f/l",
            expected=1 + 8 / 3 * sag**2 - 32 / 5 * sag**4 + 256 / 7 * sag**6,
            tolerance=tolerance,
            unit="spans",
            answer=partial(swag, 1, sag),
        )
        for sag, tolerance in ((0.02, 1e-6), (0.05, 1e-5), (0.1, 2e-4))
    ),
    published(
        id="parabola against chain at a sag of a tenth",
        source="steel calculator's 'Cable sag reference', table: up to 0.10 within 1 %",
        expected=1,
        tolerance=0.01,
        answer=lambda: swag(1, 0.1) / parabola(0.1),
    ),
    published(
        id="Gateway Arch against a chain",
        source="US National Park Service: y = 693.8597 - 68.7672 cosh(0.0100333 x) ft, quadrature",
        expected=gateway(),
        tolerance=1,
        unit="ft",
        answer=lambda: arch(2 * 299.2239, 625.0925),
        disagrees=Disagreement(
            by=-0.008, because="its chain is weighted, thicker at the feet, so it is no catenary"
        ),
    ),
    derived(
        id="Gateway Arch, above the straight lines to its top",
        source="2 sqrt((w/2)^2 + h^2) is the least that any arch can measure",
        expected=2 * math.hypot(299.2239, 625.0925),
        unit="ft",
        answer=lambda: arch(2 * 299.2239, 625.0925),
        at_least=True,
    ),
)

_GOLF = "programming puzzle 'Circumference of an ellipse', test cases to ten figures"

ELLIPSES = (
    *(
        published(
            id=f"ellipse {a:g} by {b:g}",
            source=f"{_GOLF}: {around}",
            expected=around,
            tolerance=5e-9,
            answer=partial(ellipse_perimeter, a, b),
        )
        for a, b, around in (
            (1.2, 1, 6.925791195),
            (1.5, 1, 7.932719795),
            (2, 1, 9.688448220),
            (3, 1, 13.36489322),
        )
    ),
    published(
        id="ellipse 1 by 0.5",
        source="'Ellipse circumference, 20-sided polygon': elliptic integral, 4.84422508",
        expected=4.84422508,
        tolerance=2e-6,
        answer=partial(ellipse_perimeter, 1, 0.5),
    ),
    published(
        id="ellipse 3 by 2 by root mean square",
        source="programmers' tutorial 'Perimeter of an ellipse', 2 pi sqrt((a^2 + b^2)/2): 16.0109",
        expected=16.0109,
        tolerance=0.01,
        answer=partial(ellipse_perimeter, 3, 2),
        disagrees=Disagreement(
            by=-0.0091, because="the tutorial's formula is only for nearly round ellipses"
        ),
    ),
    remembered(
        id="complete integral at m = 1/2",
        source="Abramowitz & Stegun, table 17.1: E = 1.35064 38810",
        expected=1.3506438810,
        tolerance=1e-9,
        answer=lambda: ellipse_perimeter(1, math.sqrt(0.5)) / 4,
    ),
    derived(
        id="very flat ellipse, 10 by 0.01",
        source="scipy.special.ellipe",
        expected=4 * 10 * float(special.ellipe(1 - 1e-6)),
        tolerance=1e-9,
        answer=partial(ellipse_perimeter, 10, 0.01),
    ),
    derived(
        id="incomplete integral at 30 degrees, modular angle 30",
        source="scipy.special.ellipeinc",
        expected=float(special.ellipeinc(math.pi / 6, 0.25)),
        tolerance=1e-14,
        answer=partial(incomplete_e, math.pi / 6, 0.25),
    ),
    derived(
        id="height of a low half ellipse by its arc from the top",
        source="scipy.special.ellipeinc: 16 wide, 5 high, one radian from the top",
        expected=5 * math.cos(1),
        tolerance=1e-9,
        answer=lambda: (
            HalfEllipse(width_m=16, height_m=5)
            .at(
                HalfEllipse(width_m=16, height_m=5).length_m / 2
                - 8 * float(special.ellipeinc(1, 1 - 25 / 64))
            )
            .y
        ),
    ),
)

ROWS: tuple[Row, ...] = (*FRAMES, *CHAINS, *ELLIPSES)
