"""Reminders and the owner's own texts, on SQLite and PostgreSQL."""

from collections.abc import Callable
from dataclasses import replace
from datetime import timedelta

import pytest
from sqlalchemy.exc import IntegrityError

from service.leads.lead import Lead, NotFound
from service.leads.messages import Message
from service.leads.own_texts import OwnText
from service.leads.reminders import Kind, Reminder, State
from service.leads.steps import StepKind, StepState
from tests.service.storage.conftest import NOON, Shop


def a_reminder(lead: Lead, number: int = 1, **parts: object) -> Reminder:
    made = Reminder(
        id=f"r{number}",
        lead_id=lead.id,
        kind=Kind.BALANCE,
        basis=f"2027-06-0{number}",
        due_at=NOON + timedelta(hours=number),
        state=State.OWED,
        made_at=NOON,
    )
    return replace(made, **parts)  # type: ignore[arg-type]


def test_about_one_thing_there_is_one_reminder(shop: Shop, a_lead: Callable[[], Lead]) -> None:
    lead = a_lead()
    with shop.work() as work:
        work.reminders.add(a_reminder(lead))
        work.commit()
    with shop.work() as work, pytest.raises(IntegrityError):
        work.reminders.add(replace(a_reminder(lead), id="another"))
    with shop.read() as work:
        assert work.reminders.of_lead(lead.id) == [a_reminder(lead)]
        with pytest.raises(NotFound):
            work.reminders.get("another")


def test_lists_have_the_nearest_first(shop: Shop, a_lead: Callable[[], Lead]) -> None:
    lead = a_lead()
    with shop.work() as work:
        for number in (3, 1, 2):
            work.reminders.add(a_reminder(lead, number))
        for number, state in ((4, State.SENT), (5, State.SKIPPED), (6, State.DROPPED)):
            work.reminders.add(a_reminder(lead, number))
            closed = NOON + timedelta(minutes=number)
            work.reminders.save(a_reminder(lead, number, state=state, closed_at=closed))
        work.commit()
    with shop.read() as work:
        assert [each.id for each in work.reminders.owed(limit=2)] == ["r1", "r2"]
        assert [each.id for each in work.reminders.closed(limit=9)] == ["r5", "r4"]
        sent = work.reminders.sent_between(NOON, NOON + timedelta(hours=1))
        assert [each.id for each in sent] == ["r4"]
        assert work.reminders.sent_between(NOON, NOON + timedelta(minutes=4)) == []


def test_what_was_given_up_is_undelivered(shop: Shop, a_lead: Callable[[], Lead]) -> None:
    lead = a_lead()
    with shop.work() as work:
        said = work.chats.say("telegram", "7", Message(kind="note", text="Hello"), now=NOON)
        work.outbox.owe(StepKind.DELIVER, said.id, lane="telegram:7", now=NOON)
        work.reminders.add(a_reminder(lead))
        sent = a_reminder(lead, state=State.SENT, closed_at=NOON, message_id=said.id)
        work.reminders.save(sent)
        work.commit()
    with shop.work() as work:
        assert work.reminders.undelivered(limit=9) == []
        step = work.outbox.first_owed("telegram:7")
        assert step is not None
        work.outbox.save(replace(step, state=StepState.DEAD))
        assert work.reminders.undelivered(limit=9) == [sent]


def test_a_step_for_later_is_owed_but_not_open_until_it_is_due(shop: Shop) -> None:
    later = NOON + timedelta(days=3)
    with shop.work() as work:
        work.outbox.owe(StepKind.REMIND, "r1", lane="reminder:r1", now=NOON, due_at=later)
        work.outbox.owe(StepKind.REMIND, "r2", lane="reminder:r2", now=NOON, due_at=later)
        work.commit()
    assert [step.due_at for step in shop.queued] == [later, later]
    with shop.work() as work:
        assert work.outbox.due(NOON, limit=9) == []
        assert work.outbox.count_open(NOON) == {}
        assert work.outbox.count_open(later) == {StepState.OWED: 2}
        work.outbox.settle(StepKind.REMIND, "r1")
        assert [step.subject_id for step in work.outbox.due(later, limit=9)] == ["r2"]
        work.outbox.settle(StepKind.DELIVER, "r2")
        assert work.outbox.count_open(later) == {StepState.OWED: 1}


def test_a_conversation_is_stopped_and_started(shop: Shop) -> None:
    with shop.work() as work:
        assert work.chats.heard_at("webchat", "a") is None
        assert not work.chats.stop("webchat", "a", at=None)
        assert work.chats.stop("webchat", "a", at=NOON)
        assert not work.chats.stop("webchat", "a", at=NOON + timedelta(hours=1))
        assert work.chats.stopped_at("webchat", "a") == NOON
        assert work.chats.stop("webchat", "a", at=None)
        assert work.chats.stopped_at("webchat", "a") is None
        work.chats.hear("webchat", "a", "hello", update_id="1", now=NOON)
        work.chats.say("webchat", "a", Message(kind="say", text="Hi"), now=NOON + timedelta(1))
        assert work.chats.heard_at("webchat", "a") == NOON


def test_a_text_is_put_changed_and_removed(shop: Shop) -> None:
    first = OwnText(key="held", language="es", text="Uno", changed_at=NOON)
    with shop.work() as work:
        work.texts.put(first)
        second = replace(first, text="Dos")
        work.texts.put(second)
        work.texts.put(replace(first, language="en"))
        assert work.texts.every()["held", "es"] == second
        work.texts.remove("held", "es")
        work.texts.remove("held", "es")
        assert set(work.texts.every()) == {("held", "en")}
