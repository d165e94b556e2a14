import datetime as dt

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.estimating import Brief, Piece, PriceBook, Setting, Site, Support, estimate
from service.estimating.book import Workshop
from service.estimating.gases import LATEX_OVERPRESSURE_PA
from service.estimating.heat import LEAST_CHANGE, ambient_at, expansion

TODAY = dt.date(2027, 6, 1)
INCH = 0.0254
AT_HOME = Workshop(temperature_c=20.0, elevation_m=0.0, largest_share=0.95)
TEN = [(10, 8.5 * INCH)]


def test_a_site_like_the_workshop_calls_for_no_other_sizing() -> None:
    assert expansion(Site(), TEN, AT_HOME) is None
    assert expansion(Site(temperature_c=20.0, elevation_m=0.0), TEN, AT_HOME) is None


def test_less_than_one_percent_of_the_diameter_is_left_alone() -> None:
    # One percent across is three of the volume: 293.15 K * 1.01^3 = 302.03 K, 28.9 C.
    assert expansion(Site(temperature_c=28.8), TEN, AT_HOME) is None
    hot = expansion(Site(temperature_c=29.0), TEN, AT_HOME)
    assert hot
    assert hot.diameter_ratio - 1 >= LEAST_CHANGE


def test_heat_swells_a_balloon_and_it_is_blown_smaller() -> None:
    found = expansion(Site(temperature_c=35.0), TEN, AT_HOME)
    assert found
    # 308.15 / 293.15 = 1.0512 of the volume, 1.0168 across.
    assert found.volume_ratio == pytest.approx(308.15 / 293.15)
    assert found.diameter_ratio == pytest.approx((308.15 / 293.15) ** (1 / 3))
    (sized,) = found.sized
    assert sized.in_workshop_m == pytest.approx(8.5 * INCH / 1.016773, rel=1e-5)
    assert sized.at_site_m == pytest.approx(8.5 * INCH)


def test_height_swells_a_balloon_as_the_air_gets_thinner() -> None:
    found = expansion(Site(elevation_m=1600.0), TEN, AT_HOME)
    assert found
    # The standard atmosphere at 1,600 m is 83,524 Pa; the rubber presses 6,666 Pa besides.
    there = 83_524 + LATEX_OVERPRESSURE_PA
    assert found.volume_ratio == pytest.approx((101_325 + LATEX_OVERPRESSURE_PA) / there, rel=1e-4)


def test_in_the_cold_a_balloon_is_blown_no_larger_than_its_rubber_should_be() -> None:
    # 9.4 in of ten at home; for 9.4 in at -10 C it would have to leave at 9.75 in, above 9.5.
    found = expansion(Site(temperature_c=-10.0), [(10, 9.4 * INCH)], AT_HOME)
    assert found
    (sized,) = found.sized
    assert sized.in_workshop_m == pytest.approx(9.5 * INCH)
    assert sized.at_site_m == pytest.approx(9.5 * INCH * found.diameter_ratio)
    assert sized.at_site_m < 9.4 * INCH


def test_sizes_come_from_small_to_large() -> None:
    found = expansion(Site(temperature_c=40.0), [(5, 0.1), (10, 0.21), (18, 0.36)], AT_HOME)
    assert found
    assert [each.size_class for each in found.sized] == [5, 10, 18]


def test_what_the_brief_does_not_say_is_as_in_the_workshop() -> None:
    home = Workshop(temperature_c=18.0, elevation_m=1200.0, largest_share=0.95)
    assert ambient_at(Site(), home) == ambient_at(
        Site(temperature_c=18.0, elevation_m=1200.0), home
    )
    # A site at the sea is not taken to be as high as the workshop.
    assert ambient_at(Site(elevation_m=0.0), home).pressure_pa == pytest.approx(101_325)
    assert ambient_at(Site(elevation_m=0.0), home).temperature_k == pytest.approx(291.15)


@given(
    celsius=st.floats(-30, 55),
    height=st.floats(-430, 5000),
    size=st.sampled_from([5, 10, 11, 16, 18]),
    share=st.floats(0.5, 0.95),
)
def test_no_balloon_leaves_or_arrives_larger_than_it_should(
    celsius: float, height: float, size: int, share: float
) -> None:
    wanted = share * size * INCH
    found = expansion(Site(temperature_c=celsius, elevation_m=height), [(size, wanted)], AT_HOME)
    if found is None:
        return
    (sized,) = found.sized
    largest = 0.95 * size * INCH * (1 + 1e-9)
    assert sized.in_workshop_m <= largest
    assert sized.at_site_m <= min(largest, wanted * (1 + 1e-9))
    assert sized.at_site_m == pytest.approx(sized.in_workshop_m * found.diameter_ratio)


def test_the_estimate_sizes_for_a_hot_terrace_and_not_for_a_hall(book: PriceBook) -> None:
    wall = Piece(support=Support.WALL, length_m=3)
    hall = estimate(Brief(pieces=(wall,), site=Site(setting=Setting.INDOOR)), book, today=TODAY)
    assert hall.expansion is None
    terrace = Site(setting=Setting.OUTDOOR, temperature_c=38.0)
    hot = estimate(Brief(pieces=(wall,), site=terrace), book, today=TODAY)
    assert hot.expansion
    used = {balloon.size_class for piece in hot.pieces for balloon in piece.balloons}
    assert {each.size_class for each in hot.expansion.sized} == used
    outdoors = {size.size_class: size.sized_outdoors_m for size in book.sizes}
    for each in hot.expansion.sized:
        assert each.at_site_m == pytest.approx(outdoors[each.size_class])
        assert each.in_workshop_m < each.at_site_m
