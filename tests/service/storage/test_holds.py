"""Holds, what they keep of crews and equipment, and closed times, on SQLite and PostgreSQL."""

import threading
from collections.abc import Callable
from dataclasses import replace
from datetime import UTC, date, datetime, time, timedelta
from decimal import Decimal
from typing import Any

import pytest
from sqlalchemy import insert

from service.leads.closing import ClosedTime
from service.leads.lead import (
    Client,
    Hold,
    HoldState,
    Lead,
    NotFound,
    Stay,
    Window,
    WindowTaken,
)
from service.leads.stays import Keeps, keeps
from service.storage import tables
from service.storage.ids import fresh_id
from tests.service.storage.conftest import NOON, Shop

FRAME = "round top frame"
DAY = NOON + timedelta(days=2)


def _quote_row(shop: Shop, lead: Lead) -> str:
    quote_id = fresh_id()
    with shop.engine.begin() as connection:
        connection.execute(
            insert(tables.quotes).values(
                id=quote_id,
                lead_id=lead.id,
                number=f"{lead.number}-1",
                kind="ballpark",
                estimate="{}",
                brief="{}",
                low=Decimal(1),
                likely=Decimal(2),
                high=Decimal(3),
                deposit=Decimal(1),
                currency="USD",
                created_at=NOON,
                expires_at=NOON,
                book_version="",
                cost=Decimal(0),
                hours={},
            )
        )
    return quote_id


@pytest.fixture
def a_hold(shop: Shop, a_lead: Callable[[], Lead]) -> Callable[..., Hold]:
    """Makes a hold of a lead of its own, two hours from `starts_at`; it is not stored."""

    def make(starts_at: datetime = DAY, **parts: Any) -> Hold:
        lead = a_lead()
        ends_at = starts_at + timedelta(hours=2)
        strikes_at = starts_at + timedelta(hours=6)
        hold = Hold(
            id=fresh_id(),
            lead_id=lead.id,
            quote_id=_quote_row(shop, lead),
            window=Window(starts_at=starts_at, ends_at=ends_at),
            stay=Stay(
                leaves_at=starts_at - timedelta(minutes=40),
                free_at=ends_at,
                strikes_at=strikes_at,
                struck_at=strikes_at + timedelta(minutes=30),
                returns_at=strikes_at + timedelta(minutes=50),
            ),
            expires_at=NOON + timedelta(days=1),
            client=Client(name="Nora"),
            made_at=NOON,
            changed_at=NOON,
            position=(42.37, -71.18),
        )
        return replace(hold, **parts)

    return make


def keep(shop: Shop, hold: Hold, *units: tuple[str, int]) -> None:
    with shop.work() as work:
        work.holds.add(hold, keeps=keeps(hold.window, hold.stay, units))
        work.commit()


def test_a_hold_comes_back_as_it_was_stored(shop: Shop, a_hold: Callable[..., Hold]) -> None:
    first, second = a_hold(crew=1, revision=4), a_hold(position=None)
    for hold in (first, second):
        keep(shop, hold)
        with shop.read() as work:
            assert work.holds.of_lead(hold.lead_id) == hold
            assert work.holds.newest_of_lead(hold.lead_id) == hold
    with shop.work() as work:
        gone = replace(first, state=HoldState.RELEASED, revision=5, changed_at=DAY)
        work.holds.save(gone)
        assert work.holds.of_lead(first.lead_id) is None
        assert work.holds.newest_of_lead(first.lead_id) == gone


