import dataclasses
import datetime as dt
import itertools
from collections import Counter
from decimal import Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from pydantic import TypeAdapter

from service.estimating import (
    Brief,
    BriefError,
    Build,
    ColourShare,
    Estimate,
    Event,
    Fullness,
    Piece,
    PriceBook,
    Setting,
    Site,
    Support,
    estimate,
)
from service.estimating.assumptions import OUT_OF_AREA
from service.estimating.book import Charge, Zone
from service.estimating.cautions import CHOKING
from service.estimating.colouring import Pattern

TODAY = dt.date(2027, 1, 10)
HALL = Site(setting=Setting.INDOOR, latitude=42.3637, longitude=-71.1034)
TUESDAY = Event(date=dt.date(2027, 6, 8), start_time=dt.time(15))
SAGE_CREAM_GOLD = tuple(ColourShare(colour=name) for name in ("sage", "cream", "gold"))
FRAME = Piece(support=Support.ROUND_TOP_FRAME, width_m=1.2192, height_m=2.1336)

pieces = st.builds(
    Piece,
    support=st.sampled_from(Support),
    count=st.integers(1, 3),
    fullness=st.sampled_from(Fullness),
    coverage=st.floats(0.05, 1),
    width_m=st.floats(0.5, 4),
    height_m=st.floats(2, 4),
    length_m=st.floats(0.5, 10),
    sag_m=st.floats(0.01, 2),
    rise_m=st.floats(0.5, 4),
    run_m=st.floats(0.5, 5),
    measures_assumed=st.booleans(),
)
colours = st.sampled_from(
    ["sage", "cream", "ivory", "gold", "navy", "white", "moonlit teal", "Dusty  Pink"]
)
briefs = st.builds(
    Brief,
    pieces=st.lists(pieces, min_size=1, max_size=4).map(tuple),
    palette=st.lists(st.builds(ColourShare, colour=colours), max_size=5).map(tuple),
    event=st.sampled_from([Event(), TUESDAY]),
    site=st.sampled_from([Site(), HALL, Site(setting=Setting.OUTDOOR)]),
    foils=st.sampled_from([(), ("5", "0"), ("LOVE", "star")]),
)


def brief_of(*made: Piece, **other: object) -> Brief:
    given_facts = {"palette": SAGE_CREAM_GOLD, "event": TUESDAY, "site": HALL, **other}
    return Brief(pieces=made, **given_facts)  # type: ignore[arg-type]  # facts by name


def of_size(answer: Estimate) -> Counter[int]:
    counts: Counter[int] = Counter()
    for piece in answer.pieces:
        for balloon in piece.balloons:
            counts[balloon.size_class] += balloon.count
    return counts


@settings(deadline=None)
@given(brief=briefs)
def test_every_brief_gets_an_ordered_range_and_exact_sums(book: PriceBook, brief: Brief) -> None:
    answer = estimate(brief, book, today=TODAY)
    price = answer.price
    assert book.policy.minimum <= price.low < price.likely < price.high
    assert Decimal(0) < price.deposit <= price.likely
    assert all(line.quantity * line.rate == line.amount for line in answer.cost_lines)
    assert answer.balloons_total == sum(of_size(answer).values())
    assert answer.shopping.proven_cheapest
    goods = sum((line.packs * line.unit_price for line in answer.shopping.lines), Decimal(0))
    orders = answer.shopping.orders
    assert goods == sum((order.goods for order in orders), Decimal(0))
    assert answer.shopping.cost == goods + sum((order.delivery for order in orders), Decimal(0))


