"""Reminders: a worker's that has fallen due, and the owner's list of them."""

from http import HTTPStatus
from typing import Any

from fastapi import APIRouter, Depends

from service.api.access import Role, allow
from service.api.dependencies import Given
from service.contract import reminders as wire
from service.contract.estimate import Problem
from service.leads import follow_up, reminding
from service.leads.lead import OWNER, NotFound
from service.leads.ports import UnitOfWork
from service.leads.reminders import Reminder

_MOST = 200

_GONE: dict[int | str, dict[str, Any]] = {
    404: {"model": Problem, "description": "There is no such reminder or request."},
    409: {"model": Problem, "description": "It is owed no more, or cannot be sent now."},
}

router = APIRouter(prefix="/reminders", tags=["reminders"], responses=_GONE)
_owner = [Depends(allow(Role.OWNER))]


@router.post("/{reminder_id}/due", dependencies=[Depends(allow(Role.WORKER))])
def due(reminder_id: str, body: wire.DueReminder, ports: Given) -> wire.ReminderOutcome:
    """Write a reminder that has fallen due, put it off, or drop it; and close its step."""
    with ports.work() as work:
        outcome = reminding.fall_due(
            work,
            ports,
            reminder_id,
            step_id=body.step_id,
            fence=body.fence,
            now=ports.clock(),
        )
        work.commit()
    return wire.ReminderOutcome(state=outcome.state.value, due_at=outcome.due_at)


@router.get("", dependencies=_owner)
def reminders(ports: Given, lead_id: str | None = None) -> wire.Reminders:
    """What the shop will write unasked, and what it did; of one request with `lead_id`."""
    with ports.read() as work:
        if lead_id is None:
            found = [*work.reminders.owed(limit=_MOST), *work.reminders.closed(limit=_MOST)]
        else:
            found = work.reminders.of_lead(work.leads.get(lead_id).id)
        seen = [_seen(each, _text(work, each)) for each in found]
    return wire.Reminders(
        owed=[each for each in seen if each.state == "owed"],
        closed=[each for each in seen if each.state != "owed"],
    )


@router.post("/{reminder_id}/skip", status_code=HTTPStatus.NO_CONTENT, dependencies=_owner)
def skip(reminder_id: str, ports: Given) -> None:
    """Take a reminder out, for good."""
    with ports.work() as work:
        reminding.skip(work, reminder_id, who=OWNER, now=ports.clock())
        work.commit()


@router.post("/{reminder_id}/send", status_code=HTTPStatus.NO_CONTENT, dependencies=_owner)
def send(reminder_id: str, ports: Given) -> None:
    """Have a reminder sent now."""
    with ports.work() as work:
        reminding.send_now(work, ports, reminder_id, who=OWNER, now=ports.clock())
        work.commit()


@router.put("/stops/{lead_id}", status_code=HTTPStatus.NO_CONTENT, dependencies=_owner)
def stop(lead_id: str, body: wire.Stop, ports: Given) -> None:
    """Write nothing unasked to a request's client any more, or again."""
    now = ports.clock()
    with ports.work() as work:
        lead = work.leads.get(lead_id)
        chat = lead.channel, lead.chat_id
        if body.stopped:
            follow_up.stop(work, *chat, now=now, who=OWNER)
        else:
            follow_up.start(work, ports, *chat, now=now, who=OWNER)
        work.commit()


def _text(work: UnitOfWork, reminder: Reminder) -> str | None:
    if reminder.message_id is None:
        return None
    try:
        return work.chats.delivery(reminder.message_id).stored.message.text
    except NotFound:  # forgotten, as the client asked
        return None


def _seen(reminder: Reminder, text: str | None) -> wire.Reminder:
    return wire.Reminder(
        reminder_id=reminder.id,
        lead_id=reminder.lead_id,
        kind=reminder.kind.value,
        due_at=reminder.due_at,
        state=reminder.state.value,
        closed_at=reminder.closed_at,
        text=text,
    )