def test_a_crew_is_at_one_place_at_a_time(shop: Shop, a_hold: Callable[..., Hold]) -> None:
    first = a_hold()
    keep(shop, first)
    setting_up, striking = a_hold(DAY + timedelta(hours=1)), a_hold(DAY + timedelta(hours=5))
    for hold in (setting_up, striking):
        with pytest.raises(WindowTaken):
            keep(shop, hold)
        keep(shop, replace(hold, crew=1))
        with shop.work() as work:
            work.holds.save(replace(hold, crew=1, state=HoldState.RELEASED))
            work.commit()
    # Between setting up and taking down the crew is free.
    keep(shop, a_hold(DAY + timedelta(hours=2, minutes=30), stay=_soon_over(first)))
    with shop.work() as work:
        work.holds.save(replace(first, state=HoldState.MOVED))
        work.commit()
    keep(shop, a_hold())


def _soon_over(first: Hold) -> Stay:
    ends_at = first.window.ends_at + timedelta(hours=2, minutes=30)
    return replace(
        first.stay, free_at=ends_at, strikes_at=ends_at, struck_at=ends_at, returns_at=ends_at
    )


def test_a_unit_is_out_once_until_it_is_back(shop: Shop, a_hold: Callable[..., Hold]) -> None:
    first = a_hold()
    keep(shop, first, (FRAME, 0))
    # Between set-up and strike another crew is free, and the frame is not.
    between = a_hold(DAY + timedelta(hours=3), crew=1)
    with pytest.raises(WindowTaken):
        keep(shop, between, (FRAME, 0))
    keep(shop, between, (FRAME, 1), ("hoop", 0))
    since, until = DAY - timedelta(days=1), DAY + timedelta(days=1)
    with shop.work() as work:
        out = work.holds.units_out([FRAME], since, until)
        assert sorted(out) == sorted([(first.id, FRAME, 0), (between.id, FRAME, 1)])
        assert work.holds.units_out([FRAME], until, until + timedelta(hours=1)) == []
        work.holds.save(replace(first, state=HoldState.RELEASED))
        assert work.holds.units_out([FRAME], since, until) == [(between.id, FRAME, 1)]
        work.commit()
    keep(shop, a_hold(), (FRAME, 0))


def test_what_was_refused_leaves_nothing_behind(shop: Shop, a_hold: Callable[..., Hold]) -> None:
    first, second = a_hold(), a_hold(crew=1)
    keep(shop, first, (FRAME, 0))
    with shop.work() as work:
        with pytest.raises(WindowTaken):
            work.holds.add(second, keeps=keeps(second.window, second.stay, [(FRAME, 0)]))
        assert work.holds.of_lead(second.lead_id) is None
        # The transaction goes on.
        work.holds.add(second, keeps=Keeps(slots=[1, 2]))
        work.commit()


def test_holds_are_found_by_what_they_touch(shop: Shop, a_hold: Callable[..., Hold]) -> None:
    first, second, third = (a_hold(DAY + timedelta(days=days)) for days in (0, 1, 2))
    for hold in (third, first, second):
        keep(shop, hold)
    with shop.work() as work:
        # From the workshop at twenty past, back at ten to.
        assert work.holds.between(first.stay.leaves_at - timedelta(hours=1), DAY) == [first]
        assert work.holds.between(first.stay.returns_at, second.stay.leaves_at) == []
        assert work.holds.between(DAY, DAY + timedelta(days=1)) == [first, second]
        assert work.holds.starting(DAY, DAY + timedelta(days=1)) == [first]
        work.holds.save(replace(first, state=HoldState.BOOKED))
        work.holds.save(replace(second, state=HoldState.RELEASED))
        found = work.holds.between(DAY, DAY + timedelta(days=3))
        assert [hold.id for hold in found] == [first.id, third.id]


def test_holds_are_found_by_when_they_run_out(shop: Shop, a_hold: Callable[..., Hold]) -> None:
    holds = [a_hold(DAY + timedelta(days=days)) for days in range(3)]
    ends = [NOON + timedelta(hours=hours) for hours in (0, 2, 5)]
    first, second, third = (
        replace(hold, expires_at=at) for hold, at in zip(holds, ends, strict=True)
    )
    for hold in (third, second, first):
        keep(shop, hold)
    with shop.work() as work:
        assert work.holds.expired(NOON + timedelta(hours=2)) == [first, second]
        assert work.holds.ending_soon(NOON, NOON + timedelta(hours=5)) == [second, third]
        assert work.holds.count_ending(NOON, NOON + timedelta(hours=5)) == 2
        work.holds.save(replace(second, state=HoldState.BOOKED))
        assert work.holds.expired(DAY) == [first, third]