@settings(deadline=None)
@given(brief=briefs)
def test_packs_and_stock_hold_every_balloon_and_spare(book: PriceBook, brief: Brief) -> None:
    answer = estimate(brief, book, today=TODAY)
    needed: Counter[tuple[int, str]] = Counter()
    for piece in answer.pieces:
        for b in piece.balloons:
            needed[b.size_class, b.colour] += b.count + b.spares
    held: Counter[tuple[int, str]] = Counter()
    for filled in answer.shopping.filled:
        held[filled.size_class, filled.colour] += filled.count
        held[filled.by_size_class, filled.by_colour] -= filled.count
    for stocked in answer.shopping.from_stock:
        held[stocked.size_class, stocked.colour] += stocked.count
    kits = {kit.item: kit for kit in book.kits}
    for line in answer.shopping.lines:
        if line.size_class is not None and line.colour is not None:
            held[line.size_class, line.colour] += line.packs * line.pack_size
        else:
            for holding in kits[line.item].contents:
                held[holding.size_class, holding.colour] += line.packs * holding.count
    assert all(held[key] >= number for key, number in needed.items())


@settings(deadline=None)
@given(length=st.floats(0.2, 20), more=st.floats(0.01, 8), fullness=st.sampled_from(Fullness))
def test_more_length_never_costs_less(
    book: PriceBook, length: float, more: float, fullness: Fullness
) -> None:
    short, long = (
        estimate(
            brief_of(Piece(support=Support.WALL, length_m=m, fullness=fullness)),
            book,
            today=TODAY,
        )
        for m in (length, length + more)
    )
    assert long.shopping.cost >= short.shopping.cost
    assert long.shopping.used_cost >= short.shopping.used_cost
    assert sum(line.amount for line in long.cost_lines) >= sum(
        line.amount for line in short.cost_lines
    )
    assert long.price.low >= short.price.low
    assert long.price.likely >= short.price.likely
    assert long.price.high >= short.price.high


def test_equal_input_gives_equal_bytes(book: PriceBook) -> None:
    dump = TypeAdapter(Estimate).dump_json
    first, second = (dump(estimate(brief_of(FRAME), book, today=TODAY)) for _ in range(2))
    assert first == second


def test_the_order_in_which_colours_are_listed_changes_nothing(book: PriceBook) -> None:
    answers = [
        estimate(brief_of(FRAME, palette=palette), book, today=TODAY)
        for palette in itertools.permutations(SAGE_CREAM_GOLD)
    ]
    assert len(answers) == 6
    assert all(answer.pieces == answers[0].pieces for answer in answers)
    assert all(answer.cost_lines == answers[0].cost_lines for answer in answers)


def test_but_a_pattern_follows_the_order_of_the_client(book: PriceBook) -> None:
    def first(palette: tuple[ColourShare, ...]) -> str:
        wall = Piece(support=Support.WALL, length_m=4, pattern=Pattern.BLOCKS)
        (piece,) = estimate(brief_of(wall, palette=palette), book, today=TODAY).pieces
        return piece.cluster_types[piece.order[0]].balloons[0][1]

    assert first(SAGE_CREAM_GOLD) == "sage"
    assert first(SAGE_CREAM_GOLD[::-1]) == "gold"


def test_fullness_raises_balloons_hours_and_price(book: PriceBook) -> None:
    airy, full, lush = (
        estimate(brief_of(dataclasses.replace(FRAME, fullness=f)), book, today=TODAY)
        for f in Fullness
    )
    assert airy.balloons_total < full.balloons_total < lush.balloons_total
    assert airy.price.likely < full.price.likely < lush.price.likely


@pytest.mark.parametrize("support", Support)
def test_every_support_can_be_estimated(book: PriceBook, support: Support) -> None:
    piece = Piece(
        support=support, width_m=1.5, height_m=2.2, length_m=3, sag_m=0.4, rise_m=2, run_m=2.5
    )
    answer = estimate(brief_of(piece), book, today=TODAY)
    assert answer.balloons_total > 0
    assert answer.pieces[0].line_length_m > answer.pieces[0].garland_length_m


