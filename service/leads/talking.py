"""Conversations: taking a turn, and what the owner answers."""

from collections.abc import Sequence
from datetime import datetime
from typing import Any

from service.leads import follow_up, owner_words
from service.leads.chats import InboxRow
from service.leads.lead import LeadError, NotFound, StaleDecision
from service.leads.messages import Calling, Message, StoredMessage
from service.leads.ports import Ports, UnitOfWork
from service.leads.telling import tell, tell_owner


class TurnConflict(LeadError):
    """Another turn of this conversation came first; read it again and redo."""


def take_turn(
    work: UnitOfWork,
    ports: Ports,
    channel: str,
    chat_id: str,
    *,
    inbox_id: int,
    version: int,
    state: dict[str, Any],
    messages: Sequence[Message],
    now: datetime,
    calls_owner: bool = False,
    photo_id: str | None = None,
    stops: bool | None = None,
) -> bool:
    """Store the outcome of one update, once.

    With `calls_owner` the conversation waits for the owner. So does one in which the owner wrote
    last: what the client answers is meant for the owner, whatever the dialogue makes of it.
    `photo_id` is a photo of this conversation that came with the update. `stops` tells that the
    client wants nothing unasked from now on, or, False, that they want to be reminded again.
    Returns False when the update's turn had been stored before. Raises TurnConflict when the
    conversation has moved on from `version`.
    """
    row = work.inbox.get(inbox_id, lock=True)
    if (row.channel, row.chat_id) != (channel, chat_id):
        raise TurnConflict("That update belongs to another conversation.")
    if row.handled:
        return False
    # Before the conversation is written to: it locks the requests first, as everybody does.
    if stops is not None:
        _obey(work, ports, channel, chat_id, stops, now)
    if not work.chats.advance(channel, chat_id, version=version, state=state, now=now):
        raise TurnConflict("Another turn of this conversation came first.")
    says_working = any(message.kind == "working" for message in messages)
    priced = says_working and _priced_since(work, row)
    heard = row.payload.get("label") or row.payload.get("text") or ""
    if photo_id and not work.chats.has_photo(photo_id, channel, chat_id):
        raise NotFound("This conversation has no such photo.")
    if heard or photo_id:
        update_id = row.update_id
        work.chats.hear(channel, chat_id, heard, update_id=update_id, now=now, photo_id=photo_id)
    for message in messages:
        if not (priced and message.kind == "working"):
            tell(work, channel, chat_id, message, now=now)
    if calls_owner or (_is_said(row) and work.chats.attention(channel, chat_id).owner_spoke):
        _call_owner(work, ports, channel, chat_id, heard, now)
    work.inbox.mark_handled(inbox_id, now)
    return True


def _obey(
    work: UnitOfWork, ports: Ports, channel: str, chat_id: str, stops: bool, now: datetime
) -> None:
    if stops:
        follow_up.stop(work, channel, chat_id, now=now)
    else:
        follow_up.start(work, ports, channel, chat_id, now=now)


def _priced_since(work: UnitOfWork, row: InboxRow) -> bool:
    """Whether the price that an update asked for came before its turn was stored, as when the bot
    was cut off between the two: "I'm working it out" would come too late then."""
    last = work.chats.attention(row.channel, row.chat_id).last_seq
    newest = work.chats.messages(row.channel, row.chat_id, after=last - 1)
    return any(
        each.message.kind in ("ballpark", "review") and each.at >= row.received_at
        for each in newest
    )


def _call_owner(
    work: UnitOfWork, ports: Ports, channel: str, chat_id: str, heard: str, now: datetime
) -> None:
    if work.owner_chats.has(channel, chat_id):
        return
    before = work.chats.attention(channel, chat_id)
    work.chats.call_owner(channel, chat_id, now=now)
    if before.calls_since is not None or before.conversation_id is None:
        return  # the owner has been told
    calling = Calling(
        id=before.conversation_id, channel=channel, chat_id=chat_id, since=now, words=heard
    )
    leads = work.leads.of_chat(channel, chat_id)
    tell_owner(work, owner_words.call(calling, leads, public_url=ports.public_url), now=now)


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
    work.leads.answered(channel, chat_id, at=now)
    return stored


def settle(work: UnitOfWork, channel: str, chat_id: str, *, seen: int) -> None:
    """The owner has looked, and there is nothing to answer. Raises StaleDecision as above."""
    _look_again(work, channel, chat_id, seen)
    work.chats.answered(channel, chat_id, in_words=False)


def _look_again(work: UnitOfWork, channel: str, chat_id: str, seen: int) -> None:
    if work.chats.attention(channel, chat_id, lock=True).last_seq > seen:
        raise StaleDecision("More has been said in this conversation in the meantime.")


def _is_said(row: InboxRow) -> bool:
    # A pressed button answers the dialogue.
    return row.payload.get("kind") in ("text", "photo", "location", "contact")
