"""Bookings that are called off, and dates that are changed by the shop's rules."""

from datetime import date
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest

from service.estimating import Setting, Site
from service.estimating.book import BookingRules, CancelStep
from service.leads import accounts, cancelling, dues, paying
from service.leads.cancelling import Cancellation, Proposal, ReasonNeeded, TooMuchBack, Why, Wish
from service.leads.lead import HoldState, Lead, LeadState, MoveRefused, StaleDecision
from service.leads.payments import PaymentKind
from tests.service.building import BuiltShop, a_brief, build_shop
from tests.service.leads.keeping_dates import (
    at,
    booked,
    days_before,
    held,
    hold_for,
    hold_of,
    pay,
    seen,
    told,
)

DEPOSIT = Decimal(165)
MONDAY = date(2027, 6, 7)


@pytest.fixture
def shop(tmp_path: Path) -> BuiltShop:
    return build_shop(tmp_path)


def proposal(shop: BuiltShop, lead: Lead, by: Wish = Wish.CLIENT) -> Proposal:
    with shop.ports.read() as work:
        return cancelling.proposal(work, shop.ports, lead, by, now=shop.now)


def cancel(shop: BuiltShop, lead: Lead, **parts: Any) -> Lead:
    usual: dict[str, Any] = {"by": Wish.CLIENT, "returned": DEPOSIT}
    decided = Cancellation(**(usual | parts))
    with shop.ports.work() as work:
        lead = cancelling.cancel(
            work,
            shop.ports,
            lead.id,
            decided,
            seen=seen(shop, lead),
            who="owner",
            now=shop.now,
        )
        work.commit()
    return lead


def move(shop: BuiltShop, lead: Lead, why: Why, fee: str = "0") -> None:
    with shop.ports.work() as work:
        cancelling.move(
            work,
            shop.ports,
            lead.id,
            starts_at=at(9, day=MONDAY),
            why=why,
            fee=Decimal(fee),
            seen=seen(shop, lead),
            who="owner",
            now=shop.now,
        )
        work.commit()


@pytest.mark.parametrize(
    ("days", "share"),
    [(90, "1"), (30, "1"), (29, "0.5"), (14, "0.5"), (13, "0.25"), (7, "0.25"), (6, "0"), (0, "0")],
)
def test_the_rules_go_by_the_days_until_the_event(days: int, share: str) -> None:
    steps = ((30, "1"), (14, "0.5"), (7, "0.25"))
    rules = BookingRules(
        cancelling=tuple(CancelStep(days_before=day, share=Decimal(part)) for day, part in steps),
        moving_free_days=14,
        moving_fee=Decimal(45),
    )
    assert rules.returned_share(days) == Decimal(share)
    assert rules.fee_to_move(days) == (0 if days >= 14 else 45)


def test_what_goes_back_is_worked_out_from_the_deposit_and_all_that_was_paid_beyond_it(
    shop: BuiltShop,
) -> None:
    lead = booked(shop)
    pay(shop, lead, kind=PaymentKind.BALANCE, amount=Decimal(30))
    shop.now = days_before(14)
    found = proposal(shop, lead)
    assert (found.days_before, found.share, found.paid) == (14, Decimal("0.5"), DEPOSIT + 30)
    assert found.kept == Decimal("82.50")
    assert found.returned == Decimal("112.50")
    assert proposal(shop, lead, Wish.SHOP).returned == DEPOSIT + 30


def test_a_canceled_booking_frees_its_date_and_leaves_its_refund_to_do(shop: BuiltShop) -> None:
    lead = booked(shop)
    shop.now = days_before(20)
    back = proposal(shop, lead).returned
    lead = cancel(shop, lead, returned=back, text="Another time, gladly.")
    assert (lead.state, lead.lost_because) == (LeadState.DECLINED, "client cancelled")
    (last,) = told(shop, lead)[-1:]
    assert "your booking for Sunday, June 6, 2027 is canceled" in last
    assert "Of the $165 you paid, $82.50 goes back to you, and $82.50 is kept." in last
    assert "Another time, gladly." in last
    with shop.ports.read() as work:
        assert work.holds.of_lead(lead.id) is None
        newest = work.holds.newest_of_lead(lead.id)
        (due,) = dues.dues(work, shop.ports, now=shop.now)
        known = cancelling.cancelled(work, lead.id)
    assert newest is not None
    assert newest.state is HoldState.RELEASED
    assert due.account.owed_back == back
    assert known is not None
    assert (known.by, known.returned, known.kept) == (Wish.CLIENT, back, DEPOSIT - back)
    pay(shop, lead, kind=PaymentKind.REFUND, amount=back)
    with shop.ports.read() as work:
        assert dues.dues(work, shop.ports, now=shop.now) == []
    assert held(shop, starts_at=at(9)).state is LeadState.HELD


