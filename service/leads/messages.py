"""Messages of a conversation, as values that every channel can show."""

from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

# Channels whose messages have to be pushed out; the others show what SQL holds.
PUSH_CHANNELS = frozenset({"telegram"})


@dataclass(frozen=True, kw_only=True, slots=True)
class Button:
    """Something to press: an answer (`value`), a web address (`url`), or what a phone can `share`.

    Buttons with the same `row` stand side by side.
    """

    label: str
    value: str | None = None
    url: str | None = None
    share: str | None = None
    row: int | None = None


@dataclass(frozen=True, kw_only=True, slots=True)
class Swatch:
    """A colour to show, by its name; `hex` like `#a3b899`."""

    name: str
    hex: str


@dataclass(frozen=True, kw_only=True, slots=True)
class Picture:
    """A picture of a garland: the addresses of the PNG and of the page's lighter one, and `alt`,
    what it shows, in words."""

    url: str
    page_url: str
    alt: str


@dataclass(frozen=True, kw_only=True, slots=True)
class Message:
    """Plain text with buttons; `asks` names the slot that a question is about.

    `swatches` are colours to show beside the text, and `picture` goes with it. `edits` is the
    channel's own name of an earlier message whose place this one takes.
    """

    kind: str
    text: str
    buttons: tuple[Button, ...] = ()
    asks: str | None = None
    swatches: tuple[Swatch, ...] = ()
    edits: str | None = None
    picture: Picture | None = None


@dataclass(frozen=True, kw_only=True, slots=True)
class StoredMessage:
    """A message in its place in a conversation; `photo_id` names the photo that came with it."""

    id: str
    seq: int
    direction: str
    message: Message
    at: datetime
    update_id: str | None = None
    photo_id: str | None = None


@dataclass(frozen=True, kw_only=True, slots=True)
class Photo:
    """A photo of a conversation, a JPEG."""

    channel: str
    chat_id: str
    jpeg: bytes


@dataclass(frozen=True, kw_only=True, slots=True)
class OwnerChat:
    """A chat in which the owner is told what waits, and decides.

    `digest_on` is the last day, at the shop, whose morning digest was dealt with.
    """

    channel: str
    chat_id: str
    name: str | None
    paired_at: datetime
    digest_on: date


@dataclass(frozen=True, kw_only=True, slots=True)
class Calling:
    """A conversation in which the client waits for the owner.

    `since` is when they first asked; `words` are what they said then, empty for a picture alone.
    `id` names the conversation where its chat id is too long to be said.
    """

    id: int
    channel: str
    chat_id: str
    since: datetime
    words: str


@dataclass(frozen=True, kw_only=True, slots=True)
class Standing:
    """What a turn of a conversation begins from; version 0 and an empty state when it is new.

    `owner` tells that the chat is the owner's own, `under_review` that the owner looks at its
    newest request before that has a price, `stopped` that nothing is written there unasked.
    """

    version: int
    state: dict[str, Any]
    owner_spoke: bool
    owner: bool
    under_review: bool
    stopped: bool


@dataclass(frozen=True, kw_only=True, slots=True)
class Attention:
    """What a conversation wants of the owner.

    `last_seq` is the place of its latest message, 0 without any. `calls_since` is when the
    client asked for the owner, None where nobody does. `owner_spoke` tells that what the client
    writes next goes to the owner, because the owner wrote to them.
    """

    conversation_id: int | None = None
    last_seq: int = 0
    calls_since: datetime | None = None
    owner_spoke: bool = False


@dataclass(frozen=True, kw_only=True, slots=True)
class Delivery:
    """A stored message together with the chat it has to reach.

    `after_share` tells that the message before it offered something to share.
    """

    channel: str
    chat_id: str
    stored: StoredMessage
    after_share: bool = False
