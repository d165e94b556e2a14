"""One button pressed several times at once changes a request once, on SQLite and PostgreSQL."""

from dataclasses import replace
from decimal import Decimal

import pytest
from sqlalchemy import Engine

from service.leads import editing, handling, merging, notes
from service.leads.editing import Edit
from service.leads.lead import PriceLine, StaleDecision
from service.leads.merging import Merger
from tests.service.building import BuiltShop, a_brief, a_piece
from tests.service.leads.test_at_once import AT_ONCE, at_once


@pytest.fixture
def shop(engine: Engine) -> BuiltShop:
    return BuiltShop(engine=engine)


def refused(outcomes: list[object]) -> int:
    return sum(isinstance(each, StaleDecision) for each in outcomes)


def test_a_brief_is_saved_once(shop: BuiltShop) -> None:
    lead = shop.quoted(a_brief())
    wider = a_brief(pieces=(replace(a_piece(), width_m=1.524),))
    worked_out = editing.work_out(shop.ports, wider, now=shop.now)
    edit = Edit(lead_id=lead.id, brief=wider, client=lead.client, revision=0)

    def save(_number: int) -> None:
        with shop.ports.work() as work:
            editing.save_brief(work, shop.ports, edit, worked_out, who="owner", now=shop.now)
            work.commit()

    assert refused(at_once(save)) == AT_ONCE - 1
    with shop.ports.read() as work:
        assert len(work.quotes.of_lead(lead.id)) == 2
        assert [each.what for each in work.leads.history(lead.id)].count(editing.CHANGED) == 1


def test_a_price_with_its_lines_is_sent_once(shop: BuiltShop) -> None:
    lead = shop.quoted(a_brief())

    def send(_number: int) -> None:
        with shop.ports.work() as work:
            handling.send_firm(
                work,
                shop.ports,
                lead_id=lead.id,
                basis_number=f"{lead.number}-1",
                price=None,
                lines=(PriceLine(label="Building it beforehand", amount=Decimal(300)),),
                reason="they open late",
                text=None,
                now=shop.now,
            )
            work.commit()

    assert refused(at_once(send)) == AT_ONCE - 1
    with shop.ports.read() as work:
        (_, firm) = work.quotes.of_lead(lead.id)
    assert firm.lines is not None


def test_two_requests_become_one_once_whichever_is_kept(shop: BuiltShop) -> None:
    one, other = shop.quoted(a_brief()), shop.quoted(a_brief())
    with shop.ports.read() as work:
        seen = {lead.id: merging.standing(work, lead) for lead in (one, other)}

    def merge(number: int) -> None:
        kept, part = (one, other) if number % 2 else (other, one)
        merger = Merger(
            kept_id=kept.id,
            other_id=part.id,
            kept_seen=seen[kept.id],
            other_seen=seen[part.id],
        )
        with shop.ports.work() as work:
            merging.merge(work, shop.ports, merger, who="owner", now=shop.now)
            work.commit()

    assert refused(at_once(merge)) == AT_ONCE - 1
    merged = [lead for lead in (shop.lead(one.id), shop.lead(other.id)) if lead.merged_into]
    assert len(merged) == 1


def test_a_note_is_kept_once(shop: BuiltShop) -> None:
    lead = shop.quoted(a_brief())

    def add(_number: int) -> None:
        with shop.ports.work() as work:
            notes.add(work, lead.id, "She called.", who="owner", now=shop.now)
            work.commit()

    at_once(add)
    with shop.ports.read() as work:
        assert len(work.notes.of_lead(lead.id)) == 1
