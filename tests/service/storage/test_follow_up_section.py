"""The price book's section on follow-up."""

from datetime import time, timedelta
from typing import Any

import pytest
from pydantic import ValidationError

from service.estimating.book import FollowUp
from service.storage.price_book import read_price_book
from service.storage.price_book.follow_up import FollowUpEntry
from tests.service.building import PRICE_BOOK


def test_a_book_without_it_follows_up_as_usual() -> None:
    assert FollowUpEntry().value() == FollowUp()
    whole = read_price_book(PRICE_BOOK.read_text(encoding="utf-8"), "book")
    assert whole.follow_up == FollowUp()


def test_each_kind_has_its_time_and_can_be_off() -> None:
    value = FollowUpEntry.model_validate(
        {
            "quiet_from": "22:00",
            "nudge": {"on": False, "hours_before": 12},
            "hold": {"hours_before": 1.5},
            "balance": {"days_before": 0, "at": "08:00"},
            "thanks": {"days_after": 3, "at": "18:30"},
        }
    ).value()
    assert (value.quiet_from, value.quiet_until) == (time(22), FollowUp().quiet_until)
    assert (value.nudge.on, value.hold.before) == (False, timedelta(hours=1.5))
    assert (value.balance.days, value.balance.at) == (0, time(8))
    assert value.day_before == FollowUp().day_before
    assert (value.thanks.on, value.thanks.days, value.thanks.at) == (True, 3, time(18, 30))


@pytest.mark.parametrize(
    ("entry", "says"),
    [
        ({"quiet_from": "late"}, "write a time of day"),
        ({"nudge": {"hours_before": 0}}, "greater than 0"),
        ({"thanks": {"days_after": 0, "at": "11:00"}}, "greater than or equal to 1"),
        ({"day_before": {"days_before": 2, "at": "11:00"}}, "Extra inputs"),
        ({"birthday": {"on": True}}, "Extra inputs"),
    ],
)
def test_slips_of_the_pen_are_refused(entry: dict[str, Any], says: str) -> None:
    with pytest.raises(ValidationError, match=says):
        FollowUpEntry.model_validate(entry)
