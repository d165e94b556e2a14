"""When the owner looks before a ballpark goes out."""

import datetime as dt
import re
from collections.abc import Callable
from dataclasses import replace
from decimal import Decimal
from functools import cache
from pathlib import Path
from typing import Any

import pytest

from service.estimating import (
    Brief,
    Budget,
    Event,
    Floating,
    FloatKind,
    Piece,
    PriceBook,
    Setting,
    Site,
    Support,
    estimate,
)
from service.estimating.book import Condition, Figure, Rule, Test, Threshold
from service.leads import review_words
from service.leads.review import reasons
from service.storage.price_book import read_price_book

TODAY = dt.date(2027, 1, 10)
HALL = Site(setting=Setting.INDOOR, latitude=42.3637, longitude=-71.1034)
JUNE = Event(date=dt.date(2027, 6, 6), start_time=dt.time(15))
HOOP = Piece(support=Support.HOOP, width_m=1.8)


@cache
def _demo() -> PriceBook:
    path = Path(__file__).parents[3] / "deploy" / "price_book.yaml"
    return read_price_book(path.read_text(encoding="utf-8"), path.name)


@pytest.fixture
def book() -> PriceBook:
    return _demo()


@pytest.fixture
def why(book: PriceBook) -> Callable[..., tuple[str, ...]]:
    """The reasons for a brief under the demo's rules, or under others."""

    def judge(
        *rules: Rule, piece: Piece = HOOP, event: Event = JUNE, site: Site = HALL, **more: Any
    ) -> tuple[str, ...]:
        used = replace(book, review=rules) if rules else book
        brief = Brief(pieces=(piece,), event=event, site=site, **more)
        return reasons(brief, estimate(brief, used, today=TODAY), used, today=TODAY)

    return judge


Why = Callable[..., tuple[str, ...]]


def above(figure: Figure, limit: float | str, also: Condition | None = None) -> Rule:
    return Rule(when=_condition(figure, Test.ABOVE, Decimal(str(limit))), also=also)


def below(figure: Figure, limit: float | str) -> Rule:
    return Rule(when=_condition(figure, Test.BELOW, Decimal(str(limit))))


def so(figure: Figure, threshold: bool | Support = True) -> Rule:
    return Rule(when=_condition(figure, Test.IS, threshold))


def _condition(figure: Figure, test: Test, threshold: Threshold) -> Condition:
    return Condition(figure=figure, test=test, threshold=threshold)


NEVER = above(Figure.GUESTS, 100_000)
"""A rule that stops nothing here: what is said in spite of it is said always."""


def test_an_ordinary_request_goes_out_at_once(why: Why) -> None:
    assert why() == ()


COAST_TO_COAST = Site(setting=Setting.INDOOR, latitude=34.09, longitude=-118.41)


def test_the_demo_shop_stops_what_it_has_always_stopped(why: Why) -> None:
    heart = Floating(kind=FloatKind.FOIL_HEART, size_class=18)
    for found, expected in (
        (
            why(site=replace(HALL, setting=Setting.OUTDOOR)),
            ["It is outdoors: wind, sun and footing want a look."],
        ),
        (why(event=replace(JUNE, date=TODAY)), ["It is today."]),
        (why(event=replace(JUNE, date=TODAY + dt.timedelta(days=1))), ["It is tomorrow."]),
        (why(event=replace(JUNE, date=TODAY + dt.timedelta(days=4))), ["It is only 4 days away."]),
        (why(event=replace(JUNE, date=TODAY + dt.timedelta(days=5))), []),
        (
            why(floating=(heart,)),
            ["A balloon floats on helium: gas to get, and each one tied to a weight."],
        ),
        (
            why(floating=(replace(heart, count=12),)),
            ["12 balloons float on helium: gas to get, and each one tied to a weight."],
        ),
        (
            why(piece=replace(HOOP, measures_assumed=True)),
            ["The client is not sure of the size; a usual one was taken."],
        ),
    ):
        assert found == tuple(expected)
    dear, far = why(site=COAST_TO_COAST)
    assert re.fullmatch(r"The likely price of \$[\d,]+ is over \$1,500\.", dear)
    assert far == "It is outside the usual area."


