import datetime as dt
import math
from dataclasses import replace
from decimal import Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from service.estimating import (
    Brief,
    Estimate,
    Fitting,
    Piece,
    PriceBook,
    Setting,
    Site,
    Support,
    Wind,
    estimate,
)
from service.estimating.book import Fittings, Hardware, Weight
from service.estimating.brief import Fullness, Ground
from service.estimating.extras import Accent, AccentKind
from service.estimating.footing import gust_for
from service.estimating.gusts import AIR_DENSITY_KG_M3, CAUTION, GRAVITY_M_S2, garland_coefficient
from service.estimating.paths import Placement

TODAY = dt.date(2027, 6, 1)
FOOT, MPH, POUND = 0.3048, 0.44704, 0.45359237
LAWN = Site(setting=Setting.OUTDOOR)
COVER = (Accent(kind=AccentKind.FABRIC_COVER),)

HOOP = Piece(support=Support.HOOP, width_m=6 * FOOT)
FRAME = Piece(support=Support.ROUND_TOP_FRAME, width_m=4 * FOOT, height_m=7 * FOOT)
COLUMNS = Piece(support=Support.COLUMN, height_m=6 * FOOT, count=2)

HEAVY = Weight(label="plate", mass_kg=10.0, count=4, wear=Decimal("0.75"))
LIGHT = Weight(label="bag", mass_kg=6.0, count=8, wear=Decimal("0.50"))


@pytest.fixture(name="shop")
def _shop(book: PriceBook) -> PriceBook:
    """A shop with round figures: gusts of 7 m/s, four plates of 10 kg and eight bags of 6."""
    wind = replace(
        book.wind,
        gust_m_s=7.0,
        gust_factor=1.5,
        safety_factor=1.5,
        come_down_m_s=24 * MPH,
        friction=dict.fromkeys(Ground, 0.3) | {Ground.GRASS: 0.2},
    )
    return replace(book, wind=wind, fittings=with_weights(book.fittings, HEAVY, LIGHT))


def with_weights(fittings: Fittings, *weights: Weight) -> Fittings:
    return replace(fittings, weights=weights)


def weighing(book: PriceBook, *weights: Weight) -> PriceBook:
    return replace(book, fittings=with_weights(book.fittings, *weights))


def owning(book: PriceBook, *hardware: Hardware) -> PriceBook:
    return replace(book, fittings=replace(book.fittings, hardware=hardware, covers=()))


def answered(book: PriceBook, *pieces: Piece, site: Site = LAWN) -> Estimate:
    return estimate(Brief(pieces=pieces, site=site), book, today=TODAY)


def wind_on(book: PriceBook, *pieces: Piece, site: Site = LAWN) -> Wind:
    found = answered(book, *pieces, site=site).wind
    assert found is not None
    return found


def stand(support: Support, **changed: object) -> Hardware:
    given = {
        "label": "own",
        "width_m": None,
        "height_m": None,
        "count": 1,
        "wear": Decimal(5),
        "mass_kg": 9.0,
        "base_m": 0.5,
        **changed,
    }
    return Hardware(support=support, **given)  # type: ignore[arg-type]  # measures by name


# -- who is in the wind --------------------------------------------------------------------------


def test_indoors_and_on_a_wall_there_is_no_wind_to_reckon_with(shop: PriceBook) -> None:
    wall = Piece(support=Support.WALL, length_m=3)
    assert answered(shop, HOOP, site=Site(setting=Setting.INDOOR)).wind is None
    assert answered(shop, HOOP, site=Site()).wind is None
    outdoors = answered(shop, wall)
    assert outdoors.wind is None
    assert not [fitting for fitting in outdoors.fittings if fitting.code == "weights"]


def test_each_piece_that_stands_is_named_by_its_place_in_the_brief(shop: PriceBook) -> None:
    wall = Piece(support=Support.WALL, length_m=3)
    assert [each.piece for each in wind_on(shop, wall, HOOP, wall, COLUMNS).pieces] == [1, 3]


def test_every_wind_comes_with_the_caution(shop: PriceBook) -> None:
    assert wind_on(shop, HOOP).caution.startswith(CAUTION)


# -- the gust ------------------------------------------------------------------------------------


