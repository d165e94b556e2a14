from dataclasses import replace
from datetime import date
from decimal import Decimal

import pytest

from service.estimating import UNCALIBRATED, PriceBook, Setting
from service.leads.trying_out import tried_out, usual_jobs
from service.storage.price_book import read_price_book
from tests.service.building import PRICE_BOOK

TODAY = date(2027, 1, 10)


@pytest.fixture(scope="module")
def book() -> PriceBook:
    return read_price_book(PRICE_BOOK.read_text(encoding="utf-8"), "book")


def test_usual_jobs_are_of_different_kinds_and_near_the_shop(book: PriceBook) -> None:
    jobs = usual_jobs(book.shop, TODAY)
    assert len({brief.pieces[0].support for brief in jobs.values()}) == len(jobs) == 5
    assert {brief.site.setting for brief in jobs.values()} == {Setting.INDOOR, Setting.OUTDOOR}
    for name, brief in jobs.items():
        day = brief.event.date
        assert day is not None
        assert 60 <= (day - TODAY).days <= 71
        assert ("Saturday" in name or "outdoors" in name) == (day.weekday() == 5)
        assert brief.site.latitude is not None
        assert 0 < abs(brief.site.latitude - book.shop.latitude) < 0.2


def test_the_same_book_changes_nothing_and_a_dearer_hour_only_prices(book: PriceBook) -> None:
    assert all(
        each.before == each.after for each in tried_out(book, book, UNCALIBRATED, today=TODAY)
    )
    dearer = replace(book, labour=replace(book.labour, wage=Decimal("30.00")))
    for each in tried_out(book, dearer, UNCALIBRATED, today=TODAY):
        assert each.after.price > each.before.price
        assert each.after.cost > each.before.cost
        assert each.after.hours == each.before.hours
