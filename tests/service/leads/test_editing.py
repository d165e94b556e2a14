"""The owner changes a brief: what is stored, what the client sees, what is refused."""

from dataclasses import replace
from datetime import date, time
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest

from service.estimating import Brief, Event, Setting, Site
from service.leads import editing, handling
from service.leads.editing import Edit
from service.leads.lead import Client, Lead, LeadState, MoveRefused, Quote, StaleDecision
from tests.service.building import BuiltShop, a_brief, a_piece, build_shop
from tests.service.leads.keeping_dates import booked, held

OUTDOORS = Site(setting=Setting.OUTDOOR, place="lower lock", postal_code="02472")
WIDER = a_brief(pieces=(replace(a_piece(), width_m=1.524),))


@pytest.fixture
def shop(tmp_path: Path) -> BuiltShop:
    return build_shop(tmp_path)


def change(shop: BuiltShop, lead: Lead, brief: Brief, **more: Any) -> Lead:
    given: dict[str, Any] = {"client": lead.client, "revision": lead.revision} | more
    edit = Edit(lead_id=lead.id, brief=brief, **given)
    worked_out = editing.work_out(shop.ports, brief, now=shop.now)
    with shop.ports.work() as work:
        editing.save_brief(work, shop.ports, edit, worked_out, who="owner", now=shop.now)
        work.commit()
    return shop.lead(lead.id)


def quotes(shop: BuiltShop, lead: Lead) -> list[Quote]:
    with shop.ports.read() as work:
        return work.quotes.of_lead(lead.id)


def said_to(shop: BuiltShop, lead: Lead) -> list[str]:
    with shop.ports.read() as work:
        return [each.message.text for each in work.chats.messages(lead.channel, lead.chat_id)]


def test_a_changed_brief_has_a_price_that_the_client_is_not_sent(shop: BuiltShop) -> None:
    lead = shop.quoted(a_brief())
    before = said_to(shop, lead)
    changed = change(shop, lead, WIDER)
    sent, draft = quotes(shop, lead)
    assert (changed.revision, changed.state) == (1, "quoted")
    assert changed.brief.pieces == WIDER.pieces
    assert draft.sent_at is None
    assert (draft.brief.pieces, sent.brief.pieces) == (WIDER.pieces, a_brief().pieces)
    assert draft.likely == shop.estimate(WIDER).price.likely != sent.likely
    assert said_to(shop, lead) == before
    with shop.ports.read() as work:
        seen = work.quotes.latest(lead.id, sent=True)
    assert seen == sent


def test_the_price_of_the_changed_brief_is_what_is_sent_next(shop: BuiltShop) -> None:
    lead = change(shop, shop.quoted(a_brief()), WIDER)
    draft = quotes(shop, lead)[-1]
    shop.send_firm(lead, basis_number=draft.number)
    firm = quotes(shop, lead)[-1]
    assert (firm.brief, firm.likely) == (draft.brief, draft.likely)
    assert "5 ft wide" in said_to(shop, lead)[-1]


def test_a_decision_on_the_price_of_the_brief_before_is_refused(shop: BuiltShop) -> None:
    lead = shop.quoted(a_brief())
    basis = quotes(shop, lead)[0].number
    change(shop, lead, WIDER)
    with shop.ports.work() as work:
        with pytest.raises(StaleDecision, match="worked out since"):
            handling.decline(
                work, shop.ports, lead_id=lead.id, basis_number=basis, text=None, now=shop.now
            )
        with pytest.raises(StaleDecision, match="worked out since"):
            handling.send_firm(
                work,
                shop.ports,
                lead_id=lead.id,
                basis_number=basis,
                price=None,
                reason=None,
                text=None,
                now=shop.now,
            )


def test_who_changed_what_and_what_it_does_to_the_price_is_kept(shop: BuiltShop) -> None:
    lead = shop.quoted(a_brief())
    change(shop, lead, WIDER, client=Client(name="Nora"))
    before, after = quotes(shop, lead)
    with shop.ports.read() as work:
        noted = work.leads.history(lead.id)[-1]
    assert (noted.who, noted.what) == ("owner", editing.CHANGED)
    assert noted.detail == {
        "changes": ["round top frame: width 4 ft → 5 ft", "name left open → Nora"],
        "was": str(before.likely),
        "now": str(after.likely),
    }


