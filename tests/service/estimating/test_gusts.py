import itertools
import math
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import brentq

from service.estimating.errors import BriefError
from service.estimating.gusts import (
    ASSUMPTIONS,
    CAUTION,
    COME_DOWN_LIMIT_M_S,
    FORCE_COEFFICIENTS,
    FRICTION,
    METRES_PER_SECOND_PER_MPH,
    Base,
    Body,
    Face,
    Part,
    WindLoad,
    asce_velocity_pressure_psf,
    ballast_for,
    beaufort,
    beaufort_band,
    beaufort_speed,
    come_down,
    garland_coefficient,
    gust_factor,
    gust_held,
    gust_speed,
    velocity_pressure,
)

PASCALS_PER_PSF = 47.880259

speeds = st.floats(0, 60)
ballasts = st.floats(0, 2000)
densities = st.floats(0.9, 1.4)
parts = st.builds(
    Part,
    area_m2=st.floats(0.05, 12),
    coefficient=st.floats(0.3, 2),
    height_m=st.floats(0.1, 4),
)
bodies = st.builds(Body, parts=st.lists(parts, min_size=1, max_size=5).map(tuple))
bases = st.builds(
    Base,
    depth_m=st.floats(0.2, 3),
    friction=st.floats(0.1, 0.8),
    own_mass_kg=st.floats(0, 60),
    feet=st.integers(1, 8),
    safety=st.floats(1, 3),
)

# A covered frame of 2 m2, coefficient 1.2, its center 1.25 m up, 10 kg on a base 0.8 m deep.
FRAME = Body(parts=(Part(area_m2=2, coefficient=1.2, height_m=1.25),))
FEET = Base(depth_m=0.8, friction=0.4, own_mass_kg=10, feet=2, safety=1.5)


def test_the_ballast_of_a_frame_is_what_a_pencil_gives() -> None:
    # q = 1.25 * 8^2 / 2 = 40 Pa; F = 40 * 1.2 * 2 = 96 N; M = 96 * 1.25 = 120 N m
    load = FRAME.load(velocity_pressure(8))
    assert (load.force_n, load.moment_nm) == pytest.approx((96, 120))
    ballast = ballast_for(load, FEET)
    # tipping: 120 * 1.5 / (9.80665 * 0.4) - 10 = 45.887 - 10
    assert ballast.against_tipping_kg == pytest.approx(35.887, abs=0.001)
    # sliding: 96 * 1.5 / (9.80665 * 0.4) - 10 = 36.710 - 10
    assert ballast.against_sliding_kg == pytest.approx(26.710, abs=0.001)
    assert ballast.needed_kg == ballast.against_tipping_kg
    assert ballast.each_foot_kg == pytest.approx(35.887 / 2, abs=0.001)


def test_more_grip_does_not_help_against_tipping_nor_depth_against_sliding() -> None:
    load = FRAME.load(velocity_pressure(8))
    before = ballast_for(load, FEET)
    gripping = ballast_for(load, replace(FEET, friction=0.8))
    deep = ballast_for(load, replace(FEET, depth_m=1.6))
    assert gripping.against_tipping_kg == before.against_tipping_kg
    assert gripping.against_sliding_kg < before.against_sliding_kg
    assert deep.against_tipping_kg < before.against_tipping_kg
    assert deep.needed_kg == before.against_sliding_kg


def test_only_half_the_depth_is_the_arm_because_it_may_tip_over_either_edge() -> None:
    base = Base(depth_m=1, friction=1, safety=1)
    # 9.80665 N m about an edge half a meter from the middle: 2 kg, not 1
    tipped = ballast_for(WindLoad(force_n=0, moment_nm=9.80665), base)
    assert tipped.against_tipping_kg == pytest.approx(2)


