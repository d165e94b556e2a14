"""When goods arrive, and until when they are to be ordered."""

import datetime as dt

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from service.estimating.book import Supplier, arrives, order_by

NEW_YEAR = {dt.date(2027, 1, 1): "New Year's Day"}
SUPPLIERS = st.builds(
    Supplier, name=st.just("mill"), lead_days=st.integers(0, 12), working_days=st.booleans()
)
DAYS = st.dates(dt.date(2026, 12, 1), dt.date(2027, 2, 1))


def supplier(lead_days: int, *, working_days: bool) -> Supplier:
    return Supplier(name="mill", lead_days=lead_days, working_days=working_days)


def test_every_day_counts_where_the_book_says_no_more() -> None:
    friday = dt.date(2026, 12, 4)
    assert arrives(supplier(4, working_days=False), friday, {}) == dt.date(2026, 12, 8)
    assert order_by(supplier(4, working_days=False), dt.date(2026, 12, 8), {}) == friday


@pytest.mark.parametrize(
    ("ordered", "there"),
    [
        ("2026-12-04", "2026-12-10"),  # Friday to Thursday
        ("2026-12-05", "2026-12-11"),  # what is ordered on a Saturday begins on Monday
        ("2026-12-30", "2027-01-06"),  # New Year's Day does not count
    ],
)
def test_weekends_and_holidays_are_passed_over_where_working_days_count(
    ordered: str, there: str
) -> None:
    mill = supplier(4, working_days=True)
    assert arrives(mill, dt.date.fromisoformat(ordered), NEW_YEAR) == dt.date.fromisoformat(there)


def test_what_is_wanted_on_a_sunday_has_to_be_there_on_friday() -> None:
    sunday = dt.date(2026, 12, 13)
    assert order_by(supplier(1, working_days=True), sunday, {}) == dt.date(2026, 12, 10)


@settings(deadline=None, max_examples=25)
@given(mill=SUPPLIERS, wanted=DAYS)
def test_the_last_day_to_order_is_in_time_and_the_day_after_is_not(
    mill: Supplier, wanted: dt.date
) -> None:
    last = order_by(mill, wanted, NEW_YEAR)
    assert arrives(mill, last, NEW_YEAR) <= wanted
    assert arrives(mill, last + dt.timedelta(1), NEW_YEAR) > wanted
