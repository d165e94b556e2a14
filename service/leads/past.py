"""Requests that have been dealt with, as a rehearsal of the review rules looks at them."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal
from typing import Protocol

from service.estimating import Brief, Estimate
from service.leads.lead import LeadState


@dataclass(frozen=True, kw_only=True, slots=True)
class PastRequest:
    """A request with its first price: the brief and the estimate as they were then.

    `likely` is that price, `sent` what clients were sent afterwards, oldest first; `edited` says
    that the owner changed the brief, or the lines of a price.
    """

    lead_id: str
    number: str
    client: str | None
    state: LeadState
    lost_because: str | None
    came_at: datetime
    brief: Brief
    estimate: Estimate
    likely: Decimal
    sent: tuple[Decimal, ...]
    edited: bool


class Past(Protocol):
    """Past requests."""

    def requests(self, since: datetime, *, limit: int) -> Iterator[PastRequest]:
        """Those with a price that came in since then, newest first, read one by one."""
        ...