def test_outdoors_the_same_recipe_is_thinner_and_takes_a_little_more(book: PriceBook) -> None:
    outdoors = dataclasses.replace(HALL, setting=Setting.OUTDOOR)
    inside, outside = (
        estimate(brief_of(FRAME, site=site), book, today=TODAY) for site in (HALL, outdoors)
    )
    # sized 8.5 in where it is 9.5 in indoors: the girth follows, and so does the pitch
    ratio = outside.pieces[0].girth_m / inside.pieces[0].girth_m
    assert ratio == pytest.approx(8.5 / 9.5, rel=1e-9)
    assert 1.0 < outside.balloons_total / inside.balloons_total < 1.25
    figures = {reason.figure: reason.inputs for reason in outside.explanation}
    assert figures["pieces[0].clusters"]["G"] == f"{outside.pieces[0].girth_m:.3f} m"


def test_every_fact_left_open_is_an_assumption_and_widens_the_range(book: PriceBook) -> None:
    known = estimate(brief_of(FRAME), book, today=TODAY)
    assert known.completeness == 1
    assert known.assumptions == ()
    bare = estimate(
        Brief(pieces=(dataclasses.replace(FRAME, measures_assumed=True),)), book, today=TODAY
    )
    assert bare.completeness == 0
    assert {a.field for a in bare.assumptions} == {
        "pieces[0]", "palette", "event.date", "event.start_time", "site.setting",
        "site.postal_code",
    }  # fmt: skip
    assert bare.price.high / bare.price.low > known.price.high / known.price.low


def test_a_colour_that_nobody_stocks_is_priced_as_a_special_order(book: PriceBook) -> None:
    palette = (ColourShare(colour="Moonlit Teal"), ColourShare(colour="ivory"))
    answer = estimate(brief_of(FRAME, palette=palette), book, today=TODAY)
    assert {b.colour for b in answer.pieces[0].balloons} == {"moonlit teal", "cream"}
    assert any("special order" in a.text for a in answer.assumptions)


def test_shares_are_kept(book: PriceBook) -> None:
    palette = (ColourShare(colour="sage", share=0.75), ColourShare(colour="gold"))
    answer = estimate(brief_of(FRAME, palette=palette), book, today=TODAY)
    tens = {b.colour: b.count for b in answer.pieces[0].balloons if b.size_class == 10}
    assert tens["sage"] == pytest.approx(3 * tens["gold"], abs=4)


def test_a_weekend_and_a_short_notice_cost_more(book: PriceBook) -> None:
    def likely(date: dt.date) -> Decimal:
        brief = brief_of(FRAME, event=Event(date=date, start_time=dt.time(15)))
        return estimate(brief, book, today=TODAY).price.likely

    tuesday, saturday, tomorrow = (
        likely(d) for d in (dt.date(2027, 6, 8), dt.date(2027, 6, 12), dt.date(2027, 1, 11))
    )
    assert tuesday < saturday < tomorrow


def test_a_day_that_has_passed_is_refused_kindly(book: PriceBook) -> None:
    with pytest.raises(BriefError, match=r"event\.date: 2027-01-09 has passed; give a day from"):
        estimate(brief_of(FRAME, event=Event(date=dt.date(2027, 1, 9))), book, today=TODAY)


def test_a_size_that_the_shop_does_not_stock_is_refused(book: PriceBook) -> None:
    column = Piece(support=Support.COLUMN, height_m=2, size_class=24)
    with pytest.raises(BriefError, match=r"pieces\[0\]\.size_class"):
        estimate(brief_of(column), book, today=TODAY)


def test_farther_away_costs_more_and_beyond_the_area_is_told(book: PriceBook) -> None:
    near, far = (
        estimate(
            brief_of(FRAME, site=dataclasses.replace(HALL, latitude=latitude)), book, today=TODAY
        )
        for latitude in (42.4, 43.5)
    )
    assert near.price.likely < far.price.likely
    assert near.travel.in_area
    assert near.assumptions == ()
    assert not far.travel.in_area
    assert [a.text for a in far.assumptions] == [OUT_OF_AREA]


