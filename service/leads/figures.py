"""How the shop is doing: what became of the requests of a period, in plain arithmetic."""

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta
from decimal import ROUND_HALF_UP, Decimal
from functools import cached_property
from typing import Protocol, TypeVar

from service.estimating import Estimate, Price, PriceBook
from service.leads.lead import LeadState
from service.leads.shop_time import midnight

SOON = timedelta(minutes=5)
"""Whoever answers within it usually gets the job."""

_Value = TypeVar("_Value", int, Decimal)

NO_REASON = "no reason noted"
"""Why a request was lost where nobody said."""

_CENT = Decimal("0.01")
_WON = frozenset({LeadState.BOOKED, LeadState.DONE})
_LOST = frozenset({LeadState.DECLINED, LeadState.LAPSED})
_MOST_DAYS = 5

# How long an answer took, told apart at these many seconds.
_ANSWER_STEPS_S = (60, 300, 3_600, 86_400)


@dataclass(frozen=True, kw_only=True, slots=True)
class Period:
    """From one day to another, both inclusive; None for no end on that side."""

    since: date | None = None
    until: date | None = None


@dataclass(frozen=True, kw_only=True, slots=True)
class Outcome:
    """So many requests of one kind that ended, or stand, in one way."""

    state: LeadState
    lost_because: str | None
    # Another request of the same client counts in place of these.
    merged: bool
    channel: str
    source: str | None
    count: int


@dataclass(frozen=True, kw_only=True, slots=True)
class Jobs:
    """Jobs that were won, at one price before tax; `cost` is that of all of them."""

    currency: str
    before_tax: Decimal
    cost: Decimal
    count: int


@dataclass(frozen=True, kw_only=True, slots=True)
class Outturn:
    """Jobs of which it was told how they went, in one currency: all their prices before tax, what
    they were planned to cost, and what they cost.
    """

    currency: str
    before_tax: Decimal
    planned_cost: Decimal
    real_cost: Decimal
    count: int


class Counting(Protocol):
    """What storage counts of the requests that were asked from `since` on and before `until`."""

    def answers(self, since: datetime | None, until: datetime | None) -> Mapping[int | None, int]:
        """How many requests had their first answer after so many whole seconds; None: not yet."""
        ...

    def outcomes(self, since: datetime | None, until: datetime | None) -> Sequence[Outcome]:
        """How they stand, by where they came from."""
        ...

    def quotes_sent(self, since: datetime | None, until: datetime | None) -> Mapping[str, int]:
        """Quotes that went out within that time, by their kind."""
        ...

    def jobs(self, since: datetime | None, until: datetime | None) -> Sequence[Jobs]:
        """The jobs that came of them, by price."""
        ...

    def outturns(self, since: datetime | None, until: datetime | None) -> Sequence[Outturn]:
        """Those of the jobs of which it was told how they went, by currency."""
        ...

    def hours(self, since: datetime | None, until: datetime | None) -> Mapping[str, float]:
        """Hours planned for those jobs, by task."""
        ...

    def days(self, since: datetime | None, until: datetime | None) -> Mapping[date, int]:
        """How many of those jobs fall on each day."""
        ...


@dataclass(frozen=True, kw_only=True, slots=True)
class AnswerTimes:
    """How soon requests had their first answer; `within` counts them by steps of time."""

    answered: int
    unanswered: int
    median: timedelta | None
    p90: timedelta | None
    within: Mapping[timedelta | None, int]
    soon: int

    @property
    def soon_share(self) -> float | None:
        """The part of them that was answered within five minutes."""
        return self.soon / self.answered if self.answered else None


@dataclass(frozen=True, kw_only=True, slots=True)
class SourceOf:
    """Where requests came from."""

    channel: str
    source: str | None
    asked: int
    won: int


@dataclass(frozen=True, kw_only=True, slots=True)
class Outcomes:
    """What became of the requests. `replaced` are not counted among the others."""

    asked: int
    won: int
    lost: int
    still_open: int
    replaced: int
    reasons: Mapping[str, int]
    sources: tuple[SourceOf, ...]

    @property
    def won_share(self) -> float | None:
        """Of those that are decided."""
        decided = self.won + self.lost
        return self.won / decided if decided else None


