"""A client wants nothing unasked, or wants to be reminded again."""

from datetime import datetime

from service.leads.follow_up.arranging import arrange, drop
from service.leads.lead import CLIENT, Change, Lead
from service.leads.ports import Ports, UnitOfWork
from service.leads.reminders import State

STOP_LINK = "stop"
"""The purpose of links by which a client stops reminders; their subject is a request."""

STOPPED, STARTED = "stopped reminders", "wants reminders again"


def stop(work: UnitOfWork, channel: str, chat_id: str, *, now: datetime, who: str = CLIENT) -> bool:
    """Nothing unasked is written in this conversation any more, from this moment on.

    Takes the locks of its requests first: call it before the conversation is written to. False
    where it was so already.
    """
    leads = _locked(work, channel, chat_id)
    if not work.chats.stop(channel, chat_id, at=now):
        return False
    for lead in leads:
        for reminder in work.reminders.of_lead(lead.id):
            if reminder.state is State.OWED and reminder.kind.to_client:
                drop(work, reminder, now)
        work.leads.note(lead.id, Change(at=now, who=who, what=STOPPED))
    return True


def start(
    work: UnitOfWork,
    ports: Ports,
    channel: str,
    chat_id: str,
    *,
    now: datetime,
    who: str = CLIENT,
) -> bool:
    """The client wants to be reminded again; False where nothing was stopped."""
    leads = _locked(work, channel, chat_id)
    if not work.chats.stop(channel, chat_id, at=None):
        return False
    for lead in leads:
        work.leads.note(lead.id, Change(at=now, who=who, what=STARTED))
        arrange(work, ports, lead.id, now=now)
    return True


def _locked(work: UnitOfWork, channel: str, chat_id: str) -> list[Lead]:
    """The conversation's requests, locked in one order for everybody."""
    ids = sorted(lead.id for lead in work.leads.of_chat(channel, chat_id))
    return [work.leads.get(lead_id, lock=True) for lead_id in ids]
