"""What clients are reminded of, when, and what keeps a reminder from going out."""

from collections.abc import Iterator
from datetime import date, time, timedelta
from decimal import Decimal
from pathlib import Path

import pytest

from service.estimating.book import Before
from service.leads import (
    booking,
    expiring,
    follow_up,
    handling,
    owning,
    reminding,
    site_noting,
    stepping,
)
from service.leads.lead import LostBecause, StaleDecision
from service.leads.payments import PaymentKind
from service.leads.reminders import State
from service.leads.site_notes import NOTHING, SiteNotes
from service.leads.steps import StepRefused
from tests.service.building import BuiltShop
from tests.service.leads.follow_up import story
from tests.service.leads.follow_up.story import DAY, EVENT, ZONE


@pytest.fixture
def shop(tmp_path: Path) -> Iterator[BuiltShop]:
    with story.a_shop(tmp_path) as built:
        yield built


# --- A price that lapses -------------------------------------------------------------------------


def test_a_client_who_did_not_answer_is_nudged_once_before_the_price_lapses(
    shop: BuiltShop,
) -> None:
    lead = story.quoted(shop)
    with shop.ports.read() as work:
        quote = work.quotes.latest(lead.id, sent=True)
    assert quote is not None
    # The price is good until midnight: three days before is in the night, so it waits.
    (due,) = story.owed(shop, lead).values()
    assert (due.time(), quote.expires_at - due < 3 * DAY) == (time(9), True)
    assert story.wait_until(shop, due - timedelta(minutes=1)) == []
    before = len(story.said(shop))
    assert story.wait_until(shop, due) == [State.SENT]
    (told,) = story.said(shop)[before:]
    assert f"Your price {quote.number} is good until" in told
    assert "Write “stop”" in told


def test_one_request_gets_one_nudge_however_many_prices_it_gets(shop: BuiltShop) -> None:
    lead = story.quoted(shop)
    story.wait_until(shop, story.owed(shop, lead)["nudge"])
    story.firm(shop, lead, Decimal(500))
    assert story.owed(shop, lead) == {}


def test_a_new_price_moves_the_nudge_that_is_to_come(shop: BuiltShop) -> None:
    lead = story.quoted(shop)
    first = story.owed(shop, lead)["nudge"]
    shop.now += 2 * DAY
    story.firm(shop, lead)
    assert story.owed(shop, lead)["nudge"] == first + 2 * DAY
    assert story.wait_until(shop, first) == []
    assert story.wait_until(shop, first + 2 * DAY) == [State.SENT]


def test_a_client_who_answered_is_not_nudged(shop: BuiltShop) -> None:
    lead = story.quoted(shop)
    due = story.owed(shop, lead)["nudge"]
    shop.now += DAY
    story.hear(shop, "let me ask my sister")
    before = story.said(shop)
    assert story.wait_until(shop, due) == [State.DROPPED]
    assert story.said(shop) == before


def test_declined_and_lapsed_requests_are_left_in_peace(shop: BuiltShop) -> None:
    lead = story.quoted(shop)
    with shop.ports.work() as work:
        handling.decline(
            work, shop.ports, lead_id=lead.id, text=None, because=LostBecause.PRICE, now=shop.now
        )
        work.commit()
    assert story.kinds(story.reminders(shop, lead), State.DROPPED) == ["nudge"]
    other = story.quoted(shop, chat_id="78")
    shop.now += 30 * DAY
    expiring.lapse_expired(shop.ports)
    assert story.kinds(story.reminders(shop, other), State.DROPPED) == ["nudge"]
    assert story.work_off(shop) == []


# --- A date that is held ------------------------------------------------------------------------


def test_a_hold_about_to_end_is_said_to_client_and_owner_with_how_to_pay(shop: BuiltShop) -> None:
    with shop.ports.work() as work:
        token = owning.open_pairing(work, now=shop.now)
        owning.pair(work, shop.ports, "telegram", "7", token=token, name=None, now=shop.now)
        work.commit()
    lead = story.held(shop)
    hold = story.hold_of(shop, lead)
    planned = story.owed(shop, lead)
    assert set(planned) == {"hold", "owners_hold"}
    assert planned["hold"] == hold.expires_at - DAY
    assert story.wait_until(shop, planned["hold"]) == [State.SENT, State.SENT]
    told = story.said(shop)[-1]
    assert "still held for you" in told
    assert "check or bank transfer" in told
    assert "8:00" in told
    assert lead.number in story.said(shop, "telegram", "7")[-1]


def test_a_hold_that_is_booked_or_given_back_is_not_about_to_end(shop: BuiltShop) -> None:
    lead = story.booked(shop)
    assert set(story.owed(shop, lead)) == {"balance", "day_before", "thanks"}
    other = story.held(shop, chat_id="78", day=EVENT + 7 * DAY)
    with shop.ports.work() as work:
        lead = work.leads.get(other.id, lock=True)
        booking.release(work, shop.ports, lead, now=shop.now)
        work.commit()
    assert set(story.owed(shop, other)) == {"nudge"}


