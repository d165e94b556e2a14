"""Where a conversation stands, as data.

A conversation is in one of four stages, and `MOVES` says where each act of the client leads:

    new        nothing is known yet
    asking     a question is open
    readback   the brief was read back and waits for a yes
    sent       the client said yes; the ballpark is being worked out, or is out already

`ONWARD` stands for "asking while something is missing, then readback". The dialogue never hears
when the ballpark arrives: the service says that by itself, in the same chat. So `sent` covers both
sides of it, and every correction made there leads through a new readback to a new lead.

The state carries two numbers. `number` counts briefs (start over, another event): a button of an
older brief answers nothing any more. `revision` counts changes of the present brief: a yes means
the details that it was pressed under, never newer ones.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field, fields
from datetime import date, time
from decimal import Decimal
from typing import Any, Literal, TypeAlias

Stage = Literal["new", "asking", "readback", "sent"]
Act = Literal[
    "start",  # opened the chat, or /start
    "facts",  # told something about the event, by words or by an answer button
    "skip",  # does not know the answer to the open question
    "edit",  # wants to change one thing
    "confirm",  # agrees to what was read back
    "again",  # pressed a button that changes nothing any more
    "stale",  # pressed a button of an older brief or question
    "restart",  # start over, or another event
    "cancel",
    "status",
    "person",  # wants a human
    "thanks",
    "question",
    "complaint",
    "dear",  # finds the ballpark too high
    "help",
    "unclear",  # said nothing that we could use
]
ONWARD: Literal["onward"] = "onward"
_Next: TypeAlias = Stage | Literal["onward"]

# Talk leads back to what was open.
_TALK: tuple[Act, ...] = (
    "again",
    "stale",
    "status",
    "thanks",
    "question",
    "dear",
    "help",
    "unclear",
)
# After these the next word is not the bot's.
_ASIDE: tuple[Act, ...] = ("person", "complaint")

MOVES: Mapping[Stage, Mapping[Act, _Next]] = {
    "new": {
        **dict.fromkeys(_TALK, ONWARD),
        **dict.fromkeys(_ASIDE, "new"),
        "start": ONWARD,
        "facts": ONWARD,
        "skip": ONWARD,
        "edit": ONWARD,
        "confirm": ONWARD,
        "restart": ONWARD,
        "cancel": "new",
    },
    "asking": {
        **dict.fromkeys(_TALK, ONWARD),
        **dict.fromkeys(_ASIDE, "asking"),
        "start": ONWARD,
        "facts": ONWARD,
        "skip": ONWARD,
        "edit": "asking",
        "confirm": "sent",  # a change was opened, and dropped again
        "restart": ONWARD,
        "cancel": "new",
    },
    "readback": {
        **dict.fromkeys(_TALK, ONWARD),
        **dict.fromkeys(_ASIDE, "readback"),
        "start": ONWARD,
        "facts": ONWARD,
        "skip": ONWARD,
        "edit": "asking",
        "confirm": "sent",
        "restart": ONWARD,
        "cancel": "new",
    },
    "sent": {
        **dict.fromkeys(_TALK, "sent"),
        **dict.fromkeys(_ASIDE, "sent"),
        "start": "sent",
        "facts": ONWARD,
        "skip": "sent",
        "edit": "asking",
        "confirm": "sent",
        "restart": ONWARD,
        "cancel": "new",
    },
}


@dataclass(frozen=True, kw_only=True)
class Piece:
    """One thing to build, as far as it is known. Measures in metres.

    `support` is a support of the wire contract, or None while nobody has said what carries it.
    A staircase has its slope as length, and its run as width and rise as height where those were
    told.
    """

    support: str | None = None
    count: int = 1
    uncounted: bool = False  # several, but nobody has said how many
    width_m: float | None = None
    height_m: float | None = None
    length_m: float | None = None
    assumed: bool = False  # the client did not know the size and agreed to a usual one


@dataclass(frozen=True, kw_only=True)
class Draft:
    """The brief under construction. None and () mean unknown. Times are local to the shop."""

    pieces: tuple[Piece, ...] = ()
    fullness: str | None = None
    colours: tuple[str, ...] = ()
    occasion: str | None = None
    event_date: date | None = None
    event_month: date | None = None  # the first of the month, while the day is open
    start_time: time | None = None
    end_time: time | None = None
    guests: int | None = None
    setting: str | None = None
    place: str | None = None
    postal_code: str | None = None
    budget_min: Decimal | None = None
    budget_max: Decimal | None = None
    foils: tuple[str, ...] = ()
    words: str = ""  # the client's own words, for the owner


@dataclass(frozen=True, kw_only=True)
class State:
    """Everything that a conversation remembers between two turns."""

    stage: Stage = "new"
    number: int = 1
    revision: int = 1
    draft: Draft = field(default_factory=Draft)
    asked: str | None = None  # the open question
    piece: int = 0  # which piece it is about
    editing: bool = False  # it was opened by the client, to change an answer
    skipped: tuple[str, ...] = ()
    unsure: float | None = None  # a size [m] that may be the piece's width or its height
    care: bool = False  # a complaint is open: no selling until the client asks for a price
    submitted: int = 0  # how often this brief was sent to be priced
    misses: int = 0  # answers in a row that the open question could not use
    name: str | None = None
    told: tuple[str, ...] = ()  # remarks that are made only once

    def to_dict(self) -> dict[str, Any]:
        """The state as JSON values."""
        return _plain_fields(self)

    @classmethod
    def from_dict(cls, stored: Mapping[str, Any]) -> "State":
        """The state that `to_dict` gave. What is missing takes its default, so {} is a beginning;
        what is unknown, from a newer version of this program, is left out."""
        known = _known(cls, stored)
        if "draft" in known:
            known["draft"] = _draft(known["draft"])
        for name in known.keys() & {"skipped", "told"}:
            known[name] = tuple(known[name])
        return cls(**known)


def _draft(stored: Mapping[str, Any]) -> Draft:
    known = _known(Draft, stored)
    known["pieces"] = tuple(Piece(**_known(Piece, one)) for one in known.get("pieces", ()))
    for name in ("colours", "foils"):
        known[name] = tuple(known.get(name, ()))
    readers = {
        "event_date": date.fromisoformat,
        "event_month": date.fromisoformat,
        "start_time": time.fromisoformat,
        "end_time": time.fromisoformat,
        "budget_min": Decimal,
        "budget_max": Decimal,
    }
    return Draft(**_revived(known, readers))


def _known(kind: type[Any], stored: Mapping[str, Any]) -> dict[str, Any]:
    names = {one.name for one in fields(kind)}
    return {name: value for name, value in stored.items() if name in names}


def _revived(known: dict[str, Any], readers: Mapping[str, Any]) -> dict[str, Any]:
    for name, reader in readers.items():
        if known.get(name) is not None:
            known[name] = reader(known[name])
    return known


def _plain_fields(value: Any) -> dict[str, Any]:
    return {one.name: _plain(getattr(value, one.name)) for one in fields(value)}


def _plain(value: Any) -> Any:
    if isinstance(value, Draft | Piece):
        return _plain_fields(value)
    if isinstance(value, tuple):
        return [_plain(one) for one in value]
    if isinstance(value, date | time):
        return value.isoformat()
    return str(value) if isinstance(value, Decimal) else value
