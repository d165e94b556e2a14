"""What was bought for jobs, pack by pack."""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal
from typing import Protocol

from service.estimating.book import Holding


@dataclass(frozen=True, kw_only=True, slots=True)
class Settled:
    """What a job needs of one size and colour where it shares its spares with others.

    `alone` is what it would take by itself: while that is so, its `share` holds.
    """

    size_class: int
    colour: str
    alone: int
    share: int


@dataclass(frozen=True, kw_only=True, slots=True)
class ForJob:
    """A job that something was bought for; `count` of what is no balloon."""

    lead_id: str
    count: int = 0
    settled: tuple[Settled, ...] = ()


@dataclass(frozen=True, kw_only=True, slots=True)
class Purchase:
    """Packs of one bag or kit, or so many of something else, where `contents` is empty.

    `contents` is what one pack holds, `cost` what was paid for all of them, delivery left out.
    """

    id: str
    supplier: str
    item: str
    contents: tuple[Holding, ...]
    packs: int
    cost: Decimal
    currency: str
    bought_at: datetime
    who: str
    jobs: tuple[ForJob, ...] = ()
    undone_at: datetime | None = None


class Purchases(Protocol):
    """Purchases that were written down."""

    def add(self, purchase: Purchase) -> None:
        """Store a purchase."""
        ...

    def find(self, purchase_id: str, *, lock: bool = False) -> Purchase | None:
        """One of them; `lock` keeps others from changing it meanwhile."""
        ...

    def save(self, purchase: Purchase) -> None:
        """Store packs, cost, jobs and whether it was undone."""
        ...

    def of_leads(self, lead_ids: Collection[str]) -> list[Purchase]:
        """Those for any of these jobs that were not undone, the oldest first."""
        ...

    def lately(self, *, limit: int) -> list[Purchase]:
        """Purchases that were not undone, the newest first."""
        ...

    def times(self) -> Mapping[tuple[str, str], int]:
        """How often each item was written down at each supplier, undone ones too."""
        ...


def newest_shares(
    purchases: Sequence[Purchase],
) -> Mapping[tuple[str, int, str], Settled]:
    """What each job's need of a size and colour was settled as last; the oldest purchase first."""
    return {
        (job.lead_id, each.size_class, each.colour): each
        for purchase in purchases
        for job in purchase.jobs
        for each in job.settled
    }