# --- A date that is booked ----------------------------------------------------------------------


def test_the_balance_is_asked_for_with_its_amount_until_it_is_paid(shop: BuiltShop) -> None:
    lead = story.booked(shop)
    due = story.owed(shop, lead)["balance"]
    # Three days before the event it is due, and two days before that it is asked for.
    assert (due.date(), due.time()) == (EVENT - 5 * DAY, time(10))
    with shop.ports.read() as work:
        quote = work.quotes.latest(lead.id, sent=True)
    assert quote is not None
    assert story.wait_until(shop, due) == [State.SENT]
    told = story.said(shop)[-1]
    assert "Thursday, June 3, 2027" in told
    assert "check or bank transfer" in told

    other = story.booked(shop, chat_id="78", day=EVENT + 7 * DAY)
    assert "balance" in story.owed(shop, other)
    story.pay(shop, other, PaymentKind.BALANCE, Decimal(2000))
    assert "balance" not in story.owed(shop, other)


def test_the_day_before_says_when_and_asks_where_to_park(shop: BuiltShop) -> None:
    lead = story.booked(shop)
    due = story.owed(shop, lead)["day_before"]
    assert (due.date(), due.time()) == (EVENT - DAY, time(16))
    story.wait_until(shop, due - timedelta(seconds=1))
    assert story.wait_until(shop, due) == [State.SENT]
    told = story.said(shop)[-1]
    arrives = story.hold_of(shop, lead).window.starts_at.astimezone(ZONE)
    assert f"{arrives:%-I:%M}" in told
    assert "boathouse hall" in told
    assert "park" in told
    assert "forecast" not in told
    with shop.ports.read() as work:
        assert work.chats.attention("telegram", "77").owner_spoke


def test_the_day_before_does_not_ask_for_what_is_known_of_the_way_in(shop: BuiltShop) -> None:
    lead = story.booked(shop)
    known = SiteNotes(parking="behind the boathouse", access="side gate")
    with shop.ports.work() as work:
        site_noting.write(work, lead.id, known, seen=NOTHING.mark, who="owner", now=shop.now)
        work.commit()
    story.wait_until(shop, story.owed(shop, lead)["day_before"])
    told = story.said(shop)[-1]
    assert "boathouse hall" in told
    assert "park" not in told


def test_a_client_who_waits_for_the_owner_still_waits_after_a_reminder(shop: BuiltShop) -> None:
    lead = story.booked(shop)
    with shop.ports.work() as work:
        work.chats.call_owner("telegram", "77", now=shop.now)
        work.commit()
    story.wait_until(shop, story.owed(shop, lead)["day_before"])
    with shop.ports.read() as work:
        assert work.chats.attention("telegram", "77").calls_since is not None


def test_outdoors_the_day_before_speaks_of_the_weather(shop: BuiltShop) -> None:
    lead = story.quoted(shop, outdoors=True)
    story.firm(shop, lead)
    lead = story.held_of(shop, shop.lead(lead.id))
    story.pay(shop, lead, PaymentKind.DEPOSIT, Decimal(150))
    story.wait_until(shop, story.owed(shop, lead)["day_before"])
    told = story.said(shop)[-1]
    assert "look at the forecast" in told
    assert "mph" in told


def test_a_moved_date_takes_its_reminders_along(shop: BuiltShop) -> None:
    lead = story.booked(shop)
    before = story.owed(shop, lead)
    hold = story.hold_of(shop, lead)
    with shop.ports.work() as work:
        booking.move(
            work,
            shop.ports,
            lead.id,
            starts_at=hold.window.starts_at + 7 * DAY,
            who="owner",
            now=shop.now,
        )
        work.commit()
    after = story.owed(shop, lead)
    assert after == {kind: due + 7 * DAY for kind, due in before.items()}
    assert story.wait_until(shop, before["day_before"]) == []


def test_after_the_event_a_chat_is_asked_for_a_photo_and_a_form_is_not(shop: BuiltShop) -> None:
    lead = story.booked(shop)
    due = story.owed(shop, lead)["thanks"]
    assert (due.date(), due.time()) == (EVENT + DAY, time(11))
    story.wait_until(shop, due)
    assert "just send it here" in story.said(shop)[-1]

    form = story.booked(shop, channel="form", chat_id=None, day=EVENT + 14 * DAY)
    story.wait_until(shop, story.owed(shop, form)["thanks"])
    told = story.said(shop, "form", form.id)[-1]
    assert "send it here" not in told
    assert "stop" not in told
    with shop.ports.read() as work:
        last = work.chats.messages("form", form.id)[-1].message
    assert [b.label for b in last.buttons] == ["No more reminders"]