def test_a_far_place_is_named_with_its_miles(why: Why) -> None:
    miles = above(Figure.MILES, 35)
    (said,) = why(miles, site=COAST_TO_COAST)
    assert re.fullmatch(r"It is a long drive: 3,\d{3} miles, over 35\.", said)
    inside = replace(miles, also=_condition(Figure.OUT_OF_AREA, Test.IS, False))
    assert why(inside, site=COAST_TO_COAST) == ()


def test_a_threshold_is_not_met_by_its_equal(why: Why) -> None:
    price = estimate_of(HOOP, JUNE, HALL)
    assert why(above(Figure.LIKELY_PRICE, price)) == ()
    assert why(below(Figure.LIKELY_PRICE, price)) == ()
    (said,) = why(above(Figure.LIKELY_PRICE, price - 1))
    assert said == f"The likely price of ${price} is over ${price - 1}."
    (said,) = why(below(Figure.LIKELY_PRICE, price + 1))
    assert said == f"The likely price of ${price} is under ${price + 1}."


EVERY_FIGURE: list[tuple[Rule, dict[str, Any], str | None]] = [
    (above(Figure.MARGIN_PERCENT, 1), {}, r"The margin of \d+% is over 1%\."),
    (below(Figure.MARGIN_PERCENT, 99), {}, r"The margin of \d+% is under 99%\."),
    (
        so(Figure.OVER_BUDGET),
        {"budget": Budget(max=Decimal(50))},
        "The price is over the client's budget.",
    ),
    (so(Figure.OVER_BUDGET), {}, None),
    (above(Figure.DAYS_OF_NOTICE, 100), {}, r"It is 147 days away, over 100\."),
    (so(Figure.WEEKEND), {}, "It is on a weekend."),
    (so(Figure.WEEKEND, False), {"event": Event()}, None),
    (
        so(Figure.HOLIDAY),
        {"event": replace(JUNE, date=dt.date(2027, 7, 4))},
        "It is on a public holiday.",
    ),
    (so(Figure.OUTDOORS, False), {}, "It is indoors."),
    (so(Figure.OUTDOORS, False), {"site": Site()}, None),
    (below(Figure.MILES, 30), {}, r"It is a short drive: [\d.]+ miles, under 30\."),
    (
        above(Figure.GUESTS, 200),
        {"event": replace(JUNE, guests=240)},
        r"It is for 240 guests, over 200\.",
    ),
    (above(Figure.GUESTS, 200), {}, None),
    (above(Figure.PIECES, 1), {"piece": replace(HOOP, count=3)}, r"It has 3 pieces, over 1\."),
    (below(Figure.PIECES, 2), {}, r"It has 1 piece, under 2\."),
    (so(Figure.SUPPORT, Support.HOOP), {}, "It has a hoop."),
    (so(Figure.SUPPORT, Support.STAIRCASE), {}, None),
    (above(Figure.HEIGHT_FT, 5.9), {}, "It goes up to 6 feet, over 5.9."),
    (above(Figure.BALLOONS, 100), {}, r"It takes \d+ balloons, over 100\."),
    (
        above(Figure.HELIUM_BALLOONS, 2),
        {"floating": (Floating(kind=FloatKind.FOIL_HEART, size_class=18, count=3),)},
        "3 balloons float on helium, over 2: gas to get, and each one tied to a weight.",
    ),
    (above(Figure.FOILS, 1), {"foils": ("5", "0")}, r"It has 2 foil balloons, over 1\."),
    (above(Figure.PERSON_HOURS, 2.5), {}, r"It takes \d person-hours, over 2\.5\."),
    (below(Figure.CAR_LOADS, 2), {}, r"It fills 1 car load, under 2\."),
    (
        so(Figure.HIRE_NEEDED),
        {"piece": replace(HOOP, count=9)},
        "Something has to be hired for it.",
    ),
    (so(Figure.SIZE_UNSURE, False), {}, "The client gave the size."),
    (above(Figure.ASSUMPTIONS, 0), {"site": Site()}, r"\d things had to be assumed, over 0\."),
]