def test_the_gust_is_the_one_given_or_the_strongest_of_its_number_or_the_books(
    shop: PriceBook,
) -> None:
    assert gust_for(LAWN, shop.wind) == 7.0
    assert gust_for(replace(LAWN, gust_m_s=9.0, beaufort=2), shop.wind) == 9.0
    # Beaufort 4 goes up to 7.9 m/s; 7.95 times the factor of 1.5.
    assert gust_for(replace(LAWN, beaufort=4), shop.wind) == pytest.approx(7.95 * 1.5)
    # Beaufort 12 has no upper end: 0.836 * 12^1.5 = 34.75.
    assert gust_for(replace(LAWN, beaufort=12), shop.wind) == pytest.approx(34.75 * 1.5, rel=1e-3)


# -- force ---------------------------------------------------------------------------------------


def test_the_force_is_half_rho_v_squared_times_c_times_a(shop: PriceBook) -> None:
    (each,) = wind_on(shop, replace(COLUMNS, count=1)).pieces
    girth = answered(shop, replace(COLUMNS, count=1)).pieces[0].girth_m
    area = girth * 6 * FOOT
    coefficient = garland_coefficient(6 * FOOT, girth)
    assert each.area_m2 == pytest.approx(area)
    assert each.force_n == pytest.approx(AIR_DENSITY_KG_M3 / 2 * 7.0**2 * coefficient * area)
    # A pole that is covered evenly is pushed at half its height.
    assert each.acts_at_m == pytest.approx(3 * FOOT)


def test_a_hoop_is_known_by_its_width_and_pushed_at_its_middle(shop: PriceBook) -> None:
    (each,) = wind_on(shop, HOOP).pieces
    girth = answered(shop, HOOP).pieces[0].girth_m
    assert each.area_m2 == pytest.approx(girth * math.pi * 6 * FOOT)
    assert each.acts_at_m == pytest.approx(3 * FOOT)


def test_a_covered_hoop_is_a_disc_besides(shop: PriceBook) -> None:
    bare, covered = (wind_on(shop, replace(HOOP, accents=a)).pieces[0] for a in ((), COVER))
    disc = math.pi * (3 * FOOT) ** 2
    # Its outline is taken as a polygon of 32 sides.
    assert covered.area_m2 - bare.area_m2 == pytest.approx(disc, rel=0.007)
    pushed = AIR_DENSITY_KG_M3 / 2 * 49 * 1.80 * (covered.area_m2 - bare.area_m2)
    assert covered.force_n - bare.force_n == pytest.approx(pushed)
    assert covered.acts_at_m == pytest.approx(3 * FOOT)


def test_a_panel_catches_wind_over_all_of_its_outline(shop: PriceBook) -> None:
    square = Piece(support=Support.SQUARE_FRAME, width_m=1.5, height_m=2.0)
    open_, closed = (
        wind_on(owning(shop, stand(Support.SQUARE_FRAME, panel=panel)), square).pieces[0]
        for panel in (False, True)
    )
    assert closed.area_m2 - open_.area_m2 == pytest.approx(1.5 * 2.0)
    # Under a round top of 4 by 7 ft: legs of 5 ft, 4 * 5 + pi * 2^2 / 2 square feet.
    bare, covered = (wind_on(shop, replace(FRAME, accents=a)).pieces[0] for a in ((), COVER))
    outline = (20 + 2 * math.pi) * FOOT**2
    assert covered.area_m2 - bare.area_m2 == pytest.approx(outline, rel=0.007)


def test_a_cover_on_a_column_hides_behind_its_balloons(shop: PriceBook) -> None:
    bare, covered = (wind_on(shop, replace(COLUMNS, accents=a)) for a in ((), COVER))
    assert covered.pieces == bare.pieces


def test_half_a_garland_catches_half_the_wind_where_it_hangs(shop: PriceBook) -> None:
    top = replace(FRAME, coverage=0.5, placement=Placement.CENTRED)
    whole, half = (wind_on(shop, piece).pieces[0] for piece in (FRAME, top))
    assert half.area_m2 == pytest.approx(whole.area_m2 / 2)
    # What is left is all round the top, and a shorter garland has a lower coefficient.
    assert half.acts_at_m > whole.acts_at_m
    assert half.force_n < whole.force_n / 2