def test_the_come_down_gust_names_what_sets_it() -> None:
    tipping = come_down(gust_held(FRAME, FEET, 0))
    assert tipping.set_by == "tipping"
    # 10 kg * 9.80665 * 0.4 / (0.625 * 2.4 * 1.25 * 1.5) = 13.948, its root 3.735 m/s
    assert tipping.gust_m_s == pytest.approx(3.735, abs=0.001)
    assert come_down(gust_held(FRAME, replace(FEET, depth_m=3), 0)).set_by == "sliding"
    heavy = come_down(gust_held(FRAME, FEET, 5000))
    assert (heavy.gust_m_s, heavy.set_by) == (COME_DOWN_LIMIT_M_S, "limit")
    assert heavy.watch_at_m_s / METRES_PER_SECOND_PER_MPH == pytest.approx(14.4)
    assert heavy.act_at_m_s / METRES_PER_SECOND_PER_MPH == pytest.approx(19.2)


@given(body=bodies, base=bases, ballast=ballasts, more=ballasts)
def test_more_ballast_never_lowers_the_come_down_gust(
    body: Body, base: Base, ballast: float, more: float
) -> None:
    before = come_down(gust_held(body, base, ballast))
    assert come_down(gust_held(body, base, ballast + more)).gust_m_s >= before.gust_m_s


@given(body=bodies, base=bases, ballast=ballasts, density=densities)
def test_the_ballast_for_the_gust_that_a_ballast_holds_is_that_ballast(
    body: Body, base: Base, ballast: float, density: float
) -> None:
    gust = gust_held(body, base, ballast, density_kg_m3=density).gust_m_s
    load = body.load(velocity_pressure(gust, density_kg_m3=density))
    assert ballast_for(load, base).needed_kg == pytest.approx(ballast, rel=1e-9, abs=1e-9)


@given(body=bodies, base=bases, ballast=st.floats(1, 2000))
def test_the_gust_held_is_where_a_root_finder_puts_it(
    body: Body, base: Base, ballast: float
) -> None:
    def short_of(gust: float) -> float:
        return ballast_for(body.load(velocity_pressure(gust)), base).needed_kg - ballast

    gust = gust_held(body, base, ballast).gust_m_s
    assert gust == pytest.approx(float(brentq(short_of, 0, 2000)), rel=1e-6)


@given(body=bodies, base=bases, ballast=ballasts, limit=st.floats(1, 30))
def test_nothing_stays_up_beyond_its_limit_or_beyond_what_holds_it(
    body: Body, base: Base, ballast: float, limit: float
) -> None:
    held = gust_held(body, base, ballast)
    down = come_down(held, limit_m_s=limit)
    assert down.gust_m_s <= min(limit, held.tipping_m_s, held.sliding_m_s)
    assert down.watch_at_m_s <= down.act_at_m_s <= down.gust_m_s


@given(body=bodies, base=bases, ballast=ballasts)
def test_the_ballast_for_the_come_down_gust_is_no_more_than_what_stands_there(
    body: Body, base: Base, ballast: float
) -> None:
    gust = come_down(gust_held(body, base, ballast)).gust_m_s
    needed = ballast_for(body.load(velocity_pressure(gust)), base).needed_kg
    assert needed <= ballast * (1 + 1e-9) + 1e-9


@given(body=bodies, base=bases, gust=speeds, more=speeds)
def test_a_stronger_gust_never_takes_less_ballast(
    body: Body, base: Base, gust: float, more: float
) -> None:
    less = ballast_for(body.load(velocity_pressure(gust)), base).needed_kg
    assert ballast_for(body.load(velocity_pressure(gust + more)), base).needed_kg >= less


@given(base=bases, gust=speeds, height=st.floats(0, 5))
def test_what_has_no_area_needs_no_ballast_and_comes_down_at_the_limit(
    base: Base, gust: float, height: float
) -> None:
    for body in (Body(parts=()), Body(parts=(Part(area_m2=0, coefficient=2, height_m=height),))):
        load = body.load(velocity_pressure(gust))
        assert (load.force_n, load.moment_nm, load.effective_height_m) == (0, 0, 0)
        assert ballast_for(load, base).needed_kg == 0
        assert come_down(gust_held(body, base, 0)).set_by == "limit"


@given(body=bodies, base=bases, gust=speeds)
def test_the_feet_carry_the_whole_ballast_between_them(body: Body, base: Base, gust: float) -> None:
    ballast = ballast_for(body.load(velocity_pressure(gust)), base)
    assert ballast.each_foot_kg * base.feet == pytest.approx(ballast.needed_kg)


