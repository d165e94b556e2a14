"""Figures: plain arithmetic over what was counted."""

from collections import Counter
from dataclasses import replace
from datetime import date, timedelta
from decimal import Decimal
from statistics import median_low

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.estimating import Price
from service.leads.figures import (
    NO_REASON,
    Jobs,
    Outcome,
    Period,
    SourceOf,
    answer_times,
    before_tax,
    busiest,
    earned,
    ends_of,
    outcomes,
    periods,
    quantile,
)
from service.leads.lead import LeadState
from service.storage.price_book import read_price_book
from tests.service.building import PRICE_BOOK


@given(st.lists(st.integers(0, 50), min_size=1, max_size=40))
def test_the_median_of_counted_values_is_that_of_the_values(values: list[int]) -> None:
    assert quantile(Counter(values), 0.5) == median_low(values)
    assert quantile(Counter(values), 1.0) == max(values)


def test_there_is_no_quantile_of_nothing() -> None:
    assert quantile(Counter[int](), 0.5) is None


def test_answers_are_told_apart_by_how_long_they_took() -> None:
    found = answer_times({3: 6, 300: 2, 301: 1, 90_000: 1, -1: 1, None: 4})
    assert (found.answered, found.unanswered) == (11, 4)
    assert (found.median, found.p90) == (timedelta(seconds=3), timedelta(seconds=301))
    # Five minutes are still soon; a clock that runs behind does not make it less than none.
    assert found.soon_share == pytest.approx(9 / 11)
    assert list(found.within.values()) == [7, 2, 1, 0, 1]


def test_without_an_answer_there_is_no_time() -> None:
    found = answer_times({None: 2})
    assert (found.median, found.p90, found.soon_share, found.unanswered) == (None, None, None, 2)


def _outcome(state: LeadState, count: int, **more: object) -> Outcome:
    plain = Outcome(
        state=state, lost_because=None, merged=False, channel="form", source=None, count=count
    )
    return replace(plain, **more)  # type: ignore[arg-type]


def test_outcomes_add_up_and_what_was_replaced_is_not_counted_twice() -> None:
    found = outcomes(
        [
            _outcome(LeadState.BOOKED, 2),
            _outcome(LeadState.DONE, 1, channel="telegram", source="spring-regatta"),
            _outcome(LeadState.DECLINED, 3, lost_because="too far"),
            _outcome(LeadState.LAPSED, 4),
            _outcome(LeadState.QUOTED, 5, channel="telegram", source="spring-regatta"),
            _outcome(LeadState.LAPSED, 7, merged=True),
        ]
    )
    assert (found.asked, found.won, found.lost, found.still_open, found.replaced) == (
        15,
        3,
        7,
        5,
        7,
    )
    assert found.won_share == pytest.approx(0.3)
    assert found.reasons == {NO_REASON: 4, "too far": 3}
    assert found.sources == (
        SourceOf(channel="form", source=None, asked=9, won=2),
        SourceOf(channel="telegram", source="spring-regatta", asked=6, won=1),
    )


def test_what_is_earned_is_exact_and_in_one_currency() -> None:
    def jobs(currency: str, price: str, cost: str, count: int) -> Jobs:
        return Jobs(currency=currency, before_tax=Decimal(price), cost=Decimal(cost), count=count)

    found = earned(
        [
            jobs("USD", "100.10", "150.30", 3),
            jobs("USD", "400", "100", 1),
            jobs("EUR", "9", "1", 2),
        ],
        "USD",
    )
    assert (found.jobs, found.elsewhere) == (4, 2)
    assert (found.total, found.cost) == (Decimal("700.30"), Decimal("250.30"))
    assert (found.average, found.median) == (Decimal("175.08"), Decimal("100.10"))
    assert found.margin == Decimal(450)
    assert found.margin_share == pytest.approx(450 / 700.3)


def test_nothing_earned_has_neither_average_nor_share() -> None:
    found = earned([], "USD")
    assert (found.average, found.median, found.margin_share) == (None, None, None)


def test_days_are_summed_by_weekday_and_the_fullest_come_first() -> None:
    sunday, monday = date(2027, 6, 6), date(2027, 6, 7)
    found = busiest({sunday: 1, monday: 2, monday + timedelta(7): 2})
    assert found.by_weekday == (4, 0, 0, 0, 0, 0, 1)
    assert found.days == ((monday + timedelta(7), 2), (monday, 2), (sunday, 1))


def test_periods_are_whole_months_until_today() -> None:
    today = date(2027, 1, 10)
    assert periods(today) == {
        "month": Period(since=date(2027, 1, 1), until=today),
        "quarter": Period(since=date(2026, 11, 1), until=today),
        "year": Period(since=date(2026, 2, 1), until=today),
        "all": Period(),
    }


def test_a_period_ends_when_its_last_day_is_over_at_the_shop() -> None:
    book = read_price_book(PRICE_BOOK.read_text(encoding="utf-8"), PRICE_BOOK.name)
    since, until = ends_of(Period(since=date(2027, 3, 14), until=date(2027, 3, 14)), book)
    assert since is not None
    assert until is not None
    # The clocks are put forward on that Sunday.
    assert until.timestamp() - since.timestamp() == 23 * 3600
    assert ends_of(Period(), book) == (None, None)


def test_the_tax_in_a_price_is_taken_out_of_it() -> None:
    assert before_tax(Decimal(450), _price(tax_included=False)) == Decimal(450)
    # A half of it bears 20 %: what comes on top of 100 is 10.
    assert before_tax(Decimal(110), _price(tax_included=True)) == Decimal("100.00")


def _price(*, tax_included: bool) -> Price:
    return Price(
        low=Decimal(1),
        likely=Decimal(1),
        high=Decimal(1),
        currency="USD",
        tax_included=tax_included,
        deposit=Decimal(1),
        tax_rate=Decimal("0.2"),
        taxable_share=Decimal("0.5"),
    )
