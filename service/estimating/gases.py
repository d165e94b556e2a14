"""Air and helium in a balloon: density, the standard atmosphere, swelling and lift.

Kelvin, pascal and cubic metres. Air is taken as dry and gases as ideal. At balloon pressures the
ideal gas is right to 0.1 %; air at 30 C that can hold no more water weighs 1.5 % less than dry, and
the weather moves the pressure by some 3 % about the standard atmosphere: both matter more.
"""

from dataclasses import dataclass

from service.estimating.errors import BriefError, Faults, FieldProblem

GAS_CONSTANT = 8.314462618
"""R [J/(mol K)], exact since the SI of 2019 (CODATA 2018)."""

AIR_MOLAR_MASS = 0.02896442
"""Dry air [kg/mol] (ISO 2533:1975)."""

HELIUM_MOLAR_MASS = 0.004002602
"""Helium [kg/mol] (IUPAC standard atomic weight)."""

ICE_POINT_K = 273.15
"""0 C [K]; exact by definition of the Celsius scale."""

SEA_LEVEL_PA = 101_325.0
"""Standard pressure at sea level [Pa], which is 1 atm (ISO 2533)."""

SEA_LEVEL_K = 288.15
"""Standard temperature at sea level [K], 15 C (ISO 2533)."""

LAPSE_K_PER_M = 0.0065
"""How much colder it gets with altitude in the troposphere [K/m] (ISO 2533)."""

GRAVITY = 9.80665
"""Standard acceleration of free fall [m/s2] (ISO 2533)."""

ISA_GAS_CONSTANT = 287.05287
"""Gas constant of air [J/(kg K)] by which the standard atmosphere's tables are made (ISO 2533)."""

TROPOSPHERE_M = (-2_000.0, 11_000.0)
"""Altitudes [m] between which the lapse holds (ISO 2533)."""

LATEX_OVERPRESSURE_PA = 6_666.0
"""How far a stretched balloon's rubber lifts the pressure inside above that outside [Pa].

A sensor maker's test ("Pressure: the life of the party") has a small balloon at 810 mmHg inside
with 760 outside, steady over most of the inflation; near bursting 840. Larger balloons press less.
"""

_SOUND_K = (200.0, 500.0)
_SOUND_PA = (20_000.0, 130_000.0)


def kelvin(temperature_c: float) -> float:
    """Absolute temperature [K] of `temperature_c` [C]."""
    return temperature_c + ICE_POINT_K


@dataclass(frozen=True, kw_only=True, slots=True)
class Ambient:
    """The air round a balloon: temperature [K] and pressure [Pa].

    Raises BriefError with every fault outside 200 to 500 K and 20 to 130 kPa, where a number is
    most likely a slip of the unit.
    """

    temperature_k: float
    pressure_pa: float

    def __post_init__(self) -> None:
        faults = Faults()
        coldest, warmest = _SOUND_K
        if not coldest <= self.temperature_k <= warmest:
            detail = f"{self.temperature_k:g} K is outside {coldest:g} to {warmest:g} K; 0 C is 273"
            faults.add("temperature_k", detail)
        least, most = _SOUND_PA
        if not least <= self.pressure_pa <= most:
            detail = f"{self.pressure_pa:g} Pa is outside {least:g} to {most:g} Pa; 1 atm is 101325"
            faults.add("pressure_pa", detail)
        faults.raise_as(BriefError)


STANDARD = Ambient(temperature_k=SEA_LEVEL_K, pressure_pa=SEA_LEVEL_PA)
"""15 C and 1 atm (ISO 2533): what the contents of a cylinder are given at here."""


def density(temperature_k: float, pressure_pa: float, helium_fraction: float = 0.0) -> float:
    """Density [kg/m3] of air with the mole fraction `helium_fraction` [1] of helium.

    The ideal gas, p M / (R T), with the mixture's mean molar mass; 0 is air and 1 helium. At
    `temperature_k` [K] and `pressure_pa` [Pa] of -10 to 45 C and 80 to 103 kPa it is within 0.1 %
    of the real gases. Raises BriefError for a fraction outside 0 to 1: nothing lighter than
    helium goes into a balloon.
    """
    faults = Faults()
    fits = 0 <= helium_fraction <= 1
    faults.check(fits, "helium_fraction", "give a mole fraction from 0 (air) to 1 (helium)")
    faults.raise_as(BriefError)
    molar_mass = AIR_MOLAR_MASS + helium_fraction * (HELIUM_MOLAR_MASS - AIR_MOLAR_MASS)
    return pressure_pa * molar_mass / (GAS_CONSTANT * temperature_k)


def isa_temperature(altitude_m: float) -> float:
    """Temperature [K] of the standard atmosphere at `altitude_m` [m] above sea level: T0 - b H.

    ISO 2533, from -2,000 to 11,000 m; raises BriefError outside.
    """
    lowest, highest = TROPOSPHERE_M
    if not lowest <= altitude_m <= highest:
        span = f"{lowest:,.0f} to {highest:,.0f} m above sea level"
        detail = f"{altitude_m:g} m is outside {span}; check the unit"
        raise BriefError((FieldProblem(field="altitude_m", detail=detail),))
    return SEA_LEVEL_K - LAPSE_K_PER_M * altitude_m