def test_a_day_before_that_comes_too_late_is_dropped(shop: BuiltShop) -> None:
    lead = story.booked(shop)
    before = story.said(shop)
    # The machine was down over the event.
    story.at(shop, EVENT, 14)
    assert story.hold_of(shop, lead).window.starts_at < shop.now
    assert set(story.work_off(shop)) == {State.DROPPED, State.SENT}
    told = story.said(shop)[len(before) :]
    assert len(told) == 1
    assert "still open and due now" in told[0]


# --- Quiet hours, and what the owner turned off ---------------------------------------------------


def test_a_worker_who_comes_in_quiet_hours_puts_it_off_to_their_end(shop: BuiltShop) -> None:
    lead = story.booked(shop)
    story.at(shop, EVENT - DAY, 21)
    assert State.SENT not in story.work_off(shop)
    due = story.owed(shop, lead)["day_before"]
    assert (due.date(), due.time()) == (EVENT, time(9))


def test_a_kind_that_is_off_is_not_planned_and_drops_what_was(shop: BuiltShop) -> None:
    lead = story.quoted(shop)
    due = story.owed(shop, lead)["nudge"]
    story.rules(shop, nudge=Before(on=False, before=DAY))
    assert story.wait_until(shop, due) == [State.DROPPED]
    assert story.owed(shop, story.quoted(shop, chat_id="78")) == {}


# --- Copies and kills -----------------------------------------------------------------------------


def test_a_second_copy_of_the_step_changes_nothing(shop: BuiltShop) -> None:
    lead = story.quoted(shop)
    shop.now = story.owed(shop, lead)["nudge"]
    (step,) = story.due_steps(shop)
    first = story.lease(shop, step)
    shop.now += timedelta(seconds=10)  # the worker was killed, and its lease is over
    second = story.lease(shop, step)
    before = len(story.said(shop))
    with pytest.raises(StepRefused):
        story.fall_due(shop, first)
    assert story.fall_due(shop, second) is State.SENT
    assert story.fall_due(shop, second) is State.SENT  # its answer was lost, and it asks again
    assert len(story.said(shop)) == before + 1


def test_a_cut_before_the_commit_leaves_it_owed(shop: BuiltShop) -> None:
    lead = story.quoted(shop)
    shop.now = story.owed(shop, lead)["nudge"]
    (step,) = story.due_steps(shop)
    leased = story.lease(shop, step)
    with shop.ports.work() as work:
        reminding.fall_due(
            work, shop.ports, leased.subject_id, step_id=step.id, fence=leased.fence, now=shop.now
        )  # and no commit
    before = len(story.said(shop))
    shop.now += timedelta(seconds=10)
    assert story.work_off(shop) == [State.SENT]
    assert len(story.said(shop)) == before + 1


def test_arranging_again_and_again_makes_one_of_each(shop: BuiltShop) -> None:
    lead = story.booked(shop)
    before = story.owed(shop, lead)
    for _ in range(3):
        with shop.ports.work() as work:
            work.leads.get(lead.id, lock=True)
            follow_up.arrange(work, shop.ports, lead.id, now=shop.now)
            work.commit()
    assert story.owed(shop, lead) == before
    shop.now = before["day_before"]
    assert len(story.due_steps(shop)) == 2  # the balance, and the day before


# --- The owner's hand --------------------------------------------------------------------------


def test_the_owner_sends_one_early_or_takes_it_out_for_good(shop: BuiltShop) -> None:
    lead = story.booked(shop)
    ids = {each.kind.value: each.id for each in story.reminders(shop, lead)}
    with shop.ports.work() as work:
        reminding.send_now(work, shop.ports, ids["balance"], who="owner", now=shop.now)
        reminding.skip(work, ids["thanks"], who="owner", now=shop.now)
        work.commit()
    assert "still open" in story.said(shop)[-1]
    story.pay(shop, lead, PaymentKind.FEE, Decimal(5))  # arranges once more
    assert set(story.owed(shop, lead)) == {"day_before"}
    with shop.ports.work() as work, pytest.raises(StaleDecision):
        reminding.skip(work, ids["balance"], who="owner", now=shop.now)


def test_not_even_the_owner_sends_in_quiet_hours(shop: BuiltShop) -> None:
    lead = story.booked(shop)
    ids = {each.kind.value: each.id for each in story.reminders(shop, lead)}
    story.at(shop, date(2027, 2, 1), 22)
    with shop.ports.work() as work, pytest.raises(StaleDecision, match="9:00\N{NO-BREAK SPACE}AM"):
        reminding.send_now(work, shop.ports, ids["balance"], who="owner", now=shop.now)


def test_reminders_have_their_own_lease_kind(shop: BuiltShop) -> None:
    lead = story.quoted(shop)
    shop.now = story.owed(shop, lead)["nudge"] - timedelta(minutes=1)
    with shop.ports.read() as work:
        step = work.outbox.first_owed(f"reminder:{story.reminders(shop, lead)[0].id}")
    assert step is not None
    with shop.ports.work() as work, pytest.raises(StepRefused, match="not due yet"):
        stepping.lease(work, step.id, shop.now)
