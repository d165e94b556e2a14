"""Reminders and stops that come at the same moment, on SQLite and PostgreSQL."""

import pytest
from sqlalchemy import Engine

from service.leads import follow_up, reminding, stepping, talking
from service.leads.lead import LeadError
from service.leads.messages import Message
from service.leads.reminders import State
from service.leads.steps import StepRefused
from tests.service.building import BuiltShop
from tests.service.leads.follow_up import story
from tests.service.leads.test_at_once import AT_ONCE, at_once

CHAT = ("telegram", "77")


@pytest.fixture
def shop(engine: Engine) -> BuiltShop:
    return BuiltShop(engine=engine)


def nudges(shop: BuiltShop) -> int:
    return sum("is good until" in text for text in story.said(shop) if "Your price" in text)


def test_many_copies_of_a_due_step_write_one_reminder(shop: BuiltShop) -> None:
    lead = story.quoted(shop)
    shop.now = story.owed(shop, lead)["nudge"]
    (step,) = story.due_steps(shop)

    def work(_: int) -> State | str:
        try:
            return story.fall_due(shop, story.lease(shop, step))
        except StepRefused as refused:
            return refused.reason

    outcomes = at_once(work)
    assert outcomes.count(State.SENT) == 1
    assert nudges(shop) == 1


def test_many_who_arrange_at_once_make_one_of_each(shop: BuiltShop) -> None:
    lead = story.booked(shop)
    before = story.owed(shop, lead)
    ids = {each.id for each in story.reminders(shop, lead)}

    def arrange(number: int) -> None:
        with shop.ports.work() as work:
            work.leads.get(lead.id, lock=True)
            if number % 2:
                follow_up.drop_all(work, lead.id, now=shop.now)
            follow_up.arrange(work, shop.ports, lead.id, now=shop.now)
            work.commit()

    assert at_once(arrange) == [None] * AT_ONCE
    assert story.owed(shop, lead) == before
    assert {each.id for each in story.reminders(shop, lead)} == ids
    shop.now = before["thanks"]
    assert len(story.due_steps(shop)) == len(before)


def test_a_stop_and_the_reminder_at_the_same_moment_get_on(shop: BuiltShop) -> None:
    """Either the reminder was first, or it is never written: nobody waits for anybody for ever."""
    lead = story.quoted(shop)
    shop.now = story.owed(shop, lead)["nudge"]
    (step,) = story.due_steps(shop)
    leased = story.lease(shop, step)
    with shop.ports.work() as work:
        row, _ = work.inbox.receive(*CHAT, "u1", {"kind": "text", "text": "stop"}, shop.now)
        work.commit()

    def act(number: int) -> object:
        if number % 2:
            return story.fall_due(shop, leased)
        with shop.ports.work() as work:
            talking.take_turn(
                work,
                shop.ports,
                *CHAT,
                inbox_id=row.id,
                version=0,
                state={},
                messages=[Message(kind="say", text="As you say.")],
                stops=True,
                now=shop.now,
            )
            work.commit()
        return None

    outcomes = at_once(act)
    assert not any(isinstance(each, LeadError) for each in outcomes)
    (reminder,) = story.reminders(shop, lead)
    assert nudges(shop) == (1 if reminder.state is State.SENT else 0)
    assert story.said(shop).count("As you say.") == 1
    with shop.ports.read() as work:
        assert work.chats.stopped_at(*CHAT) == shop.now


def test_the_owner_and_the_worker_at_once_send_one(shop: BuiltShop) -> None:
    lead = story.quoted(shop)
    shop.now = story.owed(shop, lead)["nudge"]
    (step,) = story.due_steps(shop)
    leased = story.lease(shop, step)
    (reminder,) = story.reminders(shop, lead)

    def act(number: int) -> object:
        if number % 2:
            return story.fall_due(shop, leased)
        with shop.ports.work() as work:
            reminding.send_now(work, shop.ports, reminder.id, who="owner", now=shop.now)
            work.commit()
        return State.SENT

    outcomes = at_once(act)
    assert State.SENT in outcomes
    assert nudges(shop) == 1
    with shop.ports.work() as work, pytest.raises(StepRefused):
        stepping.lease(work, step.id, shop.now)
