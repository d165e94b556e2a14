"""Everything that is kept of one client, as a small protocol over storage."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any, Protocol

from service.estimating import Brief
from service.leads.lead import Lead, LeadState


@dataclass(frozen=True, kw_only=True, slots=True)
class Consent:
    """What a client agreed to, in which wording, and when."""

    lead_id: str
    what: str
    version: str
    channel: str
    at: datetime


class Clients(Protocol):
    """Everything that is kept of one client, wherever it is kept."""

    def same(self, lead: Lead) -> list[str]:
        """Ids of every request of the same conversation, or with the same e-mail or phone."""
        ...

    def counted(self, lead_ids: Sequence[str]) -> Mapping[str, int]:
        """How many `messages`, `photos`, `quotes` and `payments` there are."""
        ...

    def collected(self, lead_ids: Sequence[str]) -> Mapping[str, Any]:
        """All of it, as JSON values by table."""
        ...

    def pictures(self, lead_ids: Sequence[str]) -> Mapping[str, bytes]:
        """The photos, JPEG by name."""
        ...

    def erase(self, lead: Lead, *, state: LeadState, brief: Brief, now: datetime) -> None:
        """Take everything personal of a request away, its conversation with it.

        `state` and `brief` are what stays of it.
        """
        ...

    def over(self, *, lost_before: datetime, done_before: datetime, limit: int) -> list[str]:
        """Requests whose time is over: lost ones by their last change, jobs by their day."""
        ...

    def agree(self, consent: Consent) -> None:
        """Keep that a client agreed."""
        ...

    def agreed(self, lead_ids: Sequence[str]) -> list[Consent]:
        """What was agreed to, oldest first."""
        ...