def test_the_last_change_of_each_lead_is_found(shop: Shop, a_hold: Callable[..., Hold]) -> None:
    first, other = a_hold(), a_hold(DAY + timedelta(days=1))
    moved = replace(first, state=HoldState.MOVED)
    later = replace(
        first,
        id=fresh_id(),
        window=Window(starts_at=DAY + timedelta(days=2), ends_at=DAY + timedelta(days=2, hours=2)),
        revision=1,
        changed_at=NOON + timedelta(hours=1),
    )
    keep(shop, other)
    keep(shop, first)
    with shop.work() as work:
        work.holds.save(moved)
        work.holds.add(later, keeps=Keeps(slots=[5]))
        assert work.holds.newest_of_lead(first.lead_id) == later
        assert work.holds.changed(NOON) == [other, later]
        assert work.holds.changed(NOON + timedelta(minutes=1)) == [later]


def test_of_many_clients_at_the_same_moment_one_gets_the_window(
    shop: Shop, a_hold: Callable[..., Hold]
) -> None:
    holds = [a_hold() for _ in range(24)]
    outcomes: list[type[Exception] | None] = []
    start = threading.Barrier(len(holds))

    def attempt(hold: Hold) -> None:
        start.wait()
        try:
            keep(shop, hold)
            outcomes.append(None)
        except WindowTaken:
            outcomes.append(WindowTaken)

    threads = [threading.Thread(target=attempt, args=(hold,)) for hold in holds]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert outcomes.count(None) == 1
    assert outcomes.count(WindowTaken) == 23


def test_a_day_is_one_transactions_at_a_time(shop: Shop) -> None:
    """Whoever comes second sees what the first has done, whatever order they name the days in."""
    days = [date(2027, 6, 6), date(2027, 6, 7)]
    seen: list[int] = []
    start = threading.Barrier(6)

    def count(order: list[date]) -> None:
        start.wait()
        with shop.work() as work:
            work.holds.lock_days(order)
            there = len(work.closed.since(days[0]))
            seen.append(there)
            work.closed.add(_closed(str(there)))
            work.commit()

    threads = [
        threading.Thread(target=count, args=(days if number % 2 else days[::-1],))
        for number in range(6)
    ]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert sorted(seen) == list(range(6))


def _closed(closed_id: str, **parts: Any) -> ClosedTime:
    day = date(2027, 6, 6)
    closed = ClosedTime(id=closed_id, first=day, last=day, made_at=NOON)
    return replace(closed, **parts)


def test_closed_times_are_found_by_their_days(shop: Shop) -> None:
    day = date(2027, 6, 6)
    whole = _closed("whole", last=day + timedelta(2), note="away")
    hours = _closed("hours", since=time(9), until=time(12, 30))
    with shop.work() as work:
        work.closed.add(whole)
        work.closed.add(hours)
        assert set(map(_id, work.closed.between(day, day))) == {"whole", "hours"}
        assert work.closed.between(day + timedelta(2), day + timedelta(9)) == [whole]
        assert work.closed.between(day + timedelta(3), day + timedelta(9)) == []
        assert work.closed.since(day + timedelta(1)) == [whole]
        work.closed.remove("whole")
        assert work.closed.since(day) == [hours]
        with pytest.raises(NotFound):
            work.closed.remove("whole")
    assert hours.made_at == datetime(2027, 1, 10, 17, tzinfo=UTC)


def _id(closed: ClosedTime) -> str:
    return closed.id