@given(base=bases, body=bodies, gust=speeds)
def test_its_own_mass_takes_the_place_of_ballast_kilogram_for_kilogram(
    base: Base, body: Body, gust: float
) -> None:
    load = body.load(velocity_pressure(gust))
    bare = ballast_for(load, replace(base, own_mass_kg=0)).needed_kg
    own = ballast_for(load, base).needed_kg
    assert own == pytest.approx(max(0, bare - base.own_mass_kg), abs=1e-9)


@given(body=bodies, gust=st.floats(0.5, 60))
def test_the_push_acts_between_the_lowest_and_the_highest_part(body: Body, gust: float) -> None:
    heights = [part.height_m for part in body.parts]
    height = body.load(velocity_pressure(gust)).effective_height_m
    assert min(heights) * (1 - 1e-9) <= height <= max(heights) * (1 + 1e-9)


@given(part=parts, share=st.floats(0.01, 0.99), gust=speeds)
def test_a_part_cut_in_two_catches_as_much_as_whole(part: Part, share: float, gust: float) -> None:
    pressure = velocity_pressure(gust)
    cut = Body(
        parts=(
            replace(part, area_m2=part.area_m2 * share),
            replace(part, area_m2=part.area_m2 * (1 - share)),
        )
    ).load(pressure)
    whole = Body(parts=(part,)).load(pressure)
    assert (cut.force_n, cut.moment_nm) == pytest.approx((whole.force_n, whole.moment_nm))


@given(mph=st.floats(0.1, 200))
def test_si_and_us_pressures_agree_within_a_fifth_of_a_percent(mph: float) -> None:
    si = velocity_pressure(mph * METRES_PER_SECOND_PER_MPH, density_kg_m3=1.225)
    assert asce_velocity_pressure_psf(mph) * PASCALS_PER_PSF == pytest.approx(si, rel=0.002)


@given(gust=st.floats(0.1, 60), times=st.floats(1, 5))
def test_pressure_goes_by_the_square_of_the_speed(gust: float, times: float) -> None:
    assert velocity_pressure(gust * times) == pytest.approx(velocity_pressure(gust) * times**2)


@given(speed=st.floats(0, 200))
def test_every_speed_is_in_the_band_of_its_beaufort_number(speed: float) -> None:
    low, high = beaufort_band(beaufort(speed))
    assert low <= speed < high


def test_the_beaufort_bands_follow_on_one_another_without_a_gap() -> None:
    bands = [beaufort_band(number) for number in range(13)]
    assert bands[0][0] == 0
    assert bands[-1][1] == math.inf
    assert all(below[1] == above[0] for below, above in itertools.pairwise(bands))


def test_a_speed_between_two_printed_limits_goes_to_the_nearer_band() -> None:
    # the table prints 10.7 for the top of 5 and 10.8 for the foot of 6
    assert [beaufort(speed) for speed in (10.7, 10.74, 10.76, 10.8)] == [5, 5, 6, 6]


@pytest.mark.parametrize("number", range(1, 12))
def test_the_formula_for_a_beaufort_number_lands_in_its_band(number: int) -> None:
    assert beaufort(beaufort_speed(number)) == number


def test_a_gust_is_the_mean_times_its_factor() -> None:
    assert gust_speed(6, 1.5) == 9
    assert gust_speed(6) == pytest.approx(6 * 1.66)


def test_open_country_at_ten_meters_is_half_as_gusty_again() -> None:
    # I = 1 / ln(10 / 0.05) = 0.18874; sqrt(1 + 7 * 0.18874) = 1.5235
    assert gust_factor(10, 0.05) == pytest.approx(1.5235, abs=1e-4)


@given(height=st.floats(3, 100), rougher=st.floats(1.1, 5))
def test_rougher_ground_and_less_height_make_gustier_wind(height: float, rougher: float) -> None:
    assert gust_factor(height, 0.05 * rougher) > gust_factor(height, 0.05) > 1
    assert gust_factor(height * 2, 0.05) < gust_factor(height, 0.05)


