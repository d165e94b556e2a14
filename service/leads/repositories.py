"""What is kept of leads and their steps, as small protocols over storage."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Protocol

from service.leads.lead import Change, Hold, Lead, LeadState, Quote
from service.leads.stays import Keeps
from service.leads.steps import Doubtful, Owed, Step, StepKind, StepState


class Leads(Protocol):
    """Leads and their history."""

    def add(self, lead: Lead) -> Lead:
        """Store a new lead and give it its number."""
        ...

    def get(self, lead_id: str, *, lock: bool = False) -> Lead:
        """One lead; NotFound otherwise. `lock` keeps others from changing it meanwhile."""
        ...

    def save(self, lead: Lead) -> None:
        """Store the lead's state, review reasons, client and what became of it."""
        ...

    def save_brief(self, lead: Lead) -> Lead:
        """Store a changed brief and client; the revision goes up.

        StaleDecision when the lead is of another revision by now.
        """
        ...

    def answered(self, channel: str, chat_id: str, *, at: datetime) -> None:
        """The owner wrote in a conversation: its requests have their first answer."""
        ...

    def page(self, *, before: str | None, limit: int, state: LeadState | None) -> list[Lead]:
        """Leads newest first, beyond the lead numbered `before`."""
        ...

    def of_chat(self, channel: str, chat_id: str) -> list[Lead]:
        """Every lead that came from a conversation, newest first."""
        ...

    def with_expired_quotes(
        self, now: datetime, *, among: Sequence[str] | None = None
    ) -> list[str]:
        """Ids of quoted leads, or of those `among` them, none of whose sent quotes is good now."""
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

    def of_lead(self, lead_id: str) -> list[Quote]:
        """Every quote of a lead, sent or not, oldest first."""
        ...

    def latest(self, lead_id: str, *, sent: bool = False) -> Quote | None:
        """The newest quote of a lead; with `sent`, the newest the client may see."""
        ...

    def newest(self, limit: int) -> list[Quote]:
        """Of the leads that were sent a quote last, the last quote of each, the newest first."""
        ...

    def mark_sent(self, quote_id: str, at: datetime, expires_at: datetime) -> None:
        """Let the client see it from now on."""
        ...


QUOTE_LINK = "quote"
BOOKING_LINK = "booking"


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

    def prolong(self, subject_id: str, *, purpose: str, until: datetime) -> None:
        """No link of a subject is over before then, unless it was withdrawn."""
        ...

    def renew(self, subject_id: str, *, purposes: Sequence[str], until: datetime) -> list[str]:
        """A fresh link for each purpose, good until then; older ones too, as by `prolong`."""
        ...

    def use(self, link_id: str, *, purpose: str, now: datetime) -> str:
        """As `find`, for a link that works once: from now on it is over."""
        ...

    def revoke(self, subject_id: str, purpose: str, now: datetime) -> None:
        """Every link that was made for a subject and purpose is over from now on."""
        ...


class Holds(Protocol):
    """Held set-up windows. The store itself guarantees that no two of a crew overlap, and that no
    unit of equipment is promised twice.
    """

    def lock_days(self, days: Iterable[date]) -> None:
        """Keep others from changing what happens on these days until the transaction ends."""
        ...

    def add(self, hold: Hold, *, keeps: Keeps) -> None:
        """Store the hold and keep what it takes; WindowTaken when some of it is kept already."""
        ...

    def of_lead(self, lead_id: str) -> Hold | None:
        """The lead's active hold or booking."""
        ...

    def newest_of_lead(self, lead_id: str) -> Hold | None:
        """The hold of a lead that was made last, also one that was given back."""
        ...

    def between(self, since: datetime, until: datetime) -> list[Hold]:
        """Active holds and bookings whose stay touches that time, by when their set-up begins."""
        ...

    def units_out(
        self, items: Iterable[str], since: datetime, until: datetime
    ) -> list[tuple[str, str, int]]:
        """What is kept of these kinds of equipment in that time: hold, item, and which unit."""
        ...

    def changed(self, since: datetime) -> list[Hold]:
        """The newest hold of each lead, where it changed from `since` on; oldest change first."""
        ...

    def ending_soon(self, now: datetime, until: datetime) -> list[Hold]:
        """Holds without a deposit that run out after `now` and by `until`, the earliest first."""
        ...

    def count_ending(self, now: datetime, until: datetime | None = None) -> int:
        """How many holds without a deposit run out after `now`, and by `until` if that is given."""
        ...

    def expired(self, moment: datetime) -> list[Hold]:
        """Holds without a deposit whose time is over at that moment, the earliest first."""
        ...

    def over(self, moment: datetime, *, limit: int) -> list[Hold]:
        """Bookings whose equipment is back and whose leads are not done yet, at most so many."""
        ...

    def starting(self, since: datetime, until: datetime) -> list[Hold]:
        """Holds and bookings whose set-up begins from `since` on and before `until`, in order."""
        ...

    def save(self, hold: Hold) -> None:
        """Store the hold's state, revision, quote and times; one that is over keeps nothing."""
        ...


