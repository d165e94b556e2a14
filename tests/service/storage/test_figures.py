"""Figures are counted in SQL as one would by hand, on SQLite and PostgreSQL."""

from collections import Counter, defaultdict
from collections.abc import Callable, Sequence
from dataclasses import replace
from datetime import date, datetime, timedelta
from decimal import Decimal

import pytest
from sqlalchemy import Engine, select

from deploy.seeding import fill
from service.leads.figures import Outcome
from service.leads.lead import Lead, LeadState
from service.storage import tables as t
from service.storage.price_book import read_price_book
from tests.service.building import PRICE_BOOK
from tests.service.storage.conftest import NOON, Shop

_WON = ("booked", "done")


@pytest.fixture
def seeded(engine: Engine) -> Engine:
    book = read_price_book(PRICE_BOOK.read_text(encoding="utf-8"), PRICE_BOOK.name)
    fill(engine, book, leads=420, now=NOON)
    return engine


@pytest.mark.parametrize(
    ("since", "until"), [(None, None), (NOON - timedelta(days=800), NOON - timedelta(days=400))]
)
def test_figures_are_those_of_the_requests_of_the_period(
    seeded: Engine, since: datetime | None, until: datetime | None
) -> None:
    with seeded.connect() as connection:
        rows = connection.execute(select(t.leads)).mappings().all()
        quotes = {row["lead_id"]: row for row in connection.execute(select(t.quotes)).mappings()}
    leads = [
        row
        for row in rows
        if (since is None or row["created_at"] >= since)
        and (until is None or row["created_at"] < until)
    ]
    won = [row for row in leads if row["state"] in _WON]
    assert len(won) > 5
    with Shop(seeded).read() as work:
        count = work.figures
        waited = (
            row["answered_at"] and (row["answered_at"] - row["created_at"]).total_seconds()
            for row in leads
        )
        assert count.answers(since, until) == Counter(waited)
        found = count.outcomes(since, until)
        assert sum(each.count for each in found) == len(leads)
        assert _by_state(found) == Counter(row["state"] for row in leads)
        days = Counter(row["event_on"] for row in won if row["event_on"])
        counted = {day.isoformat(): n for day, n in count.days(since, until).items()}
        assert counted == dict(days)
        jobs = count.jobs(since, until)
        assert sum(each.count for each in jobs) == len(won)
        assert sum((each.cost for each in jobs), Decimal(0)) == sum(
            (quotes[row["id"]]["cost"] for row in won), Decimal(0)
        )
        hours: dict[str, float] = defaultdict(float)
        for row in won:
            for task, spent in quotes[row["id"]]["hours"].items():
                hours[task] += spent
        assert count.hours(since, until) == pytest.approx(hours)
        sent = [
            row
            for row in quotes.values()
            if row["sent_at"] and (until is None or row["sent_at"] < until)
        ]
        if since is None:
            assert count.quotes_sent(since, until) == {"ballpark": len(sent)}


def _by_state(found: Sequence[Outcome]) -> Counter[str]:
    counted = Counter[str]()
    for each in found:
        counted[each.state] += each.count
    return counted


def test_of_several_prices_the_last_one_sent_is_that_of_the_job(
    seeded: Engine,
) -> None:
    with Shop(seeded).read() as work:
        before = work.figures.jobs(None, None)
    with seeded.begin() as connection:
        query = (
            select(t.quotes)
            .join_from(t.quotes, t.leads, t.quotes.c.lead_id == t.leads.c.id)
            .where(t.leads.c.state == "done")
            .limit(1)
        )
        values = dict(connection.execute(query).mappings().one())
        del values["seq"]
        firm = {"before_tax": Decimal("999.99"), "cost": Decimal("10.01")}
        connection.execute(
            t.quotes.insert(), values | {"id": "firm", "number": "firm", "kind": "firm"} | firm
        )
        draft = {"id": "draft", "number": "draft", "sent_at": None}
        connection.execute(t.quotes.insert(), values | draft)
    with Shop(seeded).read() as work:
        after = work.figures.jobs(None, None)
    assert sum(each.count for each in after) == sum(each.count for each in before)
    (priced,) = [each for each in after if each.before_tax == Decimal("999.99")]
    assert (priced.count, priced.cost) == (1, Decimal("10.01"))


def test_what_was_replaced_or_merged_is_told_apart(shop: Shop, a_lead: Callable[[], Lead]) -> None:
    replaced, merged, lost = a_lead(), a_lead(), a_lead()
    with shop.work() as work:
        work.leads.save(replace(replaced, state=LeadState.LAPSED, lost_because="replaced"))
        work.leads.save(replace(merged, state=LeadState.LAPSED, merged_into=lost.id))
        work.leads.save(replace(lost, state=LeadState.DECLINED, lost_because="too far"))
        work.commit()
    with shop.read() as work:
        found = {(each.lost_because, each.merged) for each in work.figures.outcomes(None, None)}
        assert work.figures.days(None, None) == dict[date, int]()
    assert found == {("replaced", True), (None, True), ("too far", False)}