def test_two_runs_are_two_bodies_in_the_wind(shop: PriceBook) -> None:
    apart = replace(FRAME, coverage=0.6, placement=Placement.ASYMMETRIC)
    together = replace(apart, placement=Placement.ONE_SIDE)
    two, one = (wind_on(shop, piece).pieces[0] for piece in (apart, together))
    assert two.area_m2 == pytest.approx(one.area_m2)
    # Shorter cylinders of the same thickness have more of the wind going round their ends.
    assert two.force_n < one.force_n


# -- ballast -------------------------------------------------------------------------------------


def test_ballast_holds_against_tipping_and_sliding_with_the_safety_factor(shop: PriceBook) -> None:
    own = owning(shop, stand(Support.HOOP, width_m=6 * FOOT))
    (each,) = wind_on(own, HOOP).pieces
    # M SF / (g * 0.5 / 2) - 9 and F SF / (g * 0.2) - 9
    moment = each.force_n * each.acts_at_m
    assert each.against_tipping_kg == pytest.approx(moment * 1.5 / (GRAVITY_M_S2 * 0.25) - 9)
    assert each.against_sliding_kg == pytest.approx(each.force_n * 1.5 / (GRAVITY_M_S2 * 0.2) - 9)
    assert each.ballast_kg >= max(each.against_tipping_kg, each.against_sliding_kg)


def test_firm_ground_grips_better_than_grass(shop: PriceBook) -> None:
    grass, paving = (
        wind_on(shop, HOOP, site=replace(LAWN, ground=ground)).pieces[0]
        for ground in (None, Ground.PAVING)
    )
    own_kg = 21 * POUND
    assert grass.against_sliding_kg + own_kg == pytest.approx(
        1.5 * (paving.against_sliding_kg + own_kg)
    )
    assert paving.against_tipping_kg == grass.against_tipping_kg


def test_a_hired_stand_is_taken_as_light_and_shallow(shop: PriceBook) -> None:
    own = wind_on(owning(shop, stand(Support.HOOP, width_m=6 * FOOT)), HOOP).pieces[0]
    hired = wind_on(owning(shop), HOOP).pieces[0]
    assert hired.force_n == own.force_n
    # 0.4 m in place of 0.5, and none of the 9 kg: (own + 9) * 0.5 / 0.4.
    assert hired.against_tipping_kg == pytest.approx((own.against_tipping_kg + 9) * 0.5 / 0.4)
    assert hired.against_sliding_kg == pytest.approx(own.against_sliding_kg + 9)


def test_where_only_some_are_hired_all_are_held_as_the_hired_ones(shop: PriceBook) -> None:
    pair = replace(HOOP, count=2)
    one_of_two = wind_on(owning(shop, stand(Support.HOOP, width_m=6 * FOOT)), pair).pieces[0]
    both_hired = wind_on(owning(shop), pair).pieces[0]
    assert one_of_two.against_tipping_kg == both_hired.against_tipping_kg


def test_of_unlike_stands_the_worst_counts(shop: PriceBook) -> None:
    deep, shallow = (
        stand(Support.HOOP, label=label, width_m=6 * FOOT, base_m=base, mass_kg=mass)
        for label, base, mass in (("deep", 0.6, 6.0), ("shallow", 0.4, 12.0))
    )
    worst = stand(Support.HOOP, width_m=6 * FOOT, base_m=0.4, mass_kg=6.0, count=2)
    pair = replace(HOOP, count=2)
    unlike, alike = (
        wind_on(owning(shop, *hardware), pair).pieces[0] for hardware in ((deep, shallow), (worst,))
    )
    assert unlike.against_tipping_kg == alike.against_tipping_kg
    assert unlike.against_sliding_kg == alike.against_sliding_kg


def test_weights_are_paid_for_by_their_wear_and_never_promised_twice(shop: PriceBook) -> None:
    answer = answered(shop, HOOP, COLUMNS, FRAME)
    taken = [fitting for fitting in answer.fittings if fitting.code == "weights"]
    for weight in (HEAVY, LIGHT):
        mine = [each for each in taken if each.label.startswith(weight.label)]
        assert sum(each.count for each in mine) <= weight.count
        assert all(each.cost == each.count * weight.wear for each in mine)
    lines = [line for line in answer.cost_lines if line.code == "weights"]
    assert sum(line.amount for line in lines) == sum(each.cost for each in taken)
    assert lines


