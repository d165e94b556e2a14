"""Messages of a conversation, as values that every channel can show."""

from dataclasses import dataclass
from datetime import datetime

# Channels whose messages have to be pushed out; the others show what SQL holds.
PUSH_CHANNELS = frozenset({"telegram"})


@dataclass(frozen=True, kw_only=True, slots=True)
class Button:
    """Something to press: an answer (`value`) or a web address (`url`)."""

    label: str
    value: str | None = None
    url: str | None = None


@dataclass(frozen=True, kw_only=True, slots=True)
class Message:
    """Plain text with buttons; `asks` names the slot that a question is about."""

    kind: str
    text: str
    buttons: tuple[Button, ...] = ()
    asks: str | None = None


@dataclass(frozen=True, kw_only=True, slots=True)
class StoredMessage:
    """A message in its place in a conversation."""

    id: str
    seq: int
    direction: str
    message: Message
    at: datetime
    update_id: str | None = None


@dataclass(frozen=True, kw_only=True, slots=True)
class Calling:
    """A conversation in which the client waits for the owner.

    `since` is when they first asked; `last_words` are the client's latest, empty without any.
    """

    channel: str
    chat_id: str
    since: datetime
    last_words: str


@dataclass(frozen=True, kw_only=True, slots=True)
class Attention:
    """What a conversation wants of the owner.

    `last_seq` is the place of its latest message, 0 without any. `calls_since` is when the
    client asked for the owner, None where nobody does. `owner_spoke` tells that what the client
    writes next goes to the owner, because the owner wrote to them.
    """

    last_seq: int = 0
    calls_since: datetime | None = None
    owner_spoke: bool = False


@dataclass(frozen=True, kw_only=True, slots=True)
class Delivery:
    """A stored message together with the chat it has to reach."""

    channel: str
    chat_id: str
    stored: StoredMessage
