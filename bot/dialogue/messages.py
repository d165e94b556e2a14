"""What goes in and out of a turn: channel-neutral values, no markup, no I/O."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Literal

MessageKind = Literal["say", "ask", "readback", "working", "ballpark", "review", "firm", "note"]
IncomingKind = Literal["start", "text", "button", "other"]


def _storable(text: str) -> str:
    # Half of a surrogate pair cannot be encoded, and PostgreSQL stores no NUL: one such character
    # would make a whole conversation impossible to save.
    return text.encode("utf-8", "replace").decode("utf-8").replace("\x00", "\ufffd")


@dataclass(frozen=True, kw_only=True)
class Button:
    """Something to press: an answer (`value`, 1 to 64 bytes) or a web address, never both."""

    label: str
    value: str | None = None
    url: str | None = None

    def __post_init__(self) -> None:
        if (self.value is None) == (self.url is None):
            raise ValueError("a button has either a value or a url")
        if self.value is not None and not 0 < len(self.value.encode()) <= 64:
            raise ValueError("a button's value takes 1 to 64 bytes")


@dataclass(frozen=True, kw_only=True)
class Message:
    """Plain text for the client. `asks` names the question that it leaves open."""

    kind: MessageKind
    text: str
    buttons: tuple[Button, ...] = ()
    asks: str | None = None


@dataclass(frozen=True, kw_only=True)
class Incoming:
    """One thing a client did. For a button, `text` is its value and `label` what it said."""

    kind: IncomingKind
    text: str = ""
    label: str | None = None
    sender_name: str | None = None
    locale: str | None = None

    def __post_init__(self) -> None:
        for name in ("text", "label", "sender_name", "locale"):
            value = getattr(self, name)
            if value is not None:
                object.__setattr__(self, name, _storable(value))


@dataclass(frozen=True, kw_only=True)
class Swatch:
    """A colour that the shop keeps; `hex` like `#a3b899`."""

    name: str
    hex: str


@dataclass(frozen=True, kw_only=True)
class ShopCard:
    """What the dialogue may say of the shop. `time_zone` is an IANA name, `currency` ISO 4217."""

    name: str
    town: str
    owner_name: str
    contact: str
    time_zone: str
    currency: str
    colours: tuple[Swatch, ...] = ()


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
    revises: bool = False  # it takes the place of the request that was sent before


@dataclass(frozen=True, kw_only=True)
class Outcome:
    """A turn's result. `state` is made of JSON values only.

    `calls_owner` is true when the client was told that the owner sees the conversation.
    """

    state: dict[str, Any]
    messages: tuple[Message, ...]
    submit: Submission | None = None
    calls_owner: bool = False