@dataclass(frozen=True, kw_only=True, slots=True)
class Earned:
    """Jobs in the shop's currency, before tax; `elsewhere` are jobs in another currency."""

    jobs: int
    total: Decimal
    cost: Decimal
    median: Decimal | None
    elsewhere: int = 0

    @property
    def average(self) -> Decimal | None:
        """The price of a job."""
        return (self.total / self.jobs).quantize(_CENT, ROUND_HALF_UP) if self.jobs else None

    @property
    def margin(self) -> Decimal:
        """What is left of the prices after what the jobs are planned to cost, before overhead."""
        return self.total - self.cost

    @property
    def margin_share(self) -> float | None:
        """The margin as a part of the prices."""
        return float(self.margin / self.total) if self.total else None


@dataclass(frozen=True, kw_only=True, slots=True)
class Kept:
    """What was left of the jobs of which it was told how they went, before overhead."""

    jobs: int = 0
    total: Decimal = Decimal(0)
    planned_cost: Decimal = Decimal(0)
    cost: Decimal = Decimal(0)

    @property
    def planned_margin(self) -> Decimal:
        """What was to be left of their prices before tax."""
        return self.total - self.planned_cost

    @property
    def margin(self) -> Decimal:
        """What is left of them."""
        return self.total - self.cost

    @property
    def planned_share(self) -> float | None:
        """What was to be left, as a part of the prices."""
        return float(self.planned_margin / self.total) if self.total else None

    @property
    def margin_share(self) -> float | None:
        """What is left, as a part of the prices."""
        return float(self.margin / self.total) if self.total else None


@dataclass(frozen=True, kw_only=True, slots=True)
class Busiest:
    """When jobs fall: by weekday, Monday first, and the days with most of them."""

    by_weekday: tuple[int, ...] = (0,) * 7
    days: tuple[tuple[date, int], ...] = field(default=())


class Figures:
    """All about the requests that were asked from `since` on and before `until`.

    Each is counted when it is first asked for, and then kept. Money is in `currency`.
    """

    def __init__(
        self,
        counting: Counting,
        *,
        since: datetime | None,
        until: datetime | None,
        currency: str,
    ) -> None:
        self._counting = counting
        self._ends = (since, until)
        self.currency = currency

    @cached_property
    def answers(self) -> AnswerTimes:
        """How soon they had their first answer."""
        return answer_times(self._counting.answers(*self._ends))

    @cached_property
    def quotes_sent(self) -> Mapping[str, int]:
        """Quotes that went out within that time, by their kind."""
        return self._counting.quotes_sent(*self._ends)

    @cached_property
    def outcomes(self) -> Outcomes:
        """What became of them."""
        return outcomes(self._counting.outcomes(*self._ends))

    @cached_property
    def earned(self) -> Earned:
        """The jobs that came of them."""
        return earned(self._counting.jobs(*self._ends), self.currency)

    @cached_property
    def kept(self) -> Kept:
        """What was left of those of them of which it was told how they went."""
        return kept(self._counting.outturns(*self._ends), self.currency)

    @cached_property
    def hours(self) -> Mapping[str, float]:
        """Hours planned for those jobs, by task."""
        return self._counting.hours(*self._ends)

    @cached_property
    def busiest(self) -> Busiest:
        """When those jobs fall."""
        return busiest(self._counting.days(*self._ends))


def ends_of(period: Period, book: PriceBook) -> tuple[datetime | None, datetime | None]:
    """The moments at which a period begins and is over, at the shop."""
    since, until = period.since, period.until
    return (
        None if since is None else midnight(since, book),
        None if until is None else midnight(until + timedelta(days=1), book),
    )


def periods(today: date) -> Mapping[str, Period]:
    """The periods that are offered, by name."""
    month = today.replace(day=1)
    return {
        "month": Period(since=month, until=today),
        "quarter": Period(since=_months_before(month, 2), until=today),
        "year": Period(since=_months_before(month, 11), until=today),
        "all": Period(),
    }


