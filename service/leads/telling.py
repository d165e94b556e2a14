"""Saying something in a conversation: to a client, or to the owner in the owner's own chats."""

from dataclasses import replace
from datetime import datetime

from service.leads.lead import Lead
from service.leads.messages import PUSH_CHANNELS, Message, StoredMessage
from service.leads.plain import unturned
from service.leads.ports import UnitOfWork
from service.leads.steps import StepKind


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


def tell_owner(work: UnitOfWork, message: Message, *, now: datetime) -> None:
    """Say something in every chat that is the owner's own; nothing where there is none."""
    said = replace(message, text=unturned(message.text))
    for chat in work.owner_chats.every():
        tell(work, chat.channel, chat.chat_id, said, now=now)
