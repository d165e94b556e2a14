"""Conversations: taking a turn, telling a client something."""

from collections.abc import Sequence
from datetime import datetime
from typing import Any

from service.leads.lead import Lead, LeadError, StaleDecision
from service.leads.messages import PUSH_CHANNELS, Message, StoredMessage
from service.leads.ports import InboxRow, UnitOfWork
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
    calls_owner: bool = False,
) -> bool:
    """Store the outcome of one update, once.

    With `calls_owner` the conversation waits for the owner. So does one in which the owner wrote
    last: what the client answers is meant for the owner, whatever the dialogue makes of it.
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
    if calls_owner or (_is_typed(row) and work.chats.attention(channel, chat_id).owner_spoke):
        work.chats.call_owner(channel, chat_id, now=now)
    work.inbox.mark_handled(inbox_id, now)
    return True


def answer_as_owner(
    work: UnitOfWork, channel: str, chat_id: str, text: str, *, seen: int, now: datetime
) -> StoredMessage:
    """The owner's own words to the client.

    `seen` is the last message that the owner was looking at. Raises StaleDecision when more has
    been said since: the words may not fit any more, or are the same ones sent twice.
    """
    _look_again(work, channel, chat_id, seen)
    stored = tell(work, channel, chat_id, Message(kind="note", text=text), now=now)
    work.chats.answered(channel, chat_id, in_words=True)
    return stored


def settle(work: UnitOfWork, channel: str, chat_id: str, *, seen: int) -> None:
    """The owner has looked, and there is nothing to answer. Raises StaleDecision as above."""
    _look_again(work, channel, chat_id, seen)
    work.chats.answered(channel, chat_id, in_words=False)


def _look_again(work: UnitOfWork, channel: str, chat_id: str, seen: int) -> None:
    if work.chats.attention(channel, chat_id, lock=True).last_seq > seen:
        raise StaleDecision("More has been said in this conversation in the meantime.")


def _is_typed(row: InboxRow) -> bool:
    # A pressed button answers the dialogue.
    return row.payload.get("kind") == "text"
