"""Calendar feeds that can be subscribed to, as values; and what is kept of them."""

from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum
from typing import Protocol


class FeedRole(StrEnum):
    """Who reads a feed: the owner sees who the client is, a helper only the work."""

    OWNER = "owner"
    HELPER = "helper"


@dataclass(frozen=True, kw_only=True, slots=True)
class Feed:
    """A feed under a key of its own; `name` says whose device reads it."""

    id: str
    role: FeedRole
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
