"""Leads, links and holds, on SQLite and PostgreSQL."""

import threading
from collections.abc import Callable
from dataclasses import replace
from datetime import timedelta
from decimal import Decimal

import pytest
from sqlalchemy import insert

from service.leads.lead import (
    Change,
    Client,
    Hold,
    Lead,
    LeadState,
    LinkExpired,
    NotFound,
    Window,
    WindowTaken,
)
from service.storage import tables
from service.storage.ids import fresh_id
from tests.service.storage.conftest import NOON, Shop


def test_a_lead_comes_back_as_it_was_stored(shop: Shop, a_lead: Callable[[], Lead]) -> None:
    lead = a_lead()
    with shop.read() as work:
        found = work.leads.get(lead.id)
    assert found == lead
    assert found.brief.pieces[0].width_m == 2.0
    assert found.created_at == NOON
    assert found.number == "G1001"


def test_nothing_is_kept_without_commit(shop: Shop, a_lead: Callable[[], Lead]) -> None:
    lead = a_lead()
    with shop.work() as work:
        work.leads.save(replace(lead, state=LeadState.REVIEW))
        work.leads.note(lead.id, Change(at=NOON, who="owner", what="looked"))
    with shop.read() as work:
        assert work.leads.get(lead.id).state is LeadState.NEW
        assert work.leads.history(lead.id) == []


def test_pages_run_newest_first_and_go_on_where_they_ended(
    shop: Shop, a_lead: Callable[[], Lead]
) -> None:
    numbers = [a_lead().number for _ in range(5)]
    with shop.read() as work:
        first = work.leads.page(before=None, limit=3, state=None)
        second = work.leads.page(before=first[-1].number, limit=3, state=None)
    assert [lead.number for lead in first + second] == numbers[::-1]


def test_an_unknown_lead_or_page_is_not_found(shop: Shop) -> None:
    with shop.read() as work:
        with pytest.raises(NotFound):
            work.leads.get("nobody")
        with pytest.raises(NotFound):
            work.leads.page(before="G12x", limit=3, state=None)


def test_a_link_opens_only_for_its_purpose_and_its_time(shop: Shop) -> None:
    with shop.work() as work:
        link = work.links.add(
            purpose="quote", subject_id="lead-1", expires_at=NOON + timedelta(days=1)
        )
        assert work.links.find(link, purpose="quote", now=NOON) == "lead-1"
        with pytest.raises(NotFound):
            work.links.find(link, purpose="booking", now=NOON)
        with pytest.raises(LinkExpired):
            work.links.find(link, purpose="quote", now=NOON + timedelta(days=1))


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
                low=Decimal(1),
                likely=Decimal(2),
                high=Decimal(3),
                deposit=Decimal(1),
                currency="USD",
                created_at=NOON,
                expires_at=NOON,
            )
        )
    return quote_id


def _hold(lead: Lead, quote_id: str) -> Hold:
    return Hold(
        id=fresh_id(),
        lead_id=lead.id,
        quote_id=quote_id,
        window=Window(starts_at=NOON, ends_at=NOON + timedelta(hours=2)),
        expires_at=NOON + timedelta(days=2),
        client=Client(name="Nora"),
    )


def test_overlapping_holds_are_refused_and_released_ones_are_free_again(
    shop: Shop, a_lead: Callable[[], Lead]
) -> None:
    lead = a_lead()
    quote_id = _quote_row(shop, lead)
    first, second = _hold(lead, quote_id), _hold(lead, quote_id)
    with shop.work() as work:
        work.holds.add(first, slots=range(100, 108), crew=0)
        with pytest.raises(WindowTaken):
            work.holds.add(second, slots=range(107, 110), crew=0)
        work.holds.add(second, slots=range(107, 110), crew=1)
        assert work.holds.taken(range(90, 101), crew=0, now=NOON)
        assert not work.holds.taken(range(90, 100), crew=0, now=NOON)
        work.holds.release(first.id)
        assert not work.holds.taken(range(90, 110), crew=0, now=NOON)
        work.commit()


def test_of_many_clients_at_the_same_moment_one_gets_the_window(
    shop: Shop, a_lead: Callable[[], Lead]
) -> None:
    lead = a_lead()
    quote_id = _quote_row(shop, lead)
    won: list[str] = []
    refused: list[str] = []
    start = threading.Barrier(24)

    def attempt() -> None:
        hold = _hold(lead, quote_id)
        start.wait()
        try:
            with shop.work() as work:
                work.holds.add(hold, slots=range(200, 212), crew=0)
                work.commit()
            won.append(hold.id)
        except WindowTaken:
            refused.append(hold.id)

    threads = [threading.Thread(target=attempt) for _ in range(24)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert len(won) == 1
    assert len(refused) == 23


def test_the_leads_of_a_conversation_are_found_newest_first(
    shop: Shop, a_lead: Callable[[], Lead]
) -> None:
    first, second = a_lead(), a_lead()
    with shop.read() as work:
        assert work.leads.of_chat("webchat", "chat-1") == [second, first]
        assert work.leads.of_chat("telegram", "chat-1") == []
        assert work.leads.of_chat("webchat", "chat-2") == []


def test_holds_are_found_by_the_day_they_begin_and_by_when_they_run_out(
    shop: Shop, a_lead: Callable[[], Lead]
) -> None:
    day = NOON + timedelta(days=2)
    names = []
    for slot, hours in enumerate((5, 0, 30)):
        lead = a_lead()
        starts_at = day + timedelta(hours=hours)
        hold = replace(
            _hold(lead, _quote_row(shop, lead)),
            window=Window(starts_at=starts_at, ends_at=starts_at + timedelta(hours=2)),
            expires_at=NOON + timedelta(hours=slot),
        )
        with shop.work() as work:
            work.holds.add(hold, slots=[slot], crew=0)
            work.commit()
        names.append(hold.id)
    first, second, third = names
    with shop.work() as work:
        work.holds.book(first)
        found = work.holds.starting(day, day + timedelta(days=1))
        assert [hold.id for hold in found] == [second, first]
        ending = work.holds.expired(NOON + timedelta(hours=3))
        assert [hold.id for hold in ending] == [second, third]
        work.holds.release(second)
        assert [hold.id for hold in work.holds.starting(day, day + timedelta(days=1))] == [first]


def test_a_lead_keeps_what_led_to_it(shop: Shop, a_lead: Callable[[], Lead]) -> None:
    plain = a_lead()
    with shop.work() as work:
        sent = work.leads.add(replace(plain, id=fresh_id(), source="library-reopening"))
        assert (work.leads.get(sent.id).source, work.leads.get(plain.id).source) == (
            "library-reopening",
            None,
        )
