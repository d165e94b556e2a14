"""Calendar feeds that can be subscribed to, as values; and what is kept of them."""

from dataclasses import dataclass
from datetime import datetime
from typing import Protocol

from service.leads.people import PersonRole


@dataclass(frozen=True, kw_only=True, slots=True)
class Feed:
    """A feed under a key of its own; `name` says whose device reads it.

    The owner reads who the client is, a helper only the work.
    """

    id: str
    role: PersonRole
    name: str
    made_at: datetime


class Feeds(Protocol):
    """Feeds that have not been revoked. Only digests of their keys are stored."""

    def make(self, feed: Feed) -> str:
        """Store a feed; the fresh key that opens it, of at least 128 bits."""
        ...

    def of_key(self, key: str) -> Feed | None:
        """The feed that a key opens."""
        ...

    def every(self) -> list[Feed]:
        """All feeds, the oldest first."""
        ...

    def revoke(self, feed_id: str, now: datetime) -> None:
        """Its key opens nothing any more."""
        ...
