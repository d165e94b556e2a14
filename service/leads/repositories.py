"""What is kept of leads, their steps and the owner's account, as small protocols over storage."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Protocol

from service.leads.lead import Change, Hold, Lead, LeadState, Quote
from service.leads.steps import Step, StepKind, StepState


class Leads(Protocol):
    """Leads and their history."""

    def add(self, lead: Lead) -> Lead:
        """Store a new lead and give it its number."""
        ...

    def get(self, lead_id: str, *, lock: bool = False) -> Lead:
        """One lead; NotFound otherwise. `lock` keeps others from changing it meanwhile."""
        ...

    def save(self, lead: Lead) -> None:
        """Store the lead's state, review reasons and client."""
        ...

    def page(self, *, before: str | None, limit: int, state: LeadState | None) -> list[Lead]:
        """Leads newest first, beyond the lead numbered `before`."""
        ...

    def of_chat(self, channel: str, chat_id: str) -> list[Lead]:
        """Every lead that came from a conversation, newest first."""
        ...

    def with_expired_quotes(self, now: datetime) -> list[str]:
        """Ids of quoted leads none of whose sent quotes is good any more."""
        ...

    def count_by_state(self) -> dict[LeadState, int]:
        """How many leads are in each state."""
        ...

    def note(self, lead_id: str, change: Change) -> None:
        """Add to a lead's history."""
        ...

    def history(self, lead_id: str) -> list[Change]:
        """A lead's history, oldest first."""
        ...


class Quotes(Protocol):
    """Frozen quotes."""

    def add(self, quote: Quote) -> Quote:
        """Store a quote and give it its number."""
        ...

    def get(self, quote_id: str) -> Quote:
        """One quote; NotFound otherwise."""
        ...

    def latest(self, lead_id: str, *, sent: bool = False) -> Quote | None:
        """The newest quote of a lead; with `sent`, the newest the client may see."""
        ...

    def mark_sent(self, quote_id: str, at: datetime, expires_at: datetime) -> None:
        """Let the client see it from now on."""
        ...


class Links(Protocol):
    """Purposes that a signed link may serve, revocable one by one."""

    def add(self, *, purpose: str, subject_id: str, expires_at: datetime) -> str:
        """A fresh opaque id of at least 128 bits."""
        ...

    def find(self, link_id: str, *, purpose: str, now: datetime) -> str:
        """The link's subject. NotFound for another purpose, LinkExpired when over."""
        ...

    def of(self, subject_id: str, purpose: str) -> str | None:
        """The newest link made for a subject."""
        ...

    def use(self, link_id: str, *, purpose: str, now: datetime) -> str:
        """As `find`, for a link that works once: from now on it is over."""
        ...


class Holds(Protocol):
    """Held set-up windows. The store itself guarantees that no two overlap."""

    def add(self, hold: Hold, *, slots: Sequence[int], crew: int) -> None:
        """Keep a crew's slots for this hold; WindowTaken when one is kept already."""
        ...

    def taken(
        self, slots: Sequence[int], *, crew: int, now: datetime, but: Hold | None = None
    ) -> bool:
        """Whether a hold that has not run out, other than `but`, keeps any of a crew's slots."""
        ...

    def of_lead(self, lead_id: str) -> Hold | None:
        """The lead's active hold or booking."""
        ...

    def release(self, hold_id: str) -> None:
        """Give a hold's slots back."""
        ...

    def book(self, hold_id: str) -> None:
        """The hold no longer runs out."""
        ...

    def expired(self, moment: datetime) -> list[Hold]:
        """Holds without a deposit whose time is over at that moment, the earliest first."""
        ...

    def starting(self, since: datetime, until: datetime) -> list[Hold]:
        """Holds and bookings whose set-up begins from `since` on and before `until`, in order."""
        ...


class Outbox(Protocol):
    """Steps of work that are owed."""

    def owe(self, kind: StepKind, subject_id: str, *, lane: str, now: datetime) -> None:
        """Add a step; it is handed to the queue after the commit."""
        ...

    def get(self, step_id: str, *, lock: bool = False) -> Step:
        """One step; NotFound otherwise."""
        ...

    def save(self, step: Step) -> None:
        """Store a step's state, attempts, fence, lease and times."""
        ...

    def first_owed(self, lane: str) -> Step | None:
        """The oldest owed step of a lane."""
        ...

    def hand_over(self, step: Step) -> None:
        """Give an owed step to the queue after the commit."""
        ...

    def due(self, now: datetime, *, limit: int) -> list[Step]:
        """Owed steps that are due and under no lease, oldest first."""
        ...

    def count_open(self) -> dict[StepState, int]:
        """How many steps are owed and how many were given up."""
        ...

    def dead(self, *, limit: int) -> list[Step]:
        """Steps that only the owner can help with, newest first."""
        ...


@dataclass(frozen=True, kw_only=True, slots=True)
class Answered:
    """The answer that an idempotency key got the first time."""

    fingerprint: str
    status: int
    body: str


class Answers(Protocol):
    """Answers by idempotency key."""

    def find(self, scope: str, key: str) -> Answered | None:
        """The stored answer, if any."""
        ...

    def store(self, scope: str, key: str, answered: Answered, now: datetime) -> bool:
        """Store an answer; False when the key has one already."""
        ...


@dataclass(frozen=True, kw_only=True, slots=True)
class DeskSession:
    """A signed-in owner's session; `csrf` must come back with every form."""

    id: str
    csrf: str
    expires_at: datetime


class Owners(Protocol):
    """The owner's account."""

    def password_hash(self) -> str | None:
        """None until a password has been chosen."""
        ...

    def set_password_hash(self, value: str, now: datetime) -> None:
        """Choose a password; every session ends."""
        ...

    def open_session(self, session: DeskSession) -> None:
        """Store a session under the digest of its id."""
        ...

    def session(self, session_id: str, now: datetime) -> DeskSession | None:
        """The session, unless it is over."""
        ...

    def close_session(self, session_id: str) -> None:
        """Sign out."""
        ...

    def failures_since(self, since: datetime, address: str) -> int:
        """How many sign-ins from an address failed since then."""
        ...

    def record_failure(self, now: datetime, address: str) -> None:
        """A sign-in from an address failed."""
        ...
