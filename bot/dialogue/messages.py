"""What goes in and out of a turn: channel-neutral values, no markup, no I/O."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from decimal import Decimal
from typing import Any, Literal

MessageKind = Literal[
    "say", "ask", "readback", "working", "ballpark", "review", "firm", "note", "owner"
]
IncomingKind = Literal["start", "text", "button", "photo", "location", "contact", "other"]
Shareable = Literal["location", "contact"]


def _storable(text: str) -> str:
    # Half of a surrogate pair cannot be encoded, and PostgreSQL stores no NUL: one such character
    # would make a whole conversation impossible to save.
    return text.encode("utf-8", "replace").decode("utf-8").replace("\x00", "\ufffd")


@dataclass(frozen=True, kw_only=True)
class Button:
    """Something to press: an answer (`value`, 1 to 64 bytes), a web address, or a thing that the
    client's phone can share. Buttons with the same `row` stand side by side, as in a calendar;
    without one they flow. A channel that cannot share leaves those buttons out.
    """

    label: str
    value: str | None = None
    url: str | None = None
    share: Shareable | None = None
    row: int | None = None

    def __post_init__(self) -> None:
        if sum(one is not None for one in (self.value, self.url, self.share)) != 1:
            raise ValueError("a button has a value, a url or something to share")
        if self.value is not None and not 0 < len(self.value.encode()) <= 64:
            raise ValueError("a button's value takes 1 to 64 bytes")


@dataclass(frozen=True, kw_only=True)
class Swatch:
    """A colour that the shop keeps; `hex` like `#a3b899`."""

    name: str
    hex: str


@dataclass(frozen=True, kw_only=True)
class Message:
    """Plain text for the client. `asks` names the question that it leaves open.

    `swatches` are colours to show beside the text. `edits` is the `message_ref` of an earlier
    message that this one takes the place of, where the channel can do that.
    """

    kind: MessageKind
    text: str
    buttons: tuple[Button, ...] = ()
    asks: str | None = None
    swatches: tuple[Swatch, ...] = ()
    edits: str | None = None


@dataclass(frozen=True, kw_only=True)
class Incoming:
    """One thing a client did.

    For a button, `text` is its value, `label` what it said, and `message_ref` the channel's own
    name of the message it stood under. For a photo, `text` is the caption and `photo` the
    channel's name of the file; for a shared location `text` is "latitude,longitude" in degrees,
    for a shared contact the telephone number.
    """

    kind: IncomingKind
    text: str = ""
    label: str | None = None
    sender_name: str | None = None
    locale: str | None = None
    message_ref: str | None = None
    photo: str | None = None

    def __post_init__(self) -> None:
        for name in ("text", "label", "sender_name", "locale", "message_ref", "photo"):
            value = getattr(self, name)
            if value is not None:
                object.__setattr__(self, name, _storable(value))


@dataclass(frozen=True, kw_only=True)
class Offer:
    """What else could be built: the brief's `pieces` as wire JSON, and what they would cost.

    `fits` tells whether the likely price is within the client's budget, None without one.
    """

    pieces: tuple[Mapping[str, Any], ...]
    low: Decimal
    likely: Decimal
    high: Decimal
    fits: bool | None = None


@dataclass(frozen=True, kw_only=True)
class Found:
    """What was looked up for a turn: it comes beside the incoming, and is never stored with it.

    `colours` are those of the photo that was sent, `#rrggbb`, most prominent first; empty where
    it could not be read. `postal_code` and `town` are those of a shared location. `offers` and
    `news` answer `Outcome.wants`: `news` are the kinds of what the shop has said since the last
    request was sent, in order.
    """

    colours: tuple[str, ...] = ()
    postal_code: str | None = None
    town: str | None = None
    offers: tuple[Offer, ...] | None = None
    news: tuple[MessageKind, ...] | None = None


@dataclass(frozen=True, kw_only=True)
class ShopCard:
    """What the dialogue may say of the shop. `time_zone` is an IANA name, `currency` ISO 4217,
    `locale` BCP 47.

    `contacts` is `contact` by language. `aliases` are what clients call the shop's colours:
    alias → name. `answers` are the owner's own answers to side questions: topic → language → text.
    `foil_shapes` are the foils that are shapes by name; empty where that is not told.
    `privacy_url` leads to what the shop says of the data it keeps.
    """

    name: str
    town: str
    owner_name: str
    contact: str
    time_zone: str
    currency: str
    locale: str = "en-US"
    contacts: Mapping[str, str] = field(default_factory=dict)
    colours: tuple[Swatch, ...] = ()
    aliases: Mapping[str, str] = field(default_factory=dict)
    answers: Mapping[str, Mapping[str, str]] = field(default_factory=dict)
    foil_shapes: tuple[str, ...] = ()
    privacy_url: str | None = None

    def contact_in(self, language: str) -> str:
        """How the owner is reached, as `language` says it; `contact` where it does not."""
        return self.contacts.get(language, self.contact)


@dataclass(frozen=True, kw_only=True)
class Fault:
    """Why a brief was refused: the wire field, such as `pieces[0].height_m`, and what is wrong."""

    field: str
    detail: str


@dataclass(frozen=True, kw_only=True)
class Submission:
    """A brief that the client agreed to, as wire JSON.

    The same agreement has the same `key_suffix` however often its turn is taken, and another
    agreement another, so that the lead is stored once.
    """

    key_suffix: str
    brief: Mapping[str, Any]
    language: Literal["en", "es"]
    name: str | None = None
    phone: str | None = None  # of the contact that the client shared
    source: str | None = None  # what the link said that brought the client here
    revises: bool = False  # it takes the place of the request that was sent before


@dataclass(frozen=True, kw_only=True)
class Wanted:
    """Other briefs to be looked up before the turn can be taken: those near `brief` (wire JSON)
    that cost `budget` at most."""

    brief: Mapping[str, Any]
    budget: Decimal | None


# What became of the request that was sent.
News = Literal["news"]


@dataclass(frozen=True, kw_only=True)
class Outcome:
    """A turn's result. `state` is made of JSON values only.

    `calls_owner` is true when the client was told that the owner sees the conversation, `stops`
    when nothing is to come unasked any more, and False when reminders are to come again. With
    `wants` nothing else counts: the turn is to be taken again with what was found.
    """

    state: dict[str, Any]
    messages: tuple[Message, ...]
    submit: Submission | None = None
    calls_owner: bool = False
    stops: bool | None = None
    wants: Wanted | News | None = None
