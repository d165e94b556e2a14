"""What goes into the car, and how far it goes."""

import math

from geographiclib.geodesic import Geodesic

from service.estimating.answer import Helium, Load, Travel
from service.estimating.book import Car, Shop, TravelRates
from service.estimating.brief import Site

AIR_ONLY = Helium(needed=False, volume_m3=0.0)
"""Everything on a support is filled with air: nothing of it has to float."""


def load(air_m3: float, car: Car) -> Load:
    """Bags and car loads for `air_m3` [m3] of balloons, which fill only part of their space."""
    space = air_m3 / car.packing_fraction
    return Load(
        inflated_volume_m3=air_m3,
        bags=math.ceil(space / car.bag_m3),
        car_loads=max(1, math.ceil(space / car.usable_m3)),
    )


def geodesic_m(from_lat: float, from_lon: float, to_lat: float, to_lon: float) -> float:
    """Shortest distance [m] over the WGS 84 ellipsoid between two places [degrees]."""
    line = Geodesic.WGS84.Inverse(from_lat, from_lon, to_lat, to_lon, Geodesic.DISTANCE)
    return float(line["s12"])


def travel(site: Site, shop: Shop, rates: TravelRates, trips: int) -> Travel:
    """The way from the shop, by road as far as the road factor tells, driven `trips` times.

    `distance_m` is one way by road; where the site is unknown the book's usual distance gives the
    hours, and the distance stays None.
    """
    road = road_distance_m(site, shop, rates)
    driven = rates.unknown_distance_m if road is None else road
    return Travel(
        distance_m=road,
        round_trip_m=None if road is None else 2 * road,
        drive_hours=trips * 2 * driven / rates.speed_m_s / 3600,
        in_area=driven <= rates.area_m,
    )


def road_distance_m(site: Site, shop: Shop, rates: TravelRates) -> float | None:
    """Road distance one way [m]: geodesic times road factor; None for an unknown site."""
    if site.latitude is None or site.longitude is None:
        return None
    crow = geodesic_m(shop.latitude, shop.longitude, site.latitude, site.longitude)
    return crow * rates.road_factor