def test_a_pair_shares_the_weights_evenly(shop: PriceBook) -> None:
    # One plate and one bag hold a column: two of each hold the pair.
    need = wind_on(shop, COLUMNS).pieces[0]
    assert 10 < max(need.against_tipping_kg, need.against_sliding_kg) < 16
    taken = {
        fitting.label: fitting.count
        for fitting in answered(shop, COLUMNS).fittings
        if fitting.code == "weights"
    }
    assert taken == {"plate: wear": 2, "bag: wear": 2}
    assert need.ballast_kg == 16


def test_weights_that_do_not_go_round_evenly_hold_the_worst_as_well_as_can_be(
    shop: PriceBook,
) -> None:
    # Each of five needs a plate and a bag. Four plates go to four, a bag to the fifth, which then
    # is the worst and gets a second; four bags make the others up to 16 kg.
    five = weighing(shop, HEAVY, replace(LIGHT, count=6))
    answer = answered(five, replace(COLUMNS, count=5))
    taken = [fitting for fitting in answer.fittings if fitting.code == "weights"]
    assert answer.wind
    assert answer.wind.pieces[0].ballast_kg == 12
    assert [fitting.count for fitting in taken] == [4, 6]
    assert "26 lb or more on each piece" in taken[0].place


def test_the_weights_go_where_it_stands_worst_and_not_to_who_is_named_first(
    shop: PriceBook,
) -> None:
    few = weighing(shop, replace(HEAVY, count=6))
    for pieces in ((HOOP, FRAME), (FRAME, HOOP)):
        on_each = [each.ballast_kg for each in wind_on(few, *pieces).pieces]
        assert sum(on_each) == 60
        assert min(on_each) > 0
    gusts = sorted(e.comes_down_at_m_s for e in wind_on(few, HOOP, FRAME).pieces)
    assert gusts == pytest.approx(
        sorted(e.comes_down_at_m_s for e in wind_on(few, FRAME, HOOP).pieces)
    )


@settings(deadline=None)
@given(plates=st.integers(0, 8), bags=st.integers(0, 12), more=st.integers(0, 4))
def test_more_weights_never_bring_it_down_earlier(
    book: PriceBook, plates: int, bags: int, more: int
) -> None:
    # Beyond the gust reckoned with, a closer fit of more weights may leave less to spare.
    def held(extra: int) -> float:
        shop = weighing(book, replace(HEAVY, count=plates + extra), replace(LIGHT, count=bags))
        wind = wind_on(shop, HOOP, COLUMNS)
        return min(wind.gust_m_s, *(each.comes_down_at_m_s for each in wind.pieces))

    assert held(0) <= held(more) + 1e-9


# -- when it comes down, in words ----------------------------------------------------------------


def test_what_is_weighted_for_a_gust_holds_that_gust(shop: PriceBook) -> None:
    wind = wind_on(shop, replace(COLUMNS, count=1))
    assert wind.pieces[0].comes_down_at_m_s >= 7.0
    assert wind.watch_at_m_s == pytest.approx(0.6 * wind.pieces[0].comes_down_at_m_s)
    assert wind.act_at_m_s == pytest.approx(0.8 * wind.pieces[0].comes_down_at_m_s)


def test_no_ballast_lifts_the_limit_of_24_miles_an_hour(shop: PriceBook) -> None:
    plenty = weighing(shop, replace(HEAVY, mass_kg=500.0))
    wind = wind_on(plenty, HOOP)
    assert wind.pieces[0].comes_down_at_m_s == pytest.approx(24 * MPH)
    assert "it holds gusts of up to 24 mph, and it comes down before that." in wind.caution


def test_where_no_wind_is_given_nobody_is_told_of_a_storm(shop: PriceBook) -> None:
    # 7 m/s are 15.7 mph; one bag on a hoop does not hold them.
    wind = wind_on(weighing(shop, replace(LIGHT, count=1)), HOOP)
    down = wind.pieces[0].comes_down_at_m_s / MPH
    assert down < 15.7
    said = wind.caution.removeprefix(CAUTION)
    assert said.startswith(" No wind was given: gusts of 16 mph are reckoned with.")
    assert f" As weighted here it holds gusts of up to {math.floor(down)} mph, and it" in said
    assert "not put up" not in said