@given(length=st.floats(0.1, 100), girth=st.floats(0.05, 2), longer=st.floats(1, 3))
def test_a_longer_garland_never_has_a_lower_coefficient(
    length: float, girth: float, longer: float
) -> None:
    coefficient = garland_coefficient(length, girth)
    assert 0.63 <= coefficient < 1.2
    assert garland_coefficient(length * longer, girth) >= coefficient - 1e-12


@pytest.mark.parametrize("knot", [1, 2, 5, 10, 40])
def test_the_coefficient_has_no_step_at_an_entry_of_the_table(knot: float) -> None:
    before, after = garland_coefficient(knot - 1e-9, 1), garland_coefficient(knot + 1e-9, 1)
    assert before == pytest.approx(after, abs=1e-8)


def test_between_entries_the_coefficient_goes_by_the_logarithm() -> None:
    # 20 is midway between 10 and 40 by ratio: (0.82 + 0.98) / 2
    assert garland_coefficient(20, 1) == pytest.approx(0.90)
    # beyond 40 by the inverse: 80 has half of 1.20 - 0.98 left
    assert garland_coefficient(80, 1) == pytest.approx(1.20 - 0.11)


def test_every_figure_of_a_table_has_a_source_and_is_of_a_likely_size() -> None:
    assert set(FORCE_COEFFICIENTS) == set(Face)
    assert set(FRICTION) == {"grass", "paving", "timber", "carpet"}
    assert all(entry.source for entry in (*FORCE_COEFFICIENTS.values(), *FRICTION.values()))
    assert all(1 < entry.value <= 2 for entry in FORCE_COEFFICIENTS.values())
    assert all(0.1 <= entry.value <= 0.6 for entry in FRICTION.values())
    assert {name for name, entry in FRICTION.items() if entry.mark == "from memory"} == {
        "grass",
        "carpet",
    }


def test_the_caution_defers_to_code_and_engineer_and_certifies_nothing() -> None:
    for words in ("caution, never a certificate", "Local code", "licensed engineer"):
        assert words in CAUTION
    said = " ".join(ASSUMPTIONS)
    for words in ("from the front or from the back", "uplift is not counted", "drapes"):
        assert words in said


def test_a_base_reports_every_fault_at_once() -> None:
    with pytest.raises(BriefError) as refused:
        Base(depth_m=0, friction=-0.1, own_mass_kg=math.nan, feet=0, safety=0.5)
    fields = [problem.field for problem in refused.value.problems]
    assert fields == ["depth_m", "friction", "own_mass_kg", "feet", "safety"]


def test_a_part_and_a_load_report_every_fault_at_once() -> None:
    with pytest.raises(BriefError, match=r"area_m2: .*coefficient: .*height_m: "):
        Part(area_m2=-1, coefficient=math.nan, height_m=math.inf)
    with pytest.raises(BriefError, match=r"force_n: .*moment_nm: "):
        WindLoad(force_n=-1, moment_nm=math.nan)


@pytest.mark.parametrize("nonsense", [-1.0, math.nan, math.inf])
def test_speeds_and_masses_that_cannot_be_are_refused(nonsense: float) -> None:
    for ask in (
        velocity_pressure,
        asce_velocity_pressure_psf,
        beaufort,
        beaufort_speed,
        gust_speed,
        FRAME.load,
        lambda mass: gust_held(FRAME, FEET, mass),
        lambda limit: come_down(gust_held(FRAME, FEET, 0), limit_m_s=limit),
        lambda girth: garland_coefficient(1, girth),
        lambda roughness: gust_factor(10, roughness),
    ):
        with pytest.raises(BriefError):
            ask(nonsense)


def test_a_gust_below_its_mean_and_a_force_above_twelve_are_refused() -> None:
    with pytest.raises(BriefError, match="factor: must be a number of 1 or more"):
        gust_speed(5, 0.9)
    with pytest.raises(BriefError, match="number: must be from 0 to 12"):
        beaufort_band(13)
    with pytest.raises(BriefError, match="height_m: must be above the roughness"):
        gust_factor(0.3, 0.3)
