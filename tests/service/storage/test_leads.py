"""Leads and links, on SQLite and PostgreSQL."""

from collections.abc import Callable
from dataclasses import replace
from datetime import timedelta

import pytest

from service.leads.lead import (
    Change,
    Lead,
    LeadState,
    LinkExpired,
    NotFound,
)
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


def test_the_leads_of_a_conversation_are_found_newest_first(
    shop: Shop, a_lead: Callable[[], Lead]
) -> None:
    first, second = a_lead(), a_lead()
    with shop.read() as work:
        assert work.leads.of_chat("webchat", "chat-1") == [second, first]
        assert work.leads.of_chat("telegram", "chat-1") == []
        assert work.leads.of_chat("webchat", "chat-2") == []


def test_a_lead_keeps_what_led_to_it(shop: Shop, a_lead: Callable[[], Lead]) -> None:
    plain = a_lead()
    with shop.work() as work:
        sent = work.leads.add(replace(plain, id=fresh_id(), source="library-reopening"))
        assert (work.leads.get(sent.id).source, work.leads.get(plain.id).source) == (
            "library-reopening",
            None,
        )
