"""When the owner looks before a ballpark goes out."""

import datetime as dt
from collections.abc import Callable
from dataclasses import replace
from decimal import Decimal
from pathlib import Path

import pytest

from service.estimating import (
    Brief,
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
from service.leads.review import reasons
from service.storage.price_book import read_price_book

TODAY = dt.date(2027, 1, 10)
HALL = Site(setting=Setting.INDOOR, latitude=42.3637, longitude=-71.1034)
JUNE = Event(date=dt.date(2027, 6, 6), start_time=dt.time(15))
HOOP = Piece(support=Support.HOOP, width_m=1.8)


@pytest.fixture(scope="module")
def book() -> PriceBook:
    path = Path(__file__).parents[3] / "deploy" / "price_book.yaml"
    return read_price_book(path.read_text(encoding="utf-8"), path.name)


@pytest.fixture
def why(book: PriceBook) -> Callable[..., tuple[str, ...]]:
    """The reasons for a brief under the demo's rules, or under others."""

    def judge(
        piece: Piece = HOOP, event: Event = JUNE, site: Site = HALL, **rules: object
    ) -> tuple[str, ...]:
        used = replace(book, review=replace(book.review, **rules)) if rules else book  # type: ignore[arg-type]
        brief = Brief(pieces=(piece,), event=event, site=site)
        return reasons(brief, estimate(brief, used, today=TODAY), used, today=TODAY)

    return judge


Why = Callable[..., tuple[str, ...]]


def test_an_ordinary_request_goes_out_at_once(why: Why) -> None:
    assert why() == ()


def test_outdoors_waits_where_the_owner_wants_it(why: Why) -> None:
    outdoors = replace(HALL, setting=Setting.OUTDOOR)
    assert any("outdoors" in reason for reason in why(site=outdoors))
    assert not any("outdoors" in reason for reason in why(site=outdoors, outdoors=False))


def test_a_price_over_the_limit_waits(why: Why) -> None:
    assert any("over $100" in reason for reason in why(likely_above=Decimal(100)))


def test_short_notice_waits(why: Why) -> None:
    soon = Event(date=TODAY + dt.timedelta(days=1), start_time=dt.time(15))
    assert any("tomorrow" in reason for reason in why(event=soon))


def test_far_away_waits(why: Why) -> None:
    coast_to_coast = Site(setting=Setting.INDOOR, latitude=34.09, longitude=-118.41)
    assert any("outside the usual area" in reason for reason in why(site=coast_to_coast))
    assert any("long drive" in reason for reason in why(distance_above_m=10.0))


def test_a_size_that_was_only_assumed_waits(why: Why) -> None:
    unsure = replace(HOOP, measures_assumed=True)
    assert any("not sure of the size" in reason for reason in why(piece=unsure))


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


def test_helium_waits_where_the_owner_wants_it(book: PriceBook) -> None:
    one = Floating(kind=FloatKind.FOIL_HEART, size_class=18)
    for floating, said in (
        ((one,), "A balloon floats on helium"),
        ((one, replace(one, count=11)), "12 balloons float on helium"),
    ):
        brief = Brief(pieces=(HOOP,), event=JUNE, site=HALL, floating=floating)
        answer = estimate(brief, book, today=TODAY)
        assert any(said in reason for reason in reasons(brief, answer, book, today=TODAY))
        easy = replace(book, review=replace(book.review, helium=False))
        assert reasons(brief, answer, easy, today=TODAY) == ()


def test_many_open_facts_wait(why: Why) -> None:
    assert any("had to be assumed" in reason for reason in why(site=Site(), assumptions_above=0))


def test_what_does_not_stand_in_the_wind_given_waits(why: Why) -> None:
    lawn = replace(HALL, setting=Setting.OUTDOOR)
    # 17 m/s is 38 mph, beyond the 24 mph at which everything comes down.
    storm = replace(lawn, gust_m_s=17.0)
    (said,) = [reason for reason in why(site=storm) if "not stand" in reason]
    assert said.startswith("In the wind given (38 mph gusts) the hoop does not stand: about ")
    assert said.endswith("lb of weight short.")
    assert not any("not stand" in reason for reason in why(site=storm, outdoors=False))
    for calm in (lawn, replace(lawn, gust_m_s=2.0)):
        assert not any("not stand" in reason for reason in why(site=calm))