class Outbox(Protocol):
    """Steps of work that are owed."""

    def owe(
        self,
        kind: StepKind,
        subject_id: str,
        *,
        lane: str,
        now: datetime,
        due_at: datetime | None = None,
    ) -> None:
        """Add a step, due now or at `due_at`; it is handed to the queue after the commit."""
        ...

    def settle(self, kind: StepKind, subject_id: str) -> None:
        """Whatever is owed about a subject is not wanted any more."""
        ...

    def get(self, step_id: str, *, lock: bool = False) -> Step:
        """One step; NotFound otherwise."""
        ...

    def save(self, step: Step) -> None:
        """Store a step's state, attempts, fence, lease, doubts and times."""
        ...

    def extend(self, step_id: str, fence: int, *, until: datetime) -> bool:
        """Lengthen the lease that `fence` has on an owed step; False when it has none."""
        ...

    def first_owed(self, lane: str) -> Step | None:
        """The oldest owed step of a lane."""
        ...

    def is_next(self, step: Step) -> bool:
        """Whether no older step of its lane is owed."""
        ...

    def hand_over(self, step: Step) -> None:
        """Give an owed step to the queue after the commit, for when it is due."""
        ...

    def due(self, now: datetime, *, limit: int) -> list[Step]:
        """Owed steps that are due and under no lease, oldest first."""
        ...

    def stranded(self, due_until: datetime, *, now: datetime) -> Iterator[Step]:
        """Steps under no lease that fell due by then and are next in their lane, oldest first.

        They are read as they are asked for. A clock that was set back hides none that has been due.
        """
        ...

    def ages(self, now: datetime) -> tuple[Owed, ...]:
        """By kind and state: how many steps are due and not done, and how old the oldest is."""
        ...

    def unclear(self, now: datetime) -> Doubtful:
        """How many steps may have reached the outside without our knowing."""
        ...

    def in_doubt(self, *, limit: int) -> list[Step]:
        """Owed steps of which an attempt may have reached the outside, newest first."""
        ...

    def troubled(
        self, *, limit: int, before: int | None = None, lanes: Sequence[str] | None = None
    ) -> list[Step]:
        """Steps that were given up or are in doubt, newest first: of some lanes, or of all.

        `before` is the position of the last one of the page before.
        """
        ...

    def answers_owed(self) -> bool:
        """Whether a price or a message is still on its way, or is to be tried again."""
        ...

    def count_open(self, now: datetime) -> dict[StepState, int]:
        """How many steps are owed and how many were given up; reminders only once they are due."""
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
class Note:
    """What somebody of the shop wrote down about a lead; clients never see it."""

    at: datetime
    who: str
    text: str


class Notes(Protocol):
    """The shop's own notes on leads."""

    def add(self, lead_id: str, note: Note) -> None:
        """Keep a note."""
        ...

    def of_lead(self, lead_id: str) -> list[Note]:
        """A lead's notes, oldest first."""
        ...
