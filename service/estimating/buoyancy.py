"""Helium: what a balloon lifts, how long it floats, what holds it down and how much gas it takes.

Capacities and lifts come from a decorators' helium chart, float times from what shops and a gas
supplier print. Only air and helium are known here: a gas that burns has no place in this trade.
"""

import math
from bisect import bisect_right
from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum

from service.estimating.balloons import CUBIC_METRES_PER_CUBIC_FOOT
from service.estimating.errors import BriefError, Faults, FieldProblem
from service.estimating.gases import (
    LATEX_OVERPRESSURE_PA,
    SEA_LEVEL_PA,
    Ambient,
    at_standard,
    gross_lift,
    kelvin,
    net_lift,
)

CHART_AMBIENT = Ambient(temperature_k=kelvin(20.0), pressure_pa=SEA_LEVEL_PA)
"""Room air, for which the helium chart is read; the chart itself names no temperature."""


class Skin(StrEnum):
    """What the balloon is made of."""

    LATEX = "latex"
    FOIL = "foil"

    @property
    def overpressure_pa(self) -> float:
        """How far the skin lifts the pressure inside [Pa]; a foil is filled until just taut."""
        return LATEX_OVERPRESSURE_PA if self is Skin.LATEX else 0.0


class FoilShape(StrEnum):
    """Foils on the helium chart. Digits, letters and figures count as large shapes."""

    ROUND = "round"
    HEART = "heart"
    STAR = "star"
    LARGE = "large shape"


@dataclass(frozen=True, kw_only=True, slots=True)
class HeliumBalloon:
    """A balloon that can be made to float, by its full inflation [m3] and lift [kg] in room air.

    `charted` is False where the figures lie between two of the chart's. Raises BriefError with
    every fault: nothing lifts more than its volume of helium.
    """

    skin: Skin
    size_in: float
    capacity_m3: float
    room_lift_kg: float
    charted: bool = True

    def __post_init__(self) -> None:
        faults = Faults()
        faults.check(self.capacity_m3 > 0, "capacity_m3", "give a volume above 0")
        faults.check(self.room_lift_kg > 0, "room_lift_kg", "it does not float; fill it with air")
        if self.room_lift_kg >= self._room_gross_kg > 0:
            detail = f"{self.capacity_m3:g} m3 of helium lifts {self._room_gross_kg:.4f} kg at most"
            faults.add("room_lift_kg", detail)
        faults.raise_as(BriefError)

    @property
    def skin_kg(self) -> float:
        """What the lift in room air leaves for the skin [kg].

        Worked back, so it holds neck, knot and whatever air the chart's helium had in it: 4.5 g
        for an 11 in latex whose bare rubber weighs some 3 g.
        """
        return self._room_gross_kg - self.room_lift_kg

    def lift(self, ambient: Ambient, *, helium_fraction: float = 1.0) -> float:
        """Net lift [kg] when filled to capacity at the site; below zero it sinks."""
        return net_lift(
            self.capacity_m3,
            self.skin_kg,
            ambient,
            helium_fraction=helium_fraction,
            overpressure_pa=self.skin.overpressure_pa,
        )

    @property
    def _room_gross_kg(self) -> float:
        inside = self.skin.overpressure_pa
        return gross_lift(self.capacity_m3, CHART_AMBIENT, overpressure_pa=inside)


def _charted(skin: Skin, size_in: float, cubic_feet: float, grams: float) -> HeliumBalloon:
    return HeliumBalloon(
        skin=skin,
        size_in=size_in,
        capacity_m3=cubic_feet * CUBIC_METRES_PER_CUBIC_FOOT,
        room_lift_kg=grams / 1000,
    )


# "Balloon helium chart", an event decorator's page: size [in], volume [cu ft], lift [g].
_LATEX = tuple(
    _charted(Skin.LATEX, *row)
    for row in (
        (9, 0.25, 6),
        (11, 0.5, 10),
        (12, 0.55, 11),
        (16, 1.5, 34),
        (30, 8, 184),
        (36, 15, 339),
    )
)

