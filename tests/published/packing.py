"""Touching balloons: nested rings, how full they are, and the volume of one."""

import math
from functools import partial

from service.estimating.balloons import sphere_volume
from service.estimating.buoyancy import latex
from service.estimating.clusters import (
    DENSEST_PACKING,
    RANDOM_CLOSE_PACKING,
    balloons_per_metre,
    nested_girth,
    nested_pitch,
    nested_solid_fraction,
)
from tests.published.demo import book
from tests.published.row import (
    CUBIC_FOOT,
    FOOT,
    INCH,
    Between,
    Disagreement,
    Row,
    derived,
    published,
    remembered,
)

_RINGS = "touching spheres, recomputed by hand"
_COLUMNS = "'Sphere packing in a cylinder' (probsee) after Mughal et al. 2012, Phys. Rev. E 85"


def mixed_per_foot(girth_in: float) -> float:
    """Balloons a foot by the solid-fraction law for half ten-inch, half five-inch, few large."""
    sizes = ((0.4875, 9.5), (0.4875, 4.5), (0.025, 16.0))
    mean = sum(share * sphere_volume(d * INCH) for share, d in sizes)
    return balloons_per_metre(nested_solid_fraction(4), girth_in * INCH, mean) * FOOT


def cubic_feet(diameter_in: float) -> float:
    """Sphere volume; inches in, cubic feet out."""
    return sphere_volume(diameter_in * INCH) / CUBIC_FOOT


def quads_a_foot(sized_in: float) -> float:
    """Balloons in a foot of nested quads."""
    return 4 * FOOT / nested_pitch(4, sized_in * INCH)


RINGS = (
    *(
        derived(
            id=f"pitch of nested rings of {n}",
            source=f"d sqrt(1 - 1/(4 cos^2(pi/2n))), {_RINGS}",
            expected=pitch,
            tolerance=5e-5,
            unit="d",
            answer=partial(nested_pitch, n, 1),
        )
        for n, pitch in ((3, 0.8165), (4, 2**-0.25), (5, 0.8507), (6, 0.8556))
    ),
    *(
        derived(
            id=f"girth of rings of {n}",
            source=f"d (1 + 1/sin(pi/n)), {_RINGS}",
            expected=girth,
            tolerance=5e-4,
            unit="d",
            answer=partial(nested_girth, n, 1),
        )
        for n, girth in ((3, 2.155), (4, 1 + math.sqrt(2)), (6, 3.0))
    ),
    published(
        id="girth of rings of 5",
        source=f"{_COLUMNS}: pentagonal structure at D/d = 2.7013",
        expected=2.7013,
        tolerance=5e-5,
        unit="d",
        answer=partial(nested_girth, 5, 1),
    ),
    published(
        id="solid fraction of nested rings of 5",
        source=f"{_COLUMNS}: pentagonal structure, about 0.537",
        expected=0.537,
        tolerance=5e-4,
        answer=partial(nested_solid_fraction, 5),
    ),
    derived(
        id="solid fraction of nested quads",
        source=f"(4 pi/6) / (pi/4 (1 + sqrt 2)^2 2^(-1/4)), {_RINGS}",
        expected=0.544,
        tolerance=5e-4,
        answer=partial(nested_solid_fraction, 4),
    ),
    *(
        derived(
            id=f"balloons in a foot of quads sized to {sized_in} in",
            source="48 / (2^(-1/4) d), recomputed by hand",
            expected=a_foot,
            tolerance=0.01,
            answer=partial(quads_a_foot, sized_in),
        )
        for sized_in, a_foot in ((4.76, 12), (7.14, 8), (9.51, 6), (14.27, 4))
    ),
)

