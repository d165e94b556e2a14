"""How a request ends, and what is known of it when the next one comes."""

from datetime import timedelta
from decimal import Decimal
from pathlib import Path

import pytest

from service.estimating import Setting, Site
from service.leads import expiring, handling
from service.leads.lead import Lead, LeadState, LostBecause, MoveRefused
from tests.service.building import BuiltShop, a_brief, build_shop
from tests.service.leads.keeping_dates import booked, held

OUTDOORS = Site(setting=Setting.OUTDOOR, place="lower lock", postal_code="02472")


@pytest.fixture
def shop(tmp_path: Path) -> BuiltShop:
    return build_shop(tmp_path)


def send_firm(shop: BuiltShop, lead: Lead) -> None:
    shop.send_firm(lead, Decimal(480), reason="stairs")


def lapse(shop: BuiltShop, lead: Lead) -> Lead:
    shop.now += timedelta(days=30)
    expiring.lapse_expired(shop.ports)
    return shop.lead(lead.id)


def test_a_price_that_runs_out_was_lost_for_want_of_an_answer(shop: BuiltShop) -> None:
    lapsed = lapse(shop, shop.quoted(a_brief()))
    assert (lapsed.state, lapsed.lost_because) == (LeadState.LAPSED, LostBecause.NO_ANSWER)


def test_a_fresh_price_revives_it_and_nothing_is_lost(shop: BuiltShop) -> None:
    lead = lapse(shop, shop.quoted(a_brief()))
    send_firm(shop, lead)
    revived = shop.lead(lead.id)
    assert (revived.state, revived.lost_because) == (LeadState.QUOTED, None)


def test_another_price_for_a_held_time_says_that_it_stays_and_what_deposit_it_takes_now(
    shop: BuiltShop,
) -> None:
    lead = held(shop)
    shop.send_firm(lead, Decimal(430), reason="stairs")
    with shop.ports.read() as work:
        message = work.chats.messages(lead.channel, lead.chat_id)[-1].message
    assert "Your time on Sunday, June 6, 2027 stays held until Tuesday, January 12" in message.text
    assert "The deposit for it is now $215." in message.text
    assert [button.label for button in message.buttons] == ["See the whole quote", "See your date"]


def test_a_no_keeps_its_reason(shop: BuiltShop) -> None:
    lead = shop.quoted(a_brief())
    with shop.ports.work() as work:
        handling.decline(
            work,
            shop.ports,
            lead_id=lead.id,
            text="Sorry!",
            because=LostBecause.DATE_TAKEN,
            reason="the fair",
            now=shop.now,
        )
        work.commit()
        change = work.leads.history(lead.id)[-1]
    assert shop.lead(lead.id).lost_because == "date taken"
    assert change.detail == {"because": "date taken", "reason": "the fair"}


def test_a_booked_date_is_canceled_and_not_declined(shop: BuiltShop) -> None:
    lead = booked(shop)
    with shop.ports.work() as work, pytest.raises(MoveRefused):
        handling.decline(work, shop.ports, lead_id=lead.id, text=None, now=shop.now)
    assert shop.lead(lead.id).state is LeadState.BOOKED


def test_the_owner_is_told_which_firm_price_a_new_request_takes_the_place_of(
    shop: BuiltShop,
) -> None:
    chat = {"channel": "telegram", "chat_id": "42"}
    older = shop.quoted(a_brief(), **chat)
    with shop.ports.read() as work:
        assert handling.firm_before(work, older) is None
    send_firm(shop, older)
    newer = shop.quoted(a_brief(site=OUTDOORS), revises=True, **chat)
    with shop.ports.read() as work:
        before = handling.firm_before(work, newer)
    assert before is not None
    assert (before.lead_id, before.likely) == (older.id, Decimal(480))
    ballpark = shop.quoted(a_brief(), revises=True, **chat)
    with shop.ports.read() as work:
        assert handling.firm_before(work, ballpark) is None  # its price never went out