# The same chart. It gives "jumbo" foils and "large shapes" no size: 36 and 34 in from memory.
_FOILS: Mapping[FoilShape, tuple[HeliumBalloon, ...]] = {
    shape: tuple(_charted(Skin.FOIL, *row) for row in rows)
    for shape, rows in {
        FoilShape.ROUND: ((18, 0.5, 4.2), (20, 0.6, 6.0), (24, 1.2, 13.0), (36, 2.7, 51.6)),
        FoilShape.HEART: ((18, 0.4, 3.7), (24, 1.1, 12.5), (36, 2.3, 45.9)),
        FoilShape.STAR: ((19, 0.4, 3.4), (36, 2.5, 42.0)),
        FoilShape.LARGE: ((34, 1.3, 13.0),),
    }.items()
}


def latex(size_in: float) -> HeliumBalloon:
    """The round latex balloon of nominal diameter `size_in` [in], 9 to 36.

    Between the chart's sizes, capacity and lift follow the power of the diameter that joins the
    two neighbors. A size left out of the chart comes back within 18 % of its capacity and 22 % of
    its lift, which is how far an interpolated size may be off. Raises BriefError for a size
    outside the chart: below 9 in the rubber is too heavy for what it holds.
    """
    smallest, largest = _LATEX[0].size_in, _LATEX[-1].size_in
    if size_in < smallest:
        detail = f"a latex balloon of {size_in:g} in does not float; use {smallest:g} in or larger"
        raise _unfit("size_in", f"{detail}, or fill it with air")
    if size_in > largest:
        raise _unfit("size_in", f"no lift is known for a latex balloon above {largest:g} in")
    above = bisect_right(_LATEX, size_in, key=lambda balloon: balloon.size_in)
    below = _LATEX[above - 1]
    return below if below.size_in == size_in else between(below, _LATEX[above], size_in)


def between(smaller: HeliumBalloon, larger: HeliumBalloon, size_in: float) -> HeliumBalloon:
    """The balloon of `size_in` [in] on the power laws through two others."""
    along = math.log(size_in / smaller.size_in) / math.log(larger.size_in / smaller.size_in)
    return HeliumBalloon(
        skin=smaller.skin,
        size_in=size_in,
        capacity_m3=smaller.capacity_m3 * (larger.capacity_m3 / smaller.capacity_m3) ** along,
        room_lift_kg=smaller.room_lift_kg * (larger.room_lift_kg / smaller.room_lift_kg) ** along,
        charted=False,
    )


def foil(shape: FoilShape, size_in: float) -> HeliumBalloon:
    """The foil of `shape` and `size_in` [in]. Raises BriefError for one that the chart lacks.

    Foils are cut too differently to go from one size to the next.
    """
    for balloon in _FOILS[shape]:
        if balloon.size_in == size_in:
            return balloon
    known = ", ".join(f"{balloon.size_in:g}" for balloon in _FOILS[shape])
    detail = f"no lift is known for a {shape} foil of {size_in:g} in; of {known} in it is"
    raise _unfit("size_in", detail)


@dataclass(frozen=True, kw_only=True, slots=True)
class FloatTime:
    """Hours afloat in a cool, still room: the least and the most that is credibly printed [h]."""

    low_h: float
    high_h: float

    @property
    def plan_h(self) -> float:
        """What to plan on [h]: the least, since heat, draft and sun only shorten it."""
        return self.low_h


# Least size [in] of each band, and its hours. Untreated 11 in: 8 to 12 h (a gas supplier's fact
# sheet), 16 to 24 (a shop); 16 and 18 in: 12 (two pages); 30 and 36 in: 24 (a shop), and less than
# the three days of a treated one. Below 11 in: half, as the one page that prints both has it.
# Treated 11 in: 2 to 3 days (two pages), 3 to 4 (a shop); 36 in: 3 days (a shop), a week (another).
# Foil: at least 1 to 2 days (a shop); 18 in a week and larger ones two (the gas supplier).
# Pages without an author go down to 5 h for untreated latex and up to 6 days for treated.
_FLOAT_TIMES: Mapping[tuple[Skin, bool], tuple[tuple[float, float, float], ...]] = {
    (Skin.LATEX, False): ((9, 4, 12), (11, 8, 24), (16, 12, 24), (30, 24, 72)),
    (Skin.LATEX, True): ((9, 24, 48), (11, 48, 96), (30, 72, 168)),
    (Skin.FOIL, False): ((18, 24, 168), (20, 24, 336)),
}