@pytest.mark.parametrize(
    ("site", "begins"),
    [
        (Site(place="zzz", postal_code="99999"), "I couldn't place “zzz, 99999” on the map, so"),
        (Site(place="boathouse hall"), "I couldn't place “boathouse hall” on the map, so"),
        (Site(postal_code="SW1A 1AA"), "I couldn't place “SW1A 1AA” on the map, so"),
        (Site(), "No place named yet, so"),
    ],
)
def test_a_place_that_was_said_is_never_told_to_be_unsaid(
    book: PriceBook, site: Site, begins: str
) -> None:
    answer = estimate(brief_of(FRAME, site=site), book, today=TODAY)
    (text,) = (a.text for a in answer.assumptions if a.field == "site.postal_code")
    assert text == f"{begins} I counted a 9-mile drive."


@pytest.mark.parametrize(
    ("piece", "told"),
    [
        (Piece(support=Support.SWAG, width_m=3, sag_m=0.5, height_m=2), {"height_m"}),
        (
            Piece(support=Support.WALL, length_m=3, width_m=2, height_m=2),
            {"width_m", "height_m"},
        ),
        (
            Piece(support=Support.WALL, length_m=3, size_class=16, sized_m=0.3),
            {"size_class", "sized_m"},
        ),
        (Piece(support=Support.COLUMN, height_m=2, fullness=Fullness.LUSH), {"fullness"}),
        (Piece(support=Support.COLUMN, height_m=2, size_class=16, sized_m=0.3), set()),
        (Piece(support=Support.COLUMN, height_m=2), set()),
        (
            Piece(support=Support.COLUMN, height_m=2, build=Build.ORGANIC, fullness=Fullness.LUSH),
            set(),
        ),
    ],
)
def test_what_the_price_does_not_go_by_is_told_and_changes_nothing(
    book: PriceBook, piece: Piece, told: set[str]
) -> None:
    answer = estimate(brief_of(piece), book, today=TODAY)
    assert {a.field for a in answer.assumptions} == {f"pieces[0].{name}" for name in told}
    plain = {name: Fullness.FULL if name == "fullness" else None for name in told}
    without = dataclasses.replace(piece, **plain)  # type: ignore[arg-type]  # fields by name
    assert estimate(brief_of(without), book, today=TODAY).price == answer.price


def test_what_clients_read_is_spelled_the_american_way(book: PriceBook) -> None:
    briefs = (
        Brief(pieces=(FRAME,)),
        brief_of(FRAME, palette=(ColourShare(colour="moonlit teal"),), foils=("LOVE",)),
    )
    for brief in briefs:
        answer = estimate(brief, book, today=TODAY)
        texts = [a.text for a in answer.assumptions] + [c.text for c in answer.cautions]
        texts += [r.formula for r in answer.explanation]
        texts += [name for r in answer.explanation for name in r.inputs]
        assert any("color" in text for text in texts)
        assert not any("colour" in text for text in texts)


@pytest.mark.parametrize("look", Fullness)
def test_a_frame_or_a_hoop_goes_in_one_car_load(book: PriceBook, look: Fullness) -> None:
    hoop = Piece(support=Support.HOOP, width_m=6 * 0.3048, fullness=look)
    for piece in (hoop, dataclasses.replace(FRAME, fullness=look)):
        assert estimate(brief_of(piece), book, today=TODAY).load.car_loads == 1


def test_foils_are_counted_digit_by_digit_and_letter_by_letter(book: PriceBook) -> None:
    answer = estimate(brief_of(FRAME, foils=("5", "0", "LOVE", "star")), book, today=TODAY)
    foils = {line.label: line.quantity for line in answer.cost_lines if line.code == "foils"}
    assert list(foils.values()) == [2, 4, 1]
    # 2 digits at 6 min, 4 letters at 5, one shape at 4
    assert answer.hours["foils"] == pytest.approx(36 / 60)