def test_an_edit_on_an_old_page_is_refused_with_what_changed(shop: BuiltShop) -> None:
    lead = shop.quoted(a_brief())
    change(shop, lead, WIDER)
    with pytest.raises(StaleDecision, match="width 4 ft → 5 ft"):
        change(shop, lead, a_brief(foils=("5", "0")))
    assert shop.lead(lead.id).brief.foils == ()
    assert len(quotes(shop, lead)) == 2


def test_a_second_press_of_the_same_button_changes_nothing(shop: BuiltShop) -> None:
    lead = shop.quoted(a_brief())
    change(shop, lead, WIDER)
    with pytest.raises(StaleDecision):
        change(shop, lead, WIDER)
    assert len(quotes(shop, lead)) == 2


def test_what_changes_nothing_stores_nothing(shop: BuiltShop) -> None:
    lead = shop.quoted(a_brief())
    with shop.ports.read() as work:
        happened = len(work.leads.history(lead.id))
    assert change(shop, lead, lead.brief).revision == 0
    with shop.ports.read() as work:
        assert len(work.leads.history(lead.id)) == happened
    assert len(quotes(shop, lead)) == 1


def test_another_name_needs_no_other_price(shop: BuiltShop) -> None:
    lead = shop.quoted(a_brief())
    changed = change(shop, lead, lead.brief, client=Client(name="Nora", phone="+1 617-555-0123"))
    assert changed.client.name == "Nora"
    assert len(quotes(shop, lead)) == 1


def test_why_it_waits_is_told_anew(shop: BuiltShop) -> None:
    lead = shop.quoted(a_brief(site=OUTDOORS))
    assert any("outdoors" in reason for reason in lead.review_reasons)
    indoors = change(shop, lead, a_brief())
    assert indoors.state is LeadState.REVIEW
    assert indoors.review_reasons == ()


def test_a_request_changed_before_its_price_is_the_owners_to_send(shop: BuiltShop) -> None:
    lead = shop.take_lead(a_brief())
    changed = change(shop, lead, WIDER)
    assert changed.state is LeadState.REVIEW
    assert "before naming a price" in said_to(shop, lead)[-1]
    shop.work_off()  # the worker's estimate of the older brief comes too late
    (only,) = quotes(shop, lead)
    assert only.brief.pieces == WIDER.pieces


def test_a_held_date_stays_as_it_is(shop: BuiltShop) -> None:
    lead = held(shop)
    with shop.ports.read() as work:
        before = work.holds.of_lead(lead.id)
    other_day = Event(occasion="anniversary", date=date(2027, 6, 12), start_time=time(15))
    changed = change(shop, lead, a_brief(event=other_day))
    with shop.ports.read() as work:
        assert work.holds.of_lead(lead.id) == before
    assert changed.state is LeadState.HELD
    assert changed.brief.event.date == date(2027, 6, 12)


def test_a_booked_job_can_get_another_firm_price_and_stays_booked(shop: BuiltShop) -> None:
    lead = change(shop, booked(shop), WIDER)
    shop.send_firm(lead, basis_number=quotes(shop, lead)[-1].number, reason="wider")
    assert shop.lead(lead.id).state is LeadState.BOOKED
    assert quotes(shop, lead)[-1].sent_at is not None


def test_what_is_over_stays_as_it_was(shop: BuiltShop) -> None:
    lead = shop.quoted(a_brief())
    with shop.ports.work() as work:
        handling.decline(work, shop.ports, lead_id=lead.id, text=None, now=shop.now)
        work.commit()
    with pytest.raises(MoveRefused):
        change(shop, lead, WIDER)


def test_the_place_is_found_on_the_map(shop: BuiltShop) -> None:
    home = shop.price_books.current().shop
    worked_out = editing.work_out(shop.ports, a_brief(), now=shop.now)
    assert worked_out.brief.site.latitude == home.latitude
    assert worked_out.estimate.price == shop.estimate(a_brief()).price
    there = Site(postal_code="02472", latitude=42.5, longitude=-71.0)
    assert editing.placed(shop.ports, a_brief(site=there)).site == there
    assert worked_out.estimate.price.likely > Decimal(0)