def float_time(skin: Skin, size_in: float, *, treated: bool = False) -> FloatTime:
    """How long a balloon of `size_in` [in] floats, filled to capacity with helium.

    `treated` latex has a coating inside that holds the gas. Published figures only, banded by
    size. Raises BriefError for what does not float and for a foil said to be treated.
    """
    bands = _FLOAT_TIMES.get((skin, treated), ())
    if not bands:
        raise _unfit("treated", "only latex is treated; a foil holds its gas as it is")
    band = bisect_right(bands, size_in, key=lambda row: row[0]) - 1
    if band < 0:
        raise _unfit(
            "size_in", f"a {skin} balloon of {size_in:g} in does not float; fill it with air"
        )
    _, low_h, high_h = bands[band]
    return FloatTime(low_h=low_h, high_h=high_h)


def weight_needed(net_lift_kg: float, safety: float = 2.0) -> float:
    """Mass [kg] of the weight that holds a balloon, or a bunch of `net_lift_kg` [kg] in all.

    California Penal Code 653.1 asks for enough "to counter its lift"; `safety` [1] is above that,
    2 by common practice. Wind is not in it: outdoors a bunch also drags. Raises BriefError with
    every fault: nothing to hold, or a weight lighter than the lift.
    """
    faults = Faults()
    faults.check(net_lift_kg > 0, "net_lift_kg", "it does not float, so that no weight is needed")
    faults.check(safety >= 1, "safety", "give a factor from 1 up: less lets the balloon go")
    faults.raise_as(BriefError)
    return net_lift_kg * safety


def helium_needed(
    volume_m3: float,
    ambient: Ambient,
    *,
    overpressure_pa: float = LATEX_OVERPRESSURE_PA,
    helium_fraction: float = 1.0,
    loss_share: float = 0.0,
) -> float:
    """Helium [m3 at 15 C and 1 atm] to draw for balloons of `volume_m3` [m3] in all.

    `ambient` is where they are filled, `overpressure_pa` [Pa] the rubber's own (6.6 % more gas at
    sea level), `helium_fraction` [1] helium's share by volume, and `loss_share` [1] the part of
    what is drawn that never floats: bursts, leaks and what a cylinder keeps. Raises BriefError
    with every fault.
    """
    faults = Faults()
    faults.check(volume_m3 >= 0, "volume_m3", "give a volume from 0 up")
    faults.check(0 <= helium_fraction <= 1, "helium_fraction", "give a share from 0 to 1")
    faults.check(0 <= loss_share < 1, "loss_share", "give a share from 0 to below 1")
    faults.raise_as(BriefError)
    inside = at_standard(volume_m3, ambient, overpressure_pa=overpressure_pa)
    return inside * helium_fraction / (1 - loss_share)


def cylinders(needed_m3: float, contents_m3: float) -> int:
    """Cylinders of `contents_m3` [m3] that give `needed_m3` [m3], both at 15 C and 1 atm.

    Raises BriefError with every fault.
    """
    faults = Faults()
    faults.check(needed_m3 >= 0, "needed_m3", "give a volume from 0 up")
    faults.check(contents_m3 > 0, "contents_m3", "give the helium in a full cylinder, above 0 m3")
    faults.raise_as(BriefError)
    # A last digit lost in the sum must not send a second cylinder along.
    return math.ceil(needed_m3 / contents_m3 - 1e-9)


def _unfit(field: str, detail: str) -> BriefError:
    return BriefError((FieldProblem(field=field, detail=detail),))