def test_every_figure_can_be_tested_and_says_what_it_found(why: Why) -> None:
    for rule, case, expected in EVERY_FIGURE:
        found = why(rule, **case)
        if expected is None:
            assert found == (), rule
        else:
            assert len(found) == 1, (rule, found)
            assert re.fullmatch(expected, found[0]), (expected, found[0])
    told_apart = {rule.when.figure for rule, _, _ in EVERY_FIGURE}
    elsewhere = {Figure.LIKELY_PRICE, Figure.OUT_OF_AREA}
    assert told_apart | elsewhere == set(Figure)


def test_two_conditions_must_both_hold_and_are_said_in_one_sentence(why: Why) -> None:
    on_a_weekend = _condition(Figure.WEEKEND, Test.IS, True)
    both = above(Figure.BALLOONS, 100, on_a_weekend)
    (said,) = why(both)
    assert re.fullmatch(r"It takes \d+ balloons, over 100, and it is on a weekend\.", said)
    assert why(both, event=replace(JUNE, date=dt.date(2027, 6, 7))) == ()
    assert why(above(Figure.BALLOONS, 5000, on_a_weekend)) == ()


def test_no_rule_at_all_still_minds_what_protects_people(why: Why) -> None:
    # Estimated the day before, looked at the day after.
    brief = Brief(pieces=(HOOP,), event=replace(JUNE, date=TODAY), site=HALL)
    lenient = replace(_demo(), review=())
    found = reasons(
        brief,
        estimate(brief, lenient, today=TODAY),
        lenient,
        today=TODAY + dt.timedelta(days=1),
    )
    assert found == ("The date is in the past.",)
    assert why(NEVER, notes="one guest has a latex allergy") == (
        "A latex allergy, or a place of care where latex may not be allowed.",
    )


def test_a_number_is_not_rounded_until_it_meets_its_threshold() -> None:
    near = _condition(Figure.MILES, Test.ABOVE, Decimal(35))
    assert review_words.found(near, Decimal("35.04"), "USD") == (
        "it is a long drive: 35.04 miles, over 35"
    )


def estimate_of(piece: Piece, event: Event, site: Site) -> int:
    brief = Brief(pieces=(piece,), event=event, site=site)
    return int(estimate(brief, _demo(), today=TODAY).price.likely)


@pytest.mark.parametrize(
    "notes",
    [
        "a hoop, one guest has a LATEX allergy",
        "columns for the hospital lobby",
        "mi hija es alérgica",
    ],
)
def test_latex_where_it_may_harm_waits(book: PriceBook, notes: str) -> None:
    brief = Brief(pieces=(HOOP,), event=JUNE, site=HALL, notes=notes)
    found = reasons(brief, estimate(brief, book, today=TODAY), book, today=TODAY)
    assert any("latex" in reason for reason in found)


def test_what_does_not_stand_in_the_wind_given_waits(why: Why) -> None:
    lawn = replace(HALL, setting=Setting.OUTDOOR)
    # 17 m/s is 38 mph, beyond the 24 mph at which everything comes down.
    storm = replace(lawn, gust_m_s=17.0)
    (said,) = [reason for reason in why(site=storm) if "not stand" in reason]
    assert said.startswith("In the wind given (38 mph gusts) the hoop does not stand: about ")
    assert said.endswith("lb of weight short.")
    assert why(NEVER, site=storm) == (said,)
    for calm in (lawn, replace(lawn, gust_m_s=2.0)):
        assert not any("not stand" in reason for reason in why(site=calm))
