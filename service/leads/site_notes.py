"""What the crew has to know of a place and no brief says: where it is, the way in, whom to ask."""

import hashlib
from collections.abc import Mapping
from dataclasses import asdict, dataclass
from datetime import datetime
from typing import Protocol

LONGEST: Mapping[str, int] = {
    "address": 300,
    "parking": 500,
    "access": 500,
    "contact": 120,
    "phone": 40,
    "notes": 2000,
}
"""Of each note, in characters."""


@dataclass(frozen=True, kw_only=True, slots=True)
class SiteNotes:
    """Notes on a place; empty where nobody has said anything. `contact` is whom to ask for there,
    `access` the way in."""

    address: str = ""
    parking: str = ""
    access: str = ""
    contact: str = ""
    phone: str = ""
    notes: str = ""

    @property
    def mark(self) -> str:
        """What tells these notes from others: whoever changes them says which they have seen."""
        return hashlib.sha256("\0".join(asdict(self).values()).encode()).hexdigest()[:16]


NOTHING = SiteNotes()


@dataclass(frozen=True, kw_only=True, slots=True)
class Written:
    """Notes as they are kept: who wrote them last, and when."""

    notes: SiteNotes
    who: str
    at: datetime


class Sites(Protocol):
    """The notes on the places of requests."""

    def of_lead(self, lead_id: str) -> Written | None:
        """What was written for a request."""
        ...

    def save(self, lead_id: str, written: Written) -> None:
        """Keep these instead of what was there."""
        ...