PACKINGS = (
    published(
        id="densest packing of equal spheres",
        source="'Close-packing of equal spheres' (Gauss, Kepler; Hales 2005): 0.74048",
        expected=0.74048,
        tolerance=5e-6,
        answer=lambda: DENSEST_PACKING,
    ),
    published(
        id="random close packing, predicted",
        source="Berryman 1983, Phys. Rev. A 27, 1053, abstract: 0.64 +/- 0.02",
        expected=0.64,
        tolerance=0.02,
        answer=lambda: RANDOM_CLOSE_PACKING,
    ),
    published(
        id="random close packing, extrapolated to any number",
        source="J. Mater. Sci. 38 (2003) 2019, abstract: bulk 0.635 +/- 0.002",
        expected=0.635,
        tolerance=0.002,
        answer=lambda: RANDOM_CLOSE_PACKING,
    ),
    published(
        id="random close packing, measured",
        source="Shubin, 'Density limit for random close packing', abstract: experiments 0.637",
        expected=0.637,
        tolerance=5e-4,
        answer=lambda: RANDOM_CLOSE_PACKING,
    ),
    published(
        id="random close packing, simulated slowly",
        source="Jodrey & Tory 1985, Phys. Rev. A 32, abstract: 0.642 to 0.649",
        expected=Between(low=0.642, high=0.649),
        answer=lambda: RANDOM_CLOSE_PACKING,
        disagrees=Disagreement(
            by=-0.0084, because="the authors say it is above any experiment; balloons are poured"
        ),
    ),
    remembered(
        id="random close packing, steel balls",
        source="Scott & Kilgour 1969, J. Phys. D 2, 863: 0.6366 +/- 0.0005",
        expected=0.6366,
        tolerance=0.0005,
        answer=lambda: RANDOM_CLOSE_PACKING,
    ),
    derived(
        id="an organic garland's solid fraction",
        source="looser than poured spheres (0.6366), denser than nested quads (0.544)",
        expected=Between(low=0.544, high=0.6366),
        answer=lambda: book().recipe.solid_fraction,
    ),
    derived(
        id="the law of girth gives back the quad",
        source=f"4 balloons a pitch, {_RINGS}",
        expected=4 / (2**-0.25 * 0.25),
        tolerance=1e-9,
        unit="a meter",
        answer=lambda: balloons_per_metre(
            nested_solid_fraction(4), nested_girth(4, 0.25), sphere_volume(0.25)
        ),
    ),
    *(
        derived(
            id=f"mixed balloons at a girth of {girth_in} in",
            # 0.4875 x (9.5^3 + 4.5^3) + 0.025 x 16^3 = 564.8: the mean cube of diameters.
            source=f"0.544 x 1.5 x {girth_in}^2 x 12 / 564.8",
            expected=0.544 * 1.5 * girth_in**2 * 12 / 564.8,
            tolerance=0.02,
            unit="a foot",
            answer=partial(mixed_per_foot, girth_in),
        )
        for girth_in in (22, 28, 34)
    ),
)

_CHART = "'Balloon helium chart', an event decorator's page"

VOLUMES = (
    *(
        derived(
            id=f"sphere of {d} in",
            source="pi d^3 / 6, recomputed by hand",
            expected=ft3,
            tolerance=0.002 * ft3,
            unit="cu ft",
            answer=partial(cubic_feet, d),
        )
        for d, ft3 in ((9, 0.2209), (11, 0.4033), (16, 1.2411))
    ),
    published(
        id="sphere of 12 in",
        source="'How much can a helium balloon lift?': 0.524 cu ft",
        expected=0.524,
        tolerance=5e-4,
        unit="cu ft",
        answer=partial(cubic_feet, 12),
    ),
    published(
        id="sphere of 14 in",
        source="'Balloon formulas: how many to fill a room': 1,436 cu in, 0.83 cu ft",
        expected=1436,
        tolerance=1,
        unit="cu in",
        answer=lambda: sphere_volume(14 * INCH) / INCH**3,
    ),
    published(
        id="sphere of 117 cm",
        source="UKHAS, 'Balloon data': 0.83 m3",
        expected=0.83,
        tolerance=0.01,
        unit="m3",
        answer=partial(sphere_volume, 1.17),
    ),
    published(
        id="sphere of 48 in",
        source=f"{_CHART}: 34 cu ft",
        expected=34,
        tolerance=0.5,
        unit="cu ft",
        answer=partial(cubic_feet, 48),
    ),
    *(
        published(
            id=f"{d} in filled to its full capacity, as a sphere",
            source=f"{_CHART}: {ft3} cu ft",
            expected=ft3,
            tolerance=0.03 * ft3,
            unit="cu ft",
            answer=partial(cubic_feet, d),
            disagrees=Disagreement(
                by=by, because="a full inflation is a teardrop larger than the nominal sphere"
            ),
        )
        for d, ft3, by in (
            (9, 0.25, -0.116),
            (11, 0.5, -0.193),
            (16, 1.5, -0.173),
            (36, 15, -0.058),
        )
    ),
    published(
        id="11 in filled to its full capacity, as helium is reckoned",
        source=f"{_CHART}: 0.5 cu ft",
        expected=0.5,
        tolerance=1e-9,
        unit="cu ft",
        answer=lambda: latex(11).capacity_m3 / CUBIC_FOOT,
    ),
)

ROWS: tuple[Row, ...] = (*RINGS, *PACKINGS, *VOLUMES)
