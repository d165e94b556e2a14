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


class Standing(StrEnum):
    """What has become of a lead, as the desk tells it: finer than its state."""

    NEW = "new"
    REVIEW = "review"
    QUOTED = "quoted"
    HELD = "held"
    BOOKED = "booked"
    DONE = "done"
    DECLINED = "declined"
    CANCELED = "canceled"
    LAPSED = "lapsed"
    REPLACED = "replaced"
    ERASED = "erased"


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


class LostBecause(StrEnum):
    """Why a request came to nothing, for the record."""

    TOO_FAR = "too far"
    DATE_TAKEN = "date taken"
    TOO_SMALL = "too small"
    TOO_BIG = "too big"
    NOT_OURS = "not our work"
    PRICE = "price"
    NO_ANSWER = "no answer"
    CLIENT_CANCELLED = "client cancelled"
    SHOP_CANCELLED = "shop cancelled"
    OTHER = "other"


REPLACED = "replaced"
"""Why a request lapsed that its client put another one in the place of, as figures count it."""

_CALLED_OFF = frozenset({LostBecause.CLIENT_CANCELLED, LostBecause.SHOP_CANCELLED})


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
    """Somebody else holds that set-up window, or it is not offered.

    The text is for the client; `because` says to the owner what is in the way.
    """

    def __init__(self, text: str, *, because: str = "") -> None:
        super().__init__(text)
        self.because = because


class NoLongerFits(LeadError):
    """What is kept for a lead has no room for what it has become."""


class PhotoTaken(LeadError):
    """The name stands for a photo of another conversation."""


class EnoughPhotos(LeadError):
    """The conversation holds as many photos as one may."""


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
    # Goes up with every change of the brief.
    revision: int = 0
    answered_at: datetime | None = None
    lost_because: str | None = None
    # The id of the request that this one has become a part of.
    merged_into: str | None = None
    # When what is personal was taken out of it.
    erased_at: datetime | None = None

    @property
    def standing(self) -> Standing:
        """What has become of it."""
        if self.erased_at is not None:
            return Standing.ERASED
        if self.state is LeadState.LAPSED and (self.merged_into or self.lost_because == REPLACED):
            return Standing.REPLACED
        if self.state is LeadState.DECLINED and self.lost_because in _CALLED_OFF:
            return Standing.CANCELED
        return Standing(self.state)

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
class PriceLine:
    """A part of a price as the client reads it; `was` is what the estimate made of it, if it did.

    `label` is English where it is one of the estimate's own, and as the owner wrote it otherwise.
    """

    label: str
    amount: Decimal
    was: Decimal | None = None


@dataclass(frozen=True, kw_only=True, slots=True)
class Quote:
    """An estimate frozen for a client.

    `brief` is what it was made for: the lead's own may have been changed since. `low`, `likely`
    and `high` are equal on a firm quote. A quote that waits for the owner has no `sent_at`, and its
    link opens nothing yet. `lines` are those of the price where the owner changed them; they add
    up to it.
    """

    id: str
    lead_id: str
    number: str
    kind: QuoteKind
    brief: Brief
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
    lines: tuple[PriceLine, ...] | None = None

    @property
    def book_version(self) -> str:
        """The version of the price book that it was made by."""
        return self.estimate.price_book_version

    @property
    def calibration(self) -> str | None:
        """What the shop's finished jobs had moved it by; None where the book's word stood."""
        return self.estimate.calibration_version


@dataclass(frozen=True, kw_only=True, slots=True)
class Window:
    """A set-up window: from arrival to ready, both aware."""

    starts_at: datetime
    ends_at: datetime


@dataclass(frozen=True, kw_only=True, slots=True)
class Stay:
    """The rest of a job around its set-up window, all aware.

    The crew leaves the workshop, is free again when it has set up, takes down from `strikes_at` to
    `struck_at`, and the equipment is back at `returns_at`. Where nothing is taken down, the strike
    takes no time.
    """

    leaves_at: datetime
    free_at: datetime
    strikes_at: datetime
    struck_at: datetime
    returns_at: datetime


class HoldState(StrEnum):
    """Kept until it runs out, kept for good, replaced by another of its lead, or given back."""

    ACTIVE = "active"
    BOOKED = "booked"
    MOVED = "moved"
    RELEASED = "released"


@dataclass(frozen=True, kw_only=True, slots=True)
class Hold:
    """A window kept for a client until `expires_at` or until the deposit is recorded.

    `revision` goes up with every change of the lead's date or its standing, whichever hold has it;
    `position` is where the crew drives to, in degrees.
    """

    id: str
    lead_id: str
    quote_id: str
    window: Window
    stay: Stay
    expires_at: datetime
    client: Client
    made_at: datetime
    changed_at: datetime
    state: HoldState = HoldState.ACTIVE
    revision: int = 0
    crew: int = 0
    position: tuple[float, float] | None = None


OWNER, CLIENT, GARLANDRY = "owner", "client", "garlandry"
"""Who did something; a helper goes by name."""


@dataclass(frozen=True, kw_only=True, slots=True)
class Change:
    """One entry of a lead's history: who did what, when."""

    at: datetime
    who: str
    what: str
    detail: Mapping[str, Any] = field(default_factory=dict)
