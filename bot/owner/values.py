"""What a turn of the owner comes to, what buttons say, and what stays open until the next turn."""

from collections.abc import Mapping
from dataclasses import asdict, dataclass, fields
from datetime import datetime, timedelta
from decimal import Decimal
from typing import Any, Literal

from bot.dialogue.messages import Message

View = Literal["waiting", "today"]
Action = Literal["send", "ask", "decline", "settle"]

# A question that was left alone: what is typed later is hardly its answer.
_OPEN_FOR = timedelta(minutes=30)


@dataclass(frozen=True, kw_only=True)
class Decision:
    """What the service is to do; it stands for `OwnerDecision` on the wire.

    On a lead or on a conversation that waits. `basis` is the quote that the owner was shown.
    """

    action: Action
    lead_id: str | None = None
    conversation_id: int | None = None
    basis: str | None = None
    price: Decimal | None = None
    text: str | None = None


@dataclass(frozen=True, kw_only=True)
class OwnerOutcome:
    """A turn's result.

    With a `decision` the service is asked first: `done` is said where it was carried out, the
    service's reason otherwise. With `shows` the service's own messages follow.
    """

    state: dict[str, Any]
    messages: tuple[Message, ...] = ()
    decision: Decision | None = None
    done: str = ""
    shows: View | None = None


@dataclass(frozen=True, kw_only=True)
class Open:
    """A question that waits for the owner's words: a price, or what to write to a client.

    `number` is what the request is called in words; None for a conversation without one.
    """

    wants: Literal["price", "words"]
    at: str
    lead_id: str | None = None
    conversation_id: int | None = None
    basis: str | None = None
    number: str | None = None

    def to_state(self) -> dict[str, Any]:
        """The state that keeps it."""
        return {"owner": asdict(self)}

    @classmethod
    def from_state(cls, state: Mapping[str, Any], now: datetime) -> "Open | None":
        """The question that is open; None where none is, or not any more."""
        kept = state.get("owner")
        if not isinstance(kept, Mapping) or {each.name for each in fields(cls)} != set(kept):
            return None
        found = cls(**kept)
        return found if now - datetime.fromisoformat(found.at) < _OPEN_FOR else None


@dataclass(frozen=True, kw_only=True)
class Pressed:
    """A button's value, read: what it is about, what is wanted, and what stands behind that."""

    lead_id: str | None
    conversation_id: int | None
    verb: str
    rest: tuple[str, ...]


def read_value(value: str) -> Pressed | None:
    """What a value such as `lead:{id}:send:G1001-1` or `call:7:answer` says; None if nothing."""
    kind, _, behind = value.partition(":")
    subject, verb, *rest = (*behind.split(":"), "", "")
    while rest and not rest[-1]:
        rest.pop()
    if not (subject and verb):
        return None
    if kind == "lead":
        return Pressed(lead_id=subject, conversation_id=None, verb=verb, rest=tuple(rest))
    if kind == "call" and subject.isascii() and subject.isdigit() and len(subject) <= 9:
        return Pressed(lead_id=None, conversation_id=int(subject), verb=verb, rest=tuple(rest))
    return None
