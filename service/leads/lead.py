"""A lead, its quotes and holds, and the table of legal moves between its states.

    new ──► quoted ──► held ──► booked ──► done
     │        ▲ │        │
     └► review ┘ └► lapsed ◄┘          (declined is reachable until the work is done)

A lead is `new` until a worker has estimated it. Then either its ballpark goes out
(`quoted`) or a review rule asks the owner to look first (`review`). A hold that expires
brings a lead back to `quoted`; a quote that expires makes it `lapsed`, and a fresh quote
revives it. A request that the client replaces by another one lapses too.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from datetime import datetime
from decimal import Decimal
from enum import StrEnum
from typing import Any

from service.estimating import Brief, Estimate


class LeadState(StrEnum):
    """Where a lead stands."""

    NEW = "new"
    REVIEW = "review"
    QUOTED = "quoted"
    HELD = "held"
    BOOKED = "booked"
    DONE = "done"
    DECLINED = "declined"
    LAPSED = "lapsed"


MOVES: Mapping[LeadState, frozenset[LeadState]] = {
    LeadState.NEW: frozenset(
        {LeadState.REVIEW, LeadState.QUOTED, LeadState.DECLINED, LeadState.LAPSED}
    ),
    LeadState.REVIEW: frozenset({LeadState.QUOTED, LeadState.DECLINED, LeadState.LAPSED}),
    LeadState.QUOTED: frozenset(
        {LeadState.QUOTED, LeadState.HELD, LeadState.DECLINED, LeadState.LAPSED}
    ),
    LeadState.HELD: frozenset(
        {LeadState.QUOTED, LeadState.BOOKED, LeadState.DECLINED, LeadState.LAPSED}
    ),
    LeadState.BOOKED: frozenset({LeadState.DONE, LeadState.DECLINED}),
    LeadState.DONE: frozenset(),
    LeadState.DECLINED: frozenset(),
    LeadState.LAPSED: frozenset({LeadState.QUOTED, LeadState.DECLINED}),
}


class LeadError(Exception):
    """Something about a lead, quote, link or hold cannot be done as asked."""


class NotFound(LeadError):
    """There is no such thing, or it is not for whoever asks."""


class MoveRefused(LeadError):
    """The lead is in a state from which this is not possible."""

    def __init__(self, state: LeadState, wanted: LeadState) -> None:
        super().__init__(f"A lead that is {state} cannot become {wanted}.")
        self.state = state
        self.wanted = wanted


class LinkExpired(LeadError):
    """The link was right once, but its time is over or it was withdrawn."""


class WindowTaken(LeadError):
    """Somebody else holds that set-up window, or it is not offered."""


class PhotoTaken(LeadError):
    """The name stands for a photo of another conversation."""


class NotPaired(LeadError):
    """The chat is not one of the owner's own."""


class StaleDecision(LeadError):
    """The decision answers something that has changed since."""


@dataclass(frozen=True, kw_only=True, slots=True)
class Client:
    """Who asks. A chat's client may be nameless."""

    name: str | None = None
    email: str | None = None
    phone: str | None = None


@dataclass(frozen=True, kw_only=True, slots=True)
class Lead:
    """A client's request through its life.

    `chat_id` names the conversation in `channel` that replies go to; a lead from the
    website form or the API has a conversation of its own, named by its id. `source` is the
    campaign or page that led the client here, in the website's own words.
    """

    id: str
    number: str
    state: LeadState
    channel: str
    chat_id: str
    language: str
    client: Client
    brief: Brief
    created_at: datetime
    review_reasons: tuple[str, ...] = ()
    source: str | None = None

    def can_become(self, wanted: LeadState) -> bool:
        """Whether the table of moves allows it."""
        return wanted in MOVES[self.state]

    def moved_to(self, wanted: LeadState) -> "Lead":
        """The lead in that state. Raises MoveRefused where the table of moves does not allow it."""
        if not self.can_become(wanted):
            raise MoveRefused(self.state, wanted)
        return replace(self, state=wanted)


class QuoteKind(StrEnum):
    """A ballpark goes out at once; a firm quote is what the owner has confirmed."""

    BALLPARK = "ballpark"
    FIRM = "firm"


@dataclass(frozen=True, kw_only=True, slots=True)
class Quote:
    """An estimate frozen for a client.

    `low`, `likely` and `high` are equal on a firm quote. A quote that waits for the owner
    has no `sent_at`, and its link opens nothing yet.
    """

    id: str
    lead_id: str
    number: str
    kind: QuoteKind
    estimate: Estimate
    low: Decimal
    likely: Decimal
    high: Decimal
    currency: str
    deposit: Decimal
    created_at: datetime
    expires_at: datetime
    sent_at: datetime | None = None
    note: str | None = None


@dataclass(frozen=True, kw_only=True, slots=True)
class Window:
    """A set-up window: from arrival to ready, both aware."""

    starts_at: datetime
    ends_at: datetime


@dataclass(frozen=True, kw_only=True, slots=True)
class Hold:
    """A window kept for a client until `expires_at` or until the deposit is recorded."""

    id: str
    lead_id: str
    quote_id: str
    window: Window
    expires_at: datetime
    client: Client


@dataclass(frozen=True, kw_only=True, slots=True)
class Change:
    """One entry of a lead's history: who did what, when."""

    at: datetime
    who: str
    what: str
    detail: Mapping[str, Any] = field(default_factory=dict)