def test_a_frame_that_the_shop_does_not_own_is_hired(book: PriceBook) -> None:
    odd = Piece(support=Support.ROUND_TOP_FRAME, width_m=2.0, height_m=2.4)
    answer = estimate(brief_of(odd), book, today=TODAY)
    assert [line.code for line in answer.cost_lines].count("hire") == 1
    assert any("to hire" in a.text for a in answer.assumptions)
    two = estimate(brief_of(FRAME, FRAME), book, today=TODAY)
    assert {line.code for line in two.cost_lines} >= {"wear", "hire"}


def test_cautions_follow_the_brief(book: PriceBook) -> None:
    def codes(brief: Brief) -> set[str]:
        return {caution.code for caution in estimate(brief, book, today=TODAY).cautions}

    indoors = codes(brief_of(FRAME))
    assert {"choking_hazard", "latex_allergy", "exits_and_fire_rules"} <= indoors
    assert not {"ladders", "sun_and_heat", "foils_and_power_lines"} & indoors
    tall = Piece(support=Support.FREESTANDING_ARCH, width_m=3, height_m=2.6)
    assert "ladders" in codes(brief_of(tall))
    assert "sun_and_heat" in codes(brief_of(FRAME, site=Site(setting=Setting.OUTDOOR)))
    assert "foils_and_power_lines" in codes(brief_of(FRAME, foils=("7",)))
    door = Piece(support=Support.DOORWAY, width_m=1, height_m=2)
    assert "clear_way_out" in codes(brief_of(door))
    texts = {c.code: c.text for c in estimate(brief_of(FRAME), book, today=TODAY).cautions}
    assert texts["choking_hazard"] == CHOKING


def test_wind_is_cautioned_for_what_stands_outdoors_and_for_nothing_else(
    book: PriceBook,
) -> None:
    garden = Site(setting=Setting.OUTDOOR)
    table = Piece(support=Support.TABLE, length_m=2)
    outdoors = estimate(brief_of(FRAME, site=garden), book, today=TODAY).wind
    assert outdoors
    assert "licensed engineer" in outdoors.caution
    assert estimate(brief_of(FRAME), book, today=TODAY).wind is None
    assert estimate(brief_of(table, site=garden), book, today=TODAY).wind is None


def test_an_hourly_target_prices_the_hours(book: PriceBook) -> None:
    def likely(target: str) -> Decimal:
        policy = dataclasses.replace(
            book.policy, charge=Charge.HOURLY_TARGET, hourly_target=Decimal(target)
        )
        by_hour = dataclasses.replace(book, policy=policy)
        return estimate(brief_of(FRAME), by_hour, today=TODAY).price.likely

    hours = sum(estimate(brief_of(FRAME), book, today=TODAY).hours.values())
    assert float(likely("90") - likely("50")) == pytest.approx(40 * hours, rel=0.05)


def test_zones_replace_kilometres(book: PriceBook) -> None:
    zones = (Zone(up_to_m=5_000, fee=Decimal(15)), Zone(up_to_m=30_000, fee=Decimal(35)))
    zoned = dataclasses.replace(book, travel=dataclasses.replace(book.travel, zones=zones))
    lines = estimate(brief_of(FRAME), zoned, today=TODAY).cost_lines
    (delivery,) = (line for line in lines if line.code == "delivery")
    assert (delivery.quantity, delivery.rate) == (Decimal(2), Decimal(35))


def test_the_price_policy_says_whether_leftovers_are_charged(book: PriceBook) -> None:
    def charged(share: str) -> Decimal:
        policy = dataclasses.replace(book.policy, leftovers_charged=Decimal(share))
        changed = dataclasses.replace(book, policy=policy)
        lines = estimate(brief_of(FRAME), changed, today=TODAY).cost_lines
        return sum((x.amount for x in lines if x.code in ("balloons", "leftovers")), Decimal(0))

    answer = estimate(brief_of(FRAME), book, today=TODAY)
    assert charged("0") == answer.shopping.used_cost
    assert charged("0") < charged("0.5") < charged("1")
    assert charged("1") >= answer.shopping.cost