def _months_before(month: date, number: int) -> date:
    months = month.year * 12 + month.month - 1 - number
    return date(months // 12, months % 12 + 1, 1)


def answer_times(taken_s: Mapping[int | None, int]) -> AnswerTimes:
    """From how many requests took so many seconds; None for those without an answer yet."""
    counted = Counter[int]()
    for seconds, count in taken_s.items():
        if seconds is not None:
            # Clocks of two machines may disagree by a little.
            counted[max(0, seconds)] += count
    answered = counted.total()
    within: dict[timedelta | None, int] = {}
    told = 0
    for step in _ANSWER_STEPS_S:
        upto = _upto(counted, step)
        within[timedelta(seconds=step)] = upto - told
        told = upto
    within[None] = answered - told
    return AnswerTimes(
        answered=answered,
        unanswered=taken_s.get(None, 0),
        median=_quantile_s(counted, 0.5),
        p90=_quantile_s(counted, 0.9),
        within=within,
        soon=_upto(counted, int(SOON.total_seconds())),
    )


def _upto(counted: Mapping[int, int], most: int) -> int:
    return sum(count for seconds, count in counted.items() if seconds <= most)


def _quantile_s(counted: Mapping[int, int], share: float) -> timedelta | None:
    found = quantile(counted, share)
    return None if found is None else timedelta(seconds=found)


def quantile(counted: Mapping[_Value, int], share: float) -> _Value | None:
    """The smallest value that at least this share of all does not exceed; None of nothing."""
    total, seen = sum(counted.values()), 0
    for value in sorted(counted):
        seen += counted[value]
        if seen >= share * total:
            return value
    return None


def outcomes(found: Iterable[Outcome]) -> Outcomes:
    """Sums over everything that was counted."""
    states, reasons, replaced = Counter[LeadState](), Counter[str](), 0
    asked, won = Counter[tuple[str, str | None]](), Counter[tuple[str, str | None]]()
    for each in found:
        if each.merged:
            replaced += each.count
            continue
        states[each.state] += each.count
        asked[each.channel, each.source] += each.count
        if each.state in _WON:
            won[each.channel, each.source] += each.count
        if each.state in _LOST:
            reasons[each.lost_because or NO_REASON] += each.count
    sources = (
        SourceOf(channel=channel, source=source, asked=count, won=won[channel, source])
        for (channel, source), count in asked.most_common()
    )
    all_won, all_lost = (sum(states[state] for state in some) for some in (_WON, _LOST))
    return Outcomes(
        asked=states.total(),
        won=all_won,
        lost=all_lost,
        still_open=states.total() - all_won - all_lost,
        replaced=replaced,
        reasons=dict(reasons.most_common()),
        sources=tuple(sources),
    )


def earned(found: Iterable[Jobs], currency: str) -> Earned:
    """Sums over the jobs in that currency."""
    prices, cost, elsewhere = Counter[Decimal](), Decimal(0), 0
    for each in found:
        if each.currency != currency:
            elsewhere += each.count
            continue
        prices[each.before_tax] += each.count
        cost += each.cost
    return Earned(
        jobs=prices.total(),
        total=sum((price * count for price, count in prices.items()), Decimal(0)),
        cost=cost,
        median=quantile(prices, 0.5),
        elsewhere=elsewhere,
    )


def kept(found: Iterable[Outturn], currency: str) -> Kept:
    """Sums over the jobs in that currency."""
    for each in found:
        if each.currency == currency:
            return Kept(
                jobs=each.count,
                total=each.before_tax,
                planned_cost=each.planned_cost,
                cost=each.real_cost,
            )
    return Kept()


def busiest(found: Mapping[date, int]) -> Busiest:
    """Sums by weekday, and the days with most jobs; of equals the latest first."""
    by_weekday = [0] * 7
    for day, count in found.items():
        by_weekday[day.weekday()] += count
    most = sorted(found.items(), key=lambda each: (each[1], each[0]), reverse=True)
    return Busiest(by_weekday=tuple(by_weekday), days=tuple(most[:_MOST_DAYS]))


def before_tax(to_pay: Decimal, price: Price) -> Decimal:
    """A price without the sales tax that it has in it, if any."""
    if not price.tax_included:
        return to_pay
    due = price.tax_rate * price.taxable_share
    return (to_pay / (1 + due)).quantize(_CENT, ROUND_HALF_UP)


def direct_cost(estimate: Estimate) -> Decimal:
    """What a job is planned to cost, line by line and before overhead, to the cent.

    What usually goes wrong is not in it, as it is in the likely cost.
    """
    lines = (line.amount for line in estimate.cost_lines if line.code != "overhead")
    return sum(lines, Decimal(0)).quantize(_CENT, ROUND_HALF_UP)
