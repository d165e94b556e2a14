"""A reminder: one message that will fall due, about one thing."""

from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum
from typing import Protocol


class Kind(StrEnum):
    """What a reminder is about. `OWNERS_HOLD` goes to the owner, all others to the client."""

    NUDGE = "nudge"
    HOLD = "hold"
    OWNERS_HOLD = "owners_hold"
    BALANCE = "balance"
    DAY_BEFORE = "day_before"
    THANKS = "thanks"

    @property
    def to_client(self) -> bool:
        """Whether the client reads it."""
        return self is not Kind.OWNERS_HOLD


class State(StrEnum):
    """Owed until it is sent. `dropped` is what is not wanted (any more), and may be again;
    `skipped` is what the owner took out, for good."""

    OWED = "owed"
    SENT = "sent"
    DROPPED = "dropped"
    SKIPPED = "skipped"


@dataclass(frozen=True, kw_only=True, slots=True)
class Planned:
    """A reminder that a request wants as it stands.

    About one `basis` there is one message at most, however often it is planned. From `until` on
    it says nothing new any more, and before `since`, where there is one, it would not be true.
    """

    kind: Kind
    basis: str
    due_at: datetime
    until: datetime
    since: datetime | None = None


@dataclass(frozen=True, kw_only=True, slots=True)
class Reminder:
    """A reminder as it is kept; `message_id` is what was written."""

    id: str
    lead_id: str
    kind: Kind
    basis: str
    due_at: datetime
    state: State
    made_at: datetime
    closed_at: datetime | None = None
    message_id: str | None = None


class Reminders(Protocol):
    """Reminders, once about each thing: the store refuses a second."""

    def add(self, reminder: Reminder) -> None:
        """Store a new one."""
        ...

    def get(self, reminder_id: str) -> Reminder:
        """One reminder; NotFound otherwise."""
        ...

    def save(self, reminder: Reminder) -> None:
        """Store when it is due and what became of it."""
        ...

    def of_lead(self, lead_id: str) -> list[Reminder]:
        """All of a request, the earliest first."""
        ...

    def owed(self, *, limit: int) -> list[Reminder]:
        """What is to come, the next first."""
        ...

    def closed(self, *, limit: int) -> list[Reminder]:
        """What was sent, or taken out by the owner, the latest first."""
        ...

    def sent_between(self, since: datetime, until: datetime) -> list[Reminder]:
        """What was sent from `since` on and before `until`, in order."""
        ...

    def undelivered(self, *, limit: int) -> list[Reminder]:
        """Sent ones whose message could not be delivered and was given up, the latest first."""
        ...