def test_in_a_wind_that_is_given_and_too_strong_it_is_not_put_up(shop: PriceBook) -> None:
    storm = wind_on(shop, HOOP, site=replace(LAWN, gust_m_s=20.0))
    said = storm.caution.removeprefix(CAUTION)
    # 20 m/s are 44.7 mph, beyond the limit: no ballast would help, and none is said to be short.
    assert said.startswith(" In the wind that was given, gusts of 45 mph, it is not put up.")
    assert "short" not in said
    by_number = wind_on(shop, HOOP, site=replace(LAWN, beaufort=7))
    assert "In the wind that was given" in by_number.caution


def test_in_a_light_wind_that_is_given_there_is_nothing_to_add(shop: PriceBook) -> None:
    said = wind_on(shop, HOOP, site=replace(LAWN, gust_m_s=3.0)).caution.removeprefix(CAUTION)
    assert said.startswith(" As weighted here it holds gusts of up to ")
    assert said.endswith(" mph, and it comes down before that.")


def test_how_much_ballast_is_short_is_said_in_pounds(shop: PriceBook) -> None:
    few = weighing(shop, replace(LIGHT, count=2))
    wind = wind_on(few, HOOP)
    (each,) = wind.pieces
    short = max(each.against_tipping_kg, each.against_sliding_kg) - 12
    pounds = math.ceil(short / POUND)
    assert f"the shop's own weights are {pounds} lb short: bring more, or anchor it" in wind.caution
    assert "short" not in wind_on(shop, replace(COLUMNS, count=1)).caution


def test_a_hired_stand_without_any_weight_is_held_in_no_wind(shop: PriceBook) -> None:
    wind = wind_on(weighing(owning(shop)), HOOP)
    assert wind.pieces[0].comes_down_at_m_s == 0
    assert "Nothing holds it in any wind: it is not put up before it is weighted" in wind.caution


@settings(deadline=None)
@given(
    gust=st.just(0.0) | st.floats(0.5, 60),
    count=st.integers(1, 6),
    fullness=st.sampled_from(Fullness),
    coverage=st.floats(0.05, 1),
    support=st.sampled_from([Support.HOOP, Support.ROUND_TOP_FRAME, Support.FREESTANDING_ARCH]),
)
def test_every_wind_is_answered_with_sound_figures(
    book: PriceBook, gust: float, count: int, fullness: Fullness, coverage: float, support: Support
) -> None:
    piece = Piece(
        support=support,
        count=count,
        fullness=fullness,
        coverage=coverage,
        width_m=1.8,
        height_m=2.2,
    )
    wind = wind_on(book, piece, site=replace(LAWN, gust_m_s=gust))
    (each,) = wind.pieces
    needed = max(each.against_tipping_kg, each.against_sliding_kg)
    assert 0 <= each.comes_down_at_m_s <= book.wind.come_down_m_s
    assert 0 < each.acts_at_m < 2.2 or not gust
    assert math.isfinite(needed)
    if each.ballast_kg >= needed:
        # Enough by the rule, so that it holds the gust it was reckoned for, or the limit.
        assert each.comes_down_at_m_s >= min(gust, book.wind.come_down_m_s) - 1e-9
    assert 0 <= wind.watch_at_m_s <= wind.act_at_m_s <= each.comes_down_at_m_s


def test_what_is_not_put_up_in_the_wind_given_asks_for_no_more_weights(shop: PriceBook) -> None:
    few = weighing(shop, replace(LIGHT, count=2))
    given_gust = wind_on(few, HOOP).gust_m_s
    caution = wind_on(few, HOOP, site=replace(LAWN, gust_m_s=given_gust)).caution
    assert "it is not put up" in caution
    assert "bring more" not in caution


def test_what_stands_on_two_feet_has_as_many_weights_on_each(shop: PriceBook) -> None:
    def weights(piece: Piece, owned: PriceBook) -> list[Fitting]:
        return [e for e in answered(owned, piece).fittings if e.code == "weights"]

    plenty = weighing(shop, replace(HEAVY, count=30), replace(LIGHT, count=30))
    taken = weights(FRAME, plenty)
    assert taken
    assert all(each.count % 2 == 0 for each in taken)
    assert {each.place for each in taken} == {"Low on the feet, as many on each."}
    (odd,) = weights(FRAME, weighing(shop, replace(HEAVY, count=1)))
    assert "an odd one on the foot" in odd.place
    assert weights(HOOP, plenty)[0].place == "Low on its foot."
