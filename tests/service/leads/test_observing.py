from dataclasses import replace
from datetime import UTC, date, datetime
from decimal import Decimal
from functools import cache
from typing import Any

import pytest

from service.estimating import (
    UNCALIBRATED,
    Build,
    Calibration,
    Hours,
    Packing,
    Piece,
    PriceBook,
    Support,
    Taken,
    calibrate,
    estimate,
    prior_of,
)
from service.leads.actuals import Actuals
from service.leads.lead import Quote, QuoteKind
from service.leads.observing import by_book, observation, told
from service.storage.price_book import read_price_book
from tests.service.building import PRICE_BOOK, a_brief

MADE = datetime(2027, 1, 10, 17, tzinfo=UTC)
NOTHING = Decimal(0)


@cache
def book() -> PriceBook:
    return read_price_book(PRICE_BOOK.read_text(encoding="utf-8"), "book")


@cache
def quote(known: str = "") -> Quote:
    """The rowing club's frame, quoted by the book alone or with what a slow shop has learnt."""
    calibration = slow() if known else UNCALIBRATED
    brief = a_brief()
    return Quote(
        id="q",
        lead_id="lead-1",
        number="G1000-1",
        kind=QuoteKind.BALLPARK,
        brief=brief,
        estimate=estimate(brief, book(), calibration, today=date(2027, 1, 10)),
        low=NOTHING,
        likely=NOTHING,
        high=NOTHING,
        currency="USD",
        deposit=NOTHING,
        created_at=MADE,
        expires_at=MADE,
    )


@cache
def slow() -> Calibration:
    """Five jobs that took twice as long as planned."""
    plain = quote()
    noted = [
        replace(observation(plain, book(), took()), job=f"job {number}") for number in range(5)
    ]
    return replace(calibrate(prior_of(book()), noted), version="slow")


def took(**more: Any) -> Actuals:
    planned = quote().estimate.hours
    return Actuals(**{"hours": {"tying": 2 * planned["tying"]}} | more)


def test_planned_is_what_the_book_alone_says_whatever_the_quote_went_by() -> None:
    plain, learnt = (observation(each, book(), took()) for each in (quote(), quote("slow")))
    assert quote("slow").estimate.hours["tying"] > 1.2 * quote().estimate.hours["tying"]
    assert learnt == plain
    assert plain.hours == {
        "tying": Hours(
            planned_h=quote().estimate.hours["tying"],
            actual_h=2 * quote().estimate.hours["tying"],
        )
    }
    assert plain.job == "lead-1"
    assert plain.supports == {"round_top_frame"}
    assert plain.book == book().version


def test_what_was_not_told_or_not_planned_or_not_done_teaches_nothing() -> None:
    hours = {"tying": 0.0, "helium": 1.0}
    seen = observation(quote(), book(), Actuals(hours=hours, drive_h=0.0))
    assert seen.hours == {}
    assert (seen.drive, seen.packing, seen.balloons) == (None, None, {})


def test_a_drive_is_by_the_clock_however_many_ride_along() -> None:
    crew = quote().estimate.plan.crew
    seen = observation(quote(), book(), Actuals(drive_h=1.5))
    assert seen.drive == Hours(planned_h=quote().estimate.hours["drive"] / crew, actual_h=1.5)


def test_packing_is_what_was_used_but_for_what_burst() -> None:
    placed = quote().estimate.balloons_total
    sizes = {line.size_class for line in quote().estimate.spares}
    every = dict.fromkeys(sizes, 2)
    seen = observation(quote(), book(), Actuals(used=placed + 30, burst=every))
    assert seen.packing == Packing(planned=placed, used=placed + 30 - 2 * len(sizes))
    # Where nobody counted what burst, it is what the book reckons with.
    unknown = observation(quote(), book(), Actuals(used=placed + 30)).packing
    assert unknown is not None
    expected = sum(line.placed * line.breakage for line in quote().estimate.spares)
    assert unknown.used == round(placed + 30 - expected)


def test_burst_balloons_are_counted_against_those_blown_up() -> None:
    size = quote().estimate.spares[0].size_class
    placed = sum(x.placed for x in quote().estimate.spares if x.size_class == size)
    seen = observation(quote(), book(), Actuals(burst={size: 3}))
    assert seen.balloons == {size: Taken(taken=placed + 3, burst=3)}
    key = size, quote().estimate.spares[0].colour
    counted = observation(quote(), book(), Actuals(used_by={key: 500}, burst={size: 3}))
    assert counted.balloons[size].taken >= 500


@pytest.mark.parametrize("known", ["", "slow"])
def test_told_is_what_the_quote_said_beside_what_the_book_would_have(known: str) -> None:
    asked = quote(known)
    said, cost, plain = told(asked, book()), asked.estimate.cost, quote().estimate.cost
    quoted, alone = said.quoted, said.by_book
    assert (quoted.low, quoted.likely, quoted.high) == (cost.low, cost.likely, cost.high)
    assert (alone.low, alone.likely, alone.high) == (plain.low, plain.likely, plain.high)
    assert said.calibration == (known or None)
    hours = asked.estimate.hours
    assert said.hours["tying"] == hours["tying"]
    assert said.hours["drive"] == hours["drive"] / asked.estimate.plan.crew
    assert 0 not in said.hours.values()


def test_a_book_that_cannot_make_the_estimate_teaches_nothing() -> None:
    another = replace(book(), version="another")
    unknown = Piece(support=Support.COLUMN, height_m=1.8, build=Build.QUADS, size_class=36)
    asked = replace(quote("slow"), brief=a_brief(pieces=(unknown,)))
    assert by_book(asked, another) is None
    assert observation(asked, another, took()).hours == {}
    assert told(asked, another).by_book == told(asked, another).quoted
