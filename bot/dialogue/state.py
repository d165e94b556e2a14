"""Where a conversation stands, as data.

A conversation is in one of four stages, and `MOVES` says where each act of the client leads:

    new        nothing is known yet
    asking     a question is open
    readback   the brief was read back and waits for a yes
    sent       the client said yes; the ballpark is being worked out, or is out already

`ONWARD` stands for "asking while something is missing, then readback". The dialogue never hears
when the ballpark arrives: the service says that by itself, in the same chat. So `sent` covers both
sides of it, and every correction made there leads through a new readback to a new lead. A step
back that leads to what was sent ends in `sent` again.

The state carries two numbers. `number` counts briefs (start over, another event): a button of an
older brief answers nothing any more. `revision` counts changes of the present brief: a yes means
the details that it was pressed under, never newer ones.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any, Literal, TypeAlias

from bot.dialogue.draft import Draft, plain_fields
from bot.dialogue.stored import known_fields

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
    "back",  # takes the last answer back
    "cancel",
    "resume",  # takes up again what was cancelled
    "status",
    "changes",  # wants to see what can be changed
    "page",  # turns a page of a calendar, or steps a size
    "language",  # wants another language
    "other",  # goes on with the event that had to wait
    "person",  # wants a human
    "stop",  # wants nothing unasked any more
    "remind",  # wants to be reminded again
    "thanks",
    "question",
    "complaint",
    "dear",  # finds the ballpark too high, or asks what would fit a budget
    "picture",  # sent a picture
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
    "changes",
    "page",
    "language",
    "stop",
    "remind",
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
        "other": ONWARD,
        "back": ONWARD,
        "resume": ONWARD,
        "picture": ONWARD,
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
        "other": ONWARD,
        "back": ONWARD,
        "resume": ONWARD,
        "picture": ONWARD,
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
        "other": ONWARD,
        "back": ONWARD,
        "resume": ONWARD,
        "picture": ONWARD,
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
        "other": ONWARD,
        "back": ONWARD,
        "resume": ONWARD,
        "picture": ONWARD,
        "cancel": "new",
    },
}


@dataclass(frozen=True, kw_only=True)
class State:
    """Everything that a conversation remembers between two turns."""

    stage: Stage = "new"
    number: int = 1
    revision: int = 1
    draft: Draft = field(default_factory=Draft)
    asked: str | None = None  # the open question
    piece: int = 0  # which piece, or colour, it is about
    editing: bool = False  # it was opened by the client, to change an answer
    skipped: tuple[str, ...] = ()
    unsure: float | None = None  # a size [m] that may be the piece's width or its height
    likened: str | None = None  # what the client likened a size to, until there is one
    care: bool = False  # a complaint is open: no selling until the client asks for a price
    submitted: int = 0  # how often this brief was sent to be priced
    misses: int = 0  # answers in a row that the open question could not use
    language: str | None = None
    settled: bool = False  # the language is the client's own choice, or was plain to see
    name: str | None = None
    phone: str | None = None
    source: str | None = None  # what the link said that brought the client here
    told: tuple[str, ...] = ()  # remarks that are made only once
    another: str = ""  # what was told of a second event, which waits its turn
    palette: tuple[str, ...] = ()  # the shop's colours that were last offered for a picture
    palettes: int = 0  # how often that was done
    offers: tuple[Mapping[str, Any], ...] = ()  # what was offered last for less
    dropped: Mapping[str, Any] | None = None  # what was cancelled last, until something else is
    earlier: tuple[Mapping[str, Any], ...] = ()  # where it stood before, the latest last

    def to_dict(self) -> dict[str, Any]:
        """The state as JSON values."""
        return {**plain_fields(self), "draft": self.draft.to_dict()}

    @classmethod
    def from_dict(cls, stored: Mapping[str, Any]) -> "State":
        """The state that `to_dict` gave. What is missing takes its default, so {} is a beginning;
        what is unknown, from another version of this program, or damaged is left out."""
        return cls(**known_fields(cls, stored))
