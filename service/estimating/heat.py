"""What heat, cold and height do to air-filled balloons between workshop and site."""

from collections.abc import Iterable

from service.estimating.answer import Expansion, SizedFor
from service.estimating.book import Workshop
from service.estimating.brief import Site
from service.estimating.gases import (
    LATEX_OVERPRESSURE_PA,
    Ambient,
    diameter_ratio,
    isa_pressure,
    kelvin,
    largest_sized,
    sized_for,
    volume_ratio,
)
from service.estimating.units import METRES_PER_INCH

LEAST_CHANGE = 0.01
"""Below one percent of the diameter no sizing box can tell: the usual sizing stays."""


def expansion(
    site: Site, at_site: Iterable[tuple[int, float]], workshop: Workshop
) -> Expansion | None:
    """How balloons are blown up for this site: `at_site` are size classes [in] and diameters [m].

    None where neither the site's temperature nor its elevation is known to differ enough to
    matter: what is not known is taken to be as in the workshop.
    """
    here, there = _ambient_here(workshop), ambient_at(site, workshop)
    ratio = diameter_ratio(here, there, overpressure_pa=LATEX_OVERPRESSURE_PA)
    if abs(ratio - 1) < LEAST_CHANGE:
        return None
    return Expansion(
        volume_ratio=volume_ratio(here, there, overpressure_pa=LATEX_OVERPRESSURE_PA),
        diameter_ratio=ratio,
        sized=tuple(
            _sized(size, diameter, here, there, workshop.largest_share)
            for size, diameter in at_site
        ),
    )


def _sized(size: int, wanted_m: float, here: Ambient, there: Ambient, share: float) -> SizedFor:
    aimed = sized_for(wanted_m, here, there, overpressure_pa=LATEX_OVERPRESSURE_PA)
    nominal = size * METRES_PER_INCH
    most = largest_sized(nominal, share, here, there, overpressure_pa=LATEX_OVERPRESSURE_PA)
    # In the cold a balloon would have to leave overfull to arrive as wanted: it arrives smaller.
    blown = min(aimed, most, share * nominal)
    grown = blown * diameter_ratio(here, there, overpressure_pa=LATEX_OVERPRESSURE_PA)
    return SizedFor(size_class=size, in_workshop_m=blown, at_site_m=grown)


def _ambient_here(workshop: Workshop) -> Ambient:
    return Ambient(
        temperature_k=kelvin(workshop.temperature_c), pressure_pa=isa_pressure(workshop.elevation_m)
    )


def ambient_at(site: Site, workshop: Workshop) -> Ambient:
    """The air at the site: as in the workshop where the brief does not say."""
    celsius = workshop.temperature_c if site.temperature_c is None else site.temperature_c
    height = workshop.elevation_m if site.elevation_m is None else site.elevation_m
    return Ambient(temperature_k=kelvin(celsius), pressure_pa=isa_pressure(height))
