"""Conversations: taking a turn, telling a client something."""

from collections.abc import Sequence
from datetime import datetime
from typing import Any

from service.leads.lead import Lead, LeadError
from service.leads.messages import PUSH_CHANNELS, Message, StoredMessage
from service.leads.ports import UnitOfWork
from service.leads.steps import StepKind


class TurnConflict(LeadError):
    """Another turn of this conversation came first; read it again and redo."""


def tell(
    work: UnitOfWork, channel: str, chat_id: str, message: Message, *, now: datetime
) -> StoredMessage:
    """Say something in a conversation; a push channel's message becomes owed."""
    stored = work.chats.say(channel, chat_id, message, now=now)
    if channel in PUSH_CHANNELS:
        work.outbox.owe(StepKind.DELIVER, stored.id, lane=f"{channel}:{chat_id}", now=now)
    return stored


def tell_client(work: UnitOfWork, lead: Lead, message: Message, *, now: datetime) -> None:
    """Say something to the client of a lead, where they wrote from."""
    tell(work, lead.channel, lead.chat_id, message, now=now)


def take_turn(
    work: UnitOfWork,
    channel: str,
    chat_id: str,
    *,
    inbox_id: int,
    version: int,
    state: dict[str, Any],
    messages: Sequence[Message],
    now: datetime,
) -> bool:
    """Store the outcome of one update, once.

    Returns False when the update's turn had been stored before. Raises TurnConflict when
    the conversation has moved on from `version`.
    """
    row = work.inbox.get(inbox_id, lock=True)
    if (row.channel, row.chat_id) != (channel, chat_id):
        raise TurnConflict("That update belongs to another conversation.")
    if row.handled:
        return False
    if not work.chats.advance(channel, chat_id, version=version, state=state, now=now):
        raise TurnConflict("Another turn of this conversation came first.")
    heard = row.payload.get("label") or row.payload.get("text") or ""
    if heard:
        work.chats.hear(channel, chat_id, heard, update_id=row.update_id, now=now)
    for message in messages:
        tell(work, channel, chat_id, message, now=now)
    work.inbox.mark_handled(inbox_id, now)
    return True
