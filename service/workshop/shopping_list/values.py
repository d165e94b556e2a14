"""What a shopping list says: what to buy where, what the shelf has, by when, and for which jobs."""

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass, field
from decimal import ROUND_CEILING, Decimal
from enum import StrEnum

from service.estimating import SpareLine, StockLine
from service.estimating.book import Holding, Key


class Sort(StrEnum):
    """How to get what is no balloon to be tied: bought, hired, or at hand as a rule."""

    BUY = "buy"
    HIRE = "hire"
    SUPPLIES = "supplies"


@dataclass(frozen=True, kw_only=True, slots=True)
class Extra:
    """So many of something besides balloons that a job still lacks; wanted on that day."""

    sort: Sort
    item: str
    unit: str
    count: int
    unit_cost: Decimal
    wanted_on: dt.date | None = None


@dataclass(frozen=True, kw_only=True, slots=True)
class Job:
    """A job that is bought for, in today's names of the colours.

    `takes` are placed and spare balloons, and its share of the spares where it shares them; what
    it would take alone is in `alone`. `has` is set aside for it and really there. Sizes that the
    price book no longer has are `unknown`. `making_on` is the day on which the first balloon is
    made and `leaves_on` the day it is driven to its place; None while nobody knows.
    """

    lead_id: str
    number: str
    booked: bool
    takes: tuple[SpareLine, ...]
    alone: Mapping[Key, int]
    has: Mapping[Key, int]
    extras: tuple[Extra, ...] = ()
    unknown: tuple[StockLine, ...] = ()
    making_on: dt.date | None = None
    leaves_on: dt.date | None = None


@dataclass(frozen=True, kw_only=True, slots=True)
class Question:
    """What is to be bought for: jobs in the order of their set-ups, and what the shelf has free.

    `times` says how often an item was written down as bought at a supplier, and `visited` where
    something was bought for the jobs today.
    """

    jobs: tuple[Job, ...]
    free: Mapping[Key, int]
    today: dt.date
    times: Mapping[tuple[str, str], int] = field(default_factory=dict)
    visited: frozenset[str] = frozenset()


@dataclass(frozen=True, kw_only=True, slots=True)
class Wanted:
    """A job that something is for, and how many of it."""

    lead_id: str
    number: str
    count: int
    making_on: dt.date | None


class Timing(StrEnum):
    """Whether an order that is placed today comes in time."""

    UNDATED = "undated"
    IN_TIME = "in_time"
    TODAY = "today"
    JUST = "just"
    LATE = "late"


@dataclass(frozen=True, kw_only=True, slots=True)
class Line:
    """Packs of one bag or kit; `contents` is what one pack holds.

    `id` is that of the purchase which marking it as bought makes. `making_on` is when the first of
    its jobs is made, `order_by` the last day to order it on with a day in hand.
    """

    id: str
    supplier: str
    item: str
    size_class: int | None
    colour: str | None
    pack_size: int
    contents: tuple[Holding, ...]
    packs: int
    unit_price: Decimal
    cost: Decimal
    jobs: tuple[Wanted, ...] = ()
    making_on: dt.date | None = None
    order_by: dt.date | None = None
    timing: Timing = Timing.UNDATED


@dataclass(frozen=True, kw_only=True, slots=True)
class Sooner:
    """What to get from faster suppliers for the jobs that an order would come too late for.

    `lines` is empty where nobody is faster; `in_time` says whether these come early enough, and
    `missing` what no faster supplier has.
    """

    numbers: tuple[str, ...]
    lines: tuple[Line, ...]
    cost: Decimal
    in_time: bool
    arrives_on: dt.date | None
    missing: tuple[StockLine, ...] = ()


@dataclass(frozen=True, kw_only=True, slots=True)
class Supplied:
    """What to buy from one supplier; ordered today it is there on `arrives_on`."""

    name: str
    lead_days: int
    working_days: bool
    lines: tuple[Line, ...]
    goods: Decimal
    delivery: Decimal
    arrives_on: dt.date
    order_by: dt.date | None
    timing: Timing
    sooner: Sooner | None = None

    @property
    def total(self) -> Decimal:
        """Goods and delivery."""
        return self.goods + self.delivery


@dataclass(frozen=True, kw_only=True, slots=True)
class Shelved:
    """Balloons from the shop's own shelf: `aside` were set aside before, `free` are not yet."""

    size_class: int
    colour: str
    aside: int
    free: int


@dataclass(frozen=True, kw_only=True, slots=True)
class StandIn:
    """So many balloons of another size or colour in place of those wanted."""

    wanted: Key
    source: Key
    count: int


@dataclass(frozen=True, kw_only=True, slots=True)
class Besides:
    """Something besides balloons, for all jobs that lack it; the cost is about right."""

    id: str
    sort: Sort
    item: str
    unit: str
    count: int
    unit_cost: Decimal
    jobs: tuple[Wanted, ...]
    wanted_on: dt.date | None

    @property
    def cost(self) -> Decimal:
        """What it comes to."""
        return self.unit_cost * self.count


@dataclass(frozen=True, kw_only=True, slots=True)
class ShoppingList:
    """Everything to get for some jobs, at the least cost.

    `left_over` is what will be left of the packs. Where the search was cut short `proven` is False
    and `gap` is how much cheaper, as a share of the cost, it could be at most. `settled` is what
    each job needs by its lead's id, the spares shared.
    """

    jobs: tuple[Job, ...]
    today: dt.date
    currency: str
    suppliers: tuple[Supplied, ...]
    shelf: tuple[Shelved, ...]
    stand_ins: tuple[StandIn, ...]
    left_over: tuple[StockLine, ...]
    besides: tuple[Besides, ...]
    unknown: tuple[StockLine, ...]
    proven: bool
    gap: float

    @property
    def goods(self) -> Decimal:
        """What the packs cost."""
        return sum((each.goods for each in self.suppliers), Decimal(0))

    @property
    def delivery(self) -> Decimal:
        """What bringing them costs."""
        return sum((each.delivery for each in self.suppliers), Decimal(0))

    @property
    def cost(self) -> Decimal:
        """Goods and delivery."""
        return self.goods + self.delivery

    @property
    def to_get(self) -> Decimal:
        """What else is to be bought or hired, about; supplies are at hand."""
        others = (each.cost for each in self.besides if each.sort is not Sort.SUPPLIES)
        return sum(others, Decimal(0))

    @property
    def whole(self) -> Decimal:
        """Balloons with their delivery, and what else is to be bought or hired."""
        return self.cost + self.to_get

    @property
    def could_save(self) -> Decimal:
        """What a plan that nobody has found yet could save at most."""
        most = self.cost * Decimal(repr(round(self.gap, 6)))
        return most.quantize(Decimal("0.01"), ROUND_CEILING)

    @property
    def to_set_aside(self) -> bool:
        """Whether the shelf has something for these jobs that is still anybody's."""
        return any(job.booked for job in self.jobs) and any(each.free for each in self.shelf)