def isa_pressure(altitude_m: float) -> float:
    """Pressure [Pa] of the standard atmosphere at `altitude_m` [m]: p0 (T/T0)^(g / (R b)).

    ISO 2533, from -2,000 to 11,000 m; raises BriefError outside.
    """
    exponent = GRAVITY / (ISA_GAS_CONSTANT * LAPSE_K_PER_M)
    return float(SEA_LEVEL_PA * (isa_temperature(altitude_m) / SEA_LEVEL_K) ** exponent)


def volume_ratio(workshop: Ambient, site: Ambient, *, overpressure_pa: float = 0.0) -> float:
    """Volume [1] of a tied balloon at the site over its volume in the workshop.

    The ideal gas inside is at the pressure outside plus the rubber's `overpressure_pa` [Pa], here
    constant: (T2/T1) (p1 + d)/(p2 + d). Heat alone swells a balloon by T2/T1 whatever d is. With
    the pressure outside it follows p / (p + d) of the change, 94 % for latex: from sea level to
    1,600 m the volume grows by 19.7 % in place of 21.3 %, the diameter by 6.2 % in place of 6.7 %.
    Leaving d out is on the safe side on the way up. Derived.
    """
    heat = site.temperature_k / workshop.temperature_k
    return heat * (workshop.pressure_pa + overpressure_pa) / (site.pressure_pa + overpressure_pa)


def diameter_ratio(workshop: Ambient, site: Ambient, *, overpressure_pa: float = 0.0) -> float:
    """Diameter [1] at the site over that in the workshop: the cube root of `volume_ratio`.

    `overpressure_pa` [Pa] is the rubber's own. A foil does not stretch: it only goes taut or slack.
    """
    return float(volume_ratio(workshop, site, overpressure_pa=overpressure_pa) ** (1 / 3))


def sized_for(
    wanted_m: float, workshop: Ambient, site: Ambient, *, overpressure_pa: float = 0.0
) -> float:
    """Diameter [m] to blow to in the workshop for `wanted_m` [m] at the site.

    `overpressure_pa` [Pa] is the rubber's own.
    """
    return wanted_m / diameter_ratio(workshop, site, overpressure_pa=overpressure_pa)


def share_of_nominal(
    sized_m: float,
    nominal_m: float,
    workshop: Ambient,
    warmest: Ambient,
    *,
    overpressure_pa: float = 0.0,
) -> float:
    """Share [1] of its nominal diameter that a balloon swells to at the warmest.

    Blown to `sized_m` [m] in the workshop; `nominal_m` [m] is its size class and
    `overpressure_pa` [Pa] the rubber's own. In the sun the warmest is warmer than the air.
    """
    swell = diameter_ratio(workshop, warmest, overpressure_pa=overpressure_pa)
    return sized_m * swell / nominal_m


def largest_sized(
    nominal_m: float,
    largest_share: float,
    workshop: Ambient,
    warmest: Ambient,
    *,
    overpressure_pa: float = 0.0,
) -> float:
    """Largest diameter [m] to blow to that swells to no more than `largest_share` [1].

    The share is of `nominal_m` [m], and `overpressure_pa` [Pa] is the rubber's own.
    """
    wanted_m = largest_share * nominal_m
    return sized_for(wanted_m, workshop, warmest, overpressure_pa=overpressure_pa)


def at_standard(volume_m3: float, ambient: Ambient, *, overpressure_pa: float = 0.0) -> float:
    """Volume [m3] at 15 C and 1 atm of the gas that fills `volume_m3` [m3].

    The gas is at the ambient temperature, and at the ambient pressure plus `overpressure_pa` [Pa].
    """
    squeezed = (ambient.pressure_pa + overpressure_pa) / SEA_LEVEL_PA
    return volume_m3 * squeezed * SEA_LEVEL_K / ambient.temperature_k


def gross_lift(
    volume_m3: float,
    ambient: Ambient,
    *,
    helium_fraction: float = 1.0,
    overpressure_pa: float = 0.0,
) -> float:
    """Lift [kg] of `volume_m3` [m3] of helium: (air's density - the filling's) V (Archimedes).

    The filling is as warm as the air and `overpressure_pa` [Pa] above its pressure;
    `helium_fraction` [1] is helium's share by volume, the rest air. A balloon that is tied keeps
    its lift on the way: what the air loses in density it gains in volume. One filled at the site
    to the same size lifts in proportion to p/T, at 1,600 m by a sixth less than at sea level.
    Raises BriefError for a fraction outside 0 to 1.
    """
    outside = density(ambient.temperature_k, ambient.pressure_pa)
    inside_pa = ambient.pressure_pa + overpressure_pa
    inside = density(ambient.temperature_k, inside_pa, helium_fraction)
    return volume_m3 * (outside - inside)


def net_lift(
    volume_m3: float,
    skin_kg: float,
    ambient: Ambient,
    *,
    helium_fraction: float = 1.0,
    overpressure_pa: float = 0.0,
) -> float:
    """Lift [kg] that is left to pull at the line: `gross_lift` less `skin_kg` [kg].

    Below zero the balloon sinks. `volume_m3` [m3], `helium_fraction` [1] and `overpressure_pa`
    [Pa] are those of `gross_lift`; the line's own mass is the caller's to take off.
    """
    gross = gross_lift(
        volume_m3, ambient, helium_fraction=helium_fraction, overpressure_pa=overpressure_pa
    )
    return gross - skin_kg
