"""What goes into the car, and how far it goes."""

import math
from functools import lru_cache

from geographiclib.geodesic import Geodesic

from service.estimating.answer import Load, Travel
from service.estimating.book import Car, Shop, TravelRates
from service.estimating.brief import Brief, Site
from service.estimating.paths import kind_of

# A hair less before rounding up, so that what fits exactly is not given one more.
_HAIR = 1e-9


def load(air_m3: float, car: Car, *, comes_back: bool) -> Load:
    """Bags, car loads and trips for `air_m3` [m3] of balloons, which fill part of their space.

    A trip is there and back: one for each car load, and one more where the shop `comes_back` after
    the event to take down or to fetch its hardware; burst balloons fit into one car.
    """
    space = air_m3 / car.packing_fraction
    car_loads = max(1, math.ceil(space / car.usable_m3 - _HAIR))
    return Load(
        inflated_volume_m3=air_m3,
        bags=math.ceil(space / car.bag_m3 - _HAIR),
        car_loads=car_loads,
        trips=car_loads + comes_back,
    )


def comes_back(brief: Brief) -> bool:
    """Whether the shop goes there again after the event.

    It does to take down, and where the client keeps the balloons, to fetch what they stand on.
    """
    return not brief.client_keeps or any(kind_of(p.support).owned for p in brief.pieces)


@lru_cache(maxsize=4096)
def geodesic_m(from_lat: float, from_lon: float, to_lat: float, to_lon: float) -> float:
    """Shortest distance [m] over the WGS 84 ellipsoid between two places [degrees].

    Karney 2013, Journal of Geodesy 87, 43, by the library of the same author.
    """
    line = Geodesic.WGS84.Inverse(from_lat, from_lon, to_lat, to_lon, Geodesic.DISTANCE)
    return float(line["s12"])


def road_distance_m(site: Site, shop: Shop, rates: TravelRates) -> float | None:
    """Road distance one way [m]: geodesic times road factor; None for an unknown site."""
    if site.latitude is None or site.longitude is None:
        return None
    crow = geodesic_m(shop.latitude, shop.longitude, site.latitude, site.longitude)
    return crow * rates.road_factor


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
        drive_hours=trips * 2 * rates.driving_s(driven) / 3600,
        in_area=driven <= rates.area_m,
    )


def driven_one_way_m(way: Travel, rates: TravelRates) -> float:
    """How far it is reckoned to be, one way by road [m]: the book's usual where not known."""
    return rates.unknown_distance_m if way.distance_m is None else way.distance_m
