import math
from dataclasses import replace
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.estimating import Brief, Piece, PriceBook, Shop, Site, Support
from service.estimating.book import Car, TravelRates
from service.estimating.logistics import (
    comes_back,
    driven_one_way_m,
    geodesic_m,
    load,
    road_distance_m,
    travel,
)

CAR = Car(usable_m3=3.0, bag_m3=0.25, packing_fraction=0.6)
RATES = TravelRates(
    road_factor=1.3,
    speed_m_s=10.0,
    price_per_km=Decimal(0),
    zones=(),
    area_m=20_000,
    unknown_distance_m=9_000,
)
FRAME = Piece(support=Support.HOOP, width_m=1.8)
WALL = Piece(support=Support.WALL, length_m=3)

degrees = st.floats(-80, 80)


@pytest.fixture
def shop(book: PriceBook) -> Shop:
    return book.shop


def test_balloons_take_up_more_than_their_air() -> None:
    # 2.1 m3 of air fills 3.5 m3: fourteen bags of 0.25, and two cars of 3.
    found = load(2.1, CAR, comes_back=True)
    assert (found.bags, found.car_loads, found.trips) == (14, 2, 3)


def test_what_fits_exactly_takes_no_second_drive() -> None:
    assert load(3.0 * 0.6, CAR, comes_back=False).car_loads == 1
    assert load(3.0 * 0.6 * 1.001, CAR, comes_back=False).car_loads == 2


def test_the_least_of_loads_is_still_a_drive() -> None:
    found = load(0.01, CAR, comes_back=False)
    assert (found.bags, found.car_loads, found.trips) == (1, 1, 1)


@given(air=st.floats(0.001, 50), more=st.floats(0, 10))
def test_more_air_never_takes_fewer_drives(air: float, more: float) -> None:
    small, large = (load(each, CAR, comes_back=True) for each in (air, air + more))
    assert small.trips <= large.trips
    assert small.bags <= large.bags
    assert small.bags * CAR.bag_m3 >= air / CAR.packing_fraction * (1 - 1e-6)


@pytest.mark.parametrize(
    ("pieces", "keeps", "again"),
    [
        ((WALL,), None, True),
        ((WALL,), False, True),
        ((WALL,), True, False),
        ((WALL, FRAME), True, True),
    ],
)
def test_the_shop_comes_back_to_strike_or_for_its_hardware(
    pieces: tuple[Piece, ...], keeps: bool | None, again: bool
) -> None:
    assert comes_back(Brief(pieces=pieces, client_keeps=keeps)) is again


def test_the_road_is_longer_than_the_crow_flies(shop: Shop) -> None:
    site = Site(latitude=shop.latitude, longitude=shop.longitude + 0.1)
    road = road_distance_m(site, shop, RATES)
    # A tenth of a degree along the parallel: cos(latitude) of 11.1 km, a little more on the
    # ellipsoid.
    flown = 11_132 * math.cos(math.radians(shop.latitude))
    assert road == pytest.approx(1.3 * flown, rel=0.005)


def test_hours_are_there_and_back_for_every_trip(shop: Shop) -> None:
    site = Site(latitude=shop.latitude, longitude=shop.longitude + 0.1)
    found = travel(site, shop, RATES, trips=3)
    assert found.distance_m is not None
    assert found.round_trip_m == 2 * found.distance_m
    assert found.drive_hours == pytest.approx(6 * found.distance_m / 10 / 3600)
    assert driven_one_way_m(found, RATES) == found.distance_m
    assert found.in_area


def test_an_unknown_site_is_reckoned_at_the_usual_distance(shop: Shop) -> None:
    found = travel(Site(), shop, RATES, trips=2)
    # Four ways of 9 km at 10 m/s: 3,600 s.
    assert found.distance_m is None
    assert found.drive_hours == pytest.approx(1.0)
    assert driven_one_way_m(found, RATES) == 9_000


def test_what_is_too_far_is_out_of_the_area(shop: Shop) -> None:
    # 0.15 degrees of latitude: 16.7 km as the crow flies, 21.7 by road.
    site = Site(latitude=shop.latitude + 0.15, longitude=shop.longitude)
    assert not travel(site, shop, RATES, trips=2).in_area


@given(degrees, degrees, degrees, degrees)
def test_the_way_there_is_as_long_as_the_way_back(a: float, b: float, c: float, d: float) -> None:
    assert geodesic_m(a, b, c, d) == pytest.approx(geodesic_m(c, d, a, b), abs=1e-6)


@given(degrees, degrees, degrees, degrees)
def test_the_ellipsoid_is_within_a_hundredth_of_a_sphere(
    a: float, b: float, c: float, d: float
) -> None:
    # Haversine with the mean radius of 6,371,008.8 m.
    p, q, dl = math.radians(a), math.radians(c), math.radians(d - b)
    h = math.sin((q - p) / 2) ** 2 + math.cos(p) * math.cos(q) * math.sin(dl / 2) ** 2
    flown = 2 * 6_371_008.8 * math.asin(min(1, math.sqrt(h)))
    assert geodesic_m(a, b, c, d) == pytest.approx(flown, rel=0.01, abs=1)


def test_a_long_way_goes_faster_beyond_the_town() -> None:
    rates = replace(RATES, town_m=20_000.0, far_speed_m_s=25.0)
    assert rates.driving_s(10_000.0) == pytest.approx(1_000.0)
    assert rates.driving_s(20_000.0) == pytest.approx(2_000.0)
    assert rates.driving_s(120_000.0) == pytest.approx(2_000.0 + 4_000.0)