def test_another_amount_than_the_rules_say_wants_a_reason_and_never_more_than_was_paid(
    shop: BuiltShop,
) -> None:
    lead = booked(shop)
    shop.now = days_before(3)
    with pytest.raises(ReasonNeeded):
        cancel(shop, lead, returned=Decimal(100))
    with pytest.raises(TooMuchBack):
        cancel(shop, lead, returned=Decimal(500), reason="a kindness")
    assert shop.lead(lead.id).state is LeadState.BOOKED
    cancel(shop, lead, returned=Decimal(100), reason="a kindness")
    with shop.ports.read() as work:
        (change,) = [c for c in work.leads.history(lead.id) if c.what == accounts.CANCELED]
    assert change.detail["why"] == "a kindness"


def test_canceling_twice_or_what_is_not_booked_is_refused(shop: BuiltShop) -> None:
    lead = held(shop)
    with pytest.raises(MoveRefused):
        cancel(shop, lead)
    pay(shop, lead)
    cancel(shop, lead)
    heard = told(shop, lead)
    with pytest.raises(MoveRefused):
        cancel(shop, lead)
    assert told(shop, lead) == heard


def test_the_shops_own_cancellation_is_told_with_regret(shop: BuiltShop) -> None:
    lead = booked(shop)
    lead = cancel(shop, lead, by=Wish.SHOP)
    assert "We are very sorry" in told(shop, lead)[-1]
    assert "you paid goes back to you, all of it." in told(shop, lead)[-1]
    assert lead.lost_because == "shop cancelled"


def test_another_date_is_free_early_and_costs_a_fee_late(shop: BuiltShop) -> None:
    lead = booked(shop)
    with shop.ports.read() as work:
        assert cancelling.fee_to_move(work, shop.ports, lead, Why.CLIENT, now=shop.now) == 0
    shop.now = days_before(10)
    with shop.ports.read() as work:
        quote = paying.quote_of(work, lead.id)
        due = paying.of_lead(work, lead, quote).due
        assert cancelling.fee_to_move(work, shop.ports, lead, Why.CLIENT, now=shop.now) == 45
        assert cancelling.fee_to_move(work, shop.ports, lead, Why.SHOP, now=shop.now) == 0
    with pytest.raises(StaleDecision):
        move(shop, lead, Why.CLIENT, "30")
    move(shop, lead, Why.CLIENT, "45.00")
    assert hold_of(shop, lead).window.starts_at == at(9, day=MONDAY)
    assert hold_of(shop, lead).state is HoldState.BOOKED
    assert "$45 is added" in told(shop, lead)[-1]
    with shop.ports.read() as work:
        after = paying.of_lead(work, lead, quote)
    assert (after.fees, after.due) == (Decimal(45), due + 45)


def test_a_fee_that_was_charged_and_paid_stays_when_the_client_cancels_later(
    shop: BuiltShop,
) -> None:
    lead = booked(shop)
    shop.now = days_before(10)
    move(shop, lead, Why.CLIENT, "45.00")
    pay(shop, lead, kind=PaymentKind.FEE, amount=Decimal(45))
    found = proposal(shop, lead)
    assert (found.share, found.paid) == (Decimal("0.25"), DEPOSIT + 45)
    assert found.kept == 45 + Decimal("123.75")


def test_what_stands_outdoors_waits_for_the_weather_without_a_fee(shop: BuiltShop) -> None:
    site = Site(setting=Setting.OUTDOOR, place="boathouse lawn", postal_code="02472")
    lead = shop.quoted(a_brief(site=site))
    shop.send_firm(lead, None, reason="stairs")
    hold_for(shop, lead, starts_at=at(10))
    pay(shop, lead)
    lead = shop.lead(lead.id)
    assert cancelling.may_wait_for_weather(lead)
    shop.now = days_before(4)
    move(shop, lead, Why.WEATHER)
    last = told(shop, lead)[-1]
    assert last.startswith("We moved your date because of the weather, without a fee.")
    assert "Outdoors the weather has a say." in last
