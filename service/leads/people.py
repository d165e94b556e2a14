"""Who may sit at the desk: the owner and helpers, their sessions, and guesses at passwords."""

import unicodedata
from dataclasses import dataclass
from datetime import datetime, timedelta
from enum import StrEnum
from typing import Protocol

from service.leads.lead import OWNER, LeadError

OWNER_ID = "owner"
"""The owner's id, whether a password has been chosen yet or not."""

SESSION_LASTS = timedelta(days=14)
SESSION_IDLES = timedelta(days=7)
"""A session is over after so long, and after so long without a visit."""


class BadName(LeadError):
    """A helper cannot go by that name; the text says why."""


class PersonRole(StrEnum):
    """The owner does everything; a helper sees what a set-up takes, and no money."""

    OWNER = "owner"
    HELPER = "helper"


@dataclass(frozen=True, kw_only=True, slots=True)
class Person:
    """Somebody with an account.

    `may_sign_in` once a password has been chosen. `ended_at` is when their access was ended.
    """

    id: str
    role: PersonRole
    name: str
    since: datetime
    may_sign_in: bool = True
    ended_at: datetime | None = None

    @property
    def who(self) -> str:
        """How histories name them."""
        return OWNER if self.role is PersonRole.OWNER else self.name


@dataclass(frozen=True, kw_only=True, slots=True)
class DeskSession:
    """A person signed in on a device; `csrf` must come back with every form.

    `key` names the session among its person's own and opens nothing.
    """

    key: str
    person: Person
    csrf: str
    device: str
    opened_at: datetime
    seen_at: datetime
    expires_at: datetime


@dataclass(frozen=True, kw_only=True, slots=True)
class Guesses:
    """Failed tries at signing in: how many there were, and when the latest was."""

    count: int = 0
    latest: datetime | None = None


class People(Protocol):
    """Accounts, sessions and failed tries at signing in."""

    def get(self, person_id: str) -> Person:
        """One person; NotFound otherwise."""
        ...

    def named(self, name: str) -> Person | None:
        """Whoever signs in by that name, as `folded` has it."""
        ...

    def every(self) -> list[Person]:
        """Everybody, the owner first, then by name."""
        ...

    def add(self, person: Person) -> None:
        """Store somebody who has no password yet. Raises BadName for a name that is taken."""
        ...

    def welcome_back(self, person_id: str) -> None:
        """An ended access is open again, once a password has been chosen."""
        ...

    def end(self, person_id: str, now: datetime) -> None:
        """Their access, password and sessions are over."""
        ...

    def password_hash(self, person_id: str) -> str | None:
        """None until a password has been chosen, and for whom the access was ended."""
        ...

    def set_password_hash(self, person_id: str, value: str, now: datetime) -> None:
        """Choose a password; every session of theirs ends. The owner's account comes with it."""
        ...

    def open_session(
        self, session_id: str, person_id: str, *, csrf: str, device: str, now: datetime
    ) -> None:
        """Store a session that begins now, under the digest of its id; what is over is dropped."""
        ...

    def session(self, session_id: str, now: datetime) -> DeskSession | None:
        """The session, unless it is over or its person's access is."""
        ...

    def sessions_of(self, person_id: str, now: datetime) -> list[DeskSession]:
        """A person's sessions that are not over, the latest seen first."""
        ...

    def seen(self, session_id: str, now: datetime) -> None:
        """The session is in use."""
        ...

    def close_session(self, session_id: str) -> None:
        """Sign out."""
        ...

    def close_session_of(self, person_id: str, key: str) -> None:
        """Sign one of a person's devices out."""
        ...

    def close_sessions_of(self, person_id: str) -> None:
        """Sign a person out everywhere."""
        ...

    def guesses_from(self, source: str, since: datetime) -> Guesses:
        """Failed tries from one place."""
        ...

    def guesses_at(self, name: str, since: datetime) -> Guesses:
        """Failed tries at one name from places that are not known to it."""
        ...

    def record_guess(self, name: str, source: str, now: datetime) -> None:
        """Count a try, before it is known how it goes; tries of long ago are forgotten."""
        ...

    def forget_guesses(self, name: str, source: str) -> None:
        """It was the right password: tries from there at this name do not count."""
        ...


def folded(name: str) -> str:
    """A name as it is compared: however it is spaced and capitalised."""
    plain = " ".join(unicodedata.normalize("NFKC", name).casefold().split())
    return plain[:80]
