"""What the service tells the bot, in the dialogue's own values."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any, Literal

from bot.dialogue.messages import Button, Fault, Incoming, MessageKind, Swatch


class TurnConflict(Exception):
    """Another turn of this conversation was stored first: read again and redo."""


class LeadRefused(Exception):
    """The service cannot take this brief; `faults` names each field and what is wrong."""

    def __init__(self, faults: Sequence[Fault]) -> None:
        super().__init__(f"{len(faults)} faults")
        self.faults = tuple(faults)


@dataclass(frozen=True, kw_only=True)
class Pending:
    """A committed update whose turn nobody has finished."""

    inbox_id: int
    chat_id: str
    update_id: str
    incoming: Incoming


@dataclass(frozen=True, kw_only=True)
class Standing:
    """Where a conversation stands; a new one has version 0 and an empty state.

    `pending` are its committed updates whose turns are open, oldest first. `owner_spoke` tells
    that the client was written to by the owner and has not answered yet; `owner` that the chat is
    the owner's own; `under_review` that the owner looks at its newest request before it has a
    price; `stopped` that nothing is written to the client unasked; `held` that another process
    takes its turns now.
    """

    version: int
    state: dict[str, Any]
    pending: tuple[Pending, ...] = ()
    owner_spoke: bool = False
    owner: bool = False
    under_review: bool = False
    stopped: bool = False
    held: bool = False


@dataclass(frozen=True, kw_only=True)
class Received:
    """An update is committed; `handled` tells whether its turn was already taken.

    `standing` is where its conversation stood then, where that was claimed with it.
    """

    inbox_id: int
    handled: bool
    standing: Standing | None = None


@dataclass(frozen=True, kw_only=True)
class Picture:
    """A picture of the client's garland as a page shows it: its address, and what it shows."""

    url: str
    alt: str


@dataclass(frozen=True, kw_only=True)
class Shown:
    """One message of a conversation, in the order `seq`; `photo_id` is the photo a client sent."""

    seq: int
    direction: Literal["in", "out"]
    kind: MessageKind
    text: str
    buttons: tuple[Button, ...]
    asks: str | None
    at: datetime
    update_id: str | None
    swatches: tuple[Swatch, ...] = ()
    edits: str | None = None
    photo_id: str | None = None
    picture: Picture | None = None
