"""Which jobs are bought for, what each of them needs, and what is there already."""

import math
from collections import Counter
from collections.abc import Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta

from service.estimating import PriceBook, SpareLine, StockLine
from service.estimating.book import Key
from service.leads import agenda, stocking
from service.leads.agenda import Part
from service.leads.lead import Hold, HoldState, Lead, LeadState, NotFound, Quote
from service.leads.ports import Ports, UnitOfWork
from service.leads.price_books import book_of
from service.leads.purchases import Purchase, Settled, newest_shares
from service.leads.shop_time import EVER, midnight, today_at, zone_of
from service.workshop.papers import built_by
from service.workshop.shopping_list.besides import extras
from service.workshop.shopping_list.values import Job, Question

USUAL_DAYS = 30
"""So far ahead is bought for where nobody says how far."""

_OVER = frozenset({LeadState.DONE, LeadState.DECLINED})


@dataclass(frozen=True, kw_only=True, slots=True)
class Scope:
    """One job; or every booked one that is set up by the day `until`, or `only` these of all."""

    lead_id: str | None = None
    until: date | None = None
    only: tuple[str, ...] | None = None


@dataclass(frozen=True, kw_only=True, slots=True)
class Asked:
    """The jobs of a scope as they are kept, the nearest first."""

    leads: tuple[Lead, ...]
    holds: Mapping[str, Hold]
    quotes: Mapping[str, Quote]


def until_of(scope: Scope, today: date) -> date:
    """Up to which day's set-ups a list goes that is not of one job."""
    usual = EVER if scope.only else timedelta(days=USUAL_DAYS)
    return scope.until or today + usual


def question(work: UnitOfWork, ports: Ports, scope: Scope, *, now: datetime) -> Question:
    """What to buy for, with the dates of its making; NotFound for a job that has no price yet.

    A job that is over or was called off needs nothing any more: NotFound as well.
    """
    book = ports.price_books.current()
    asked = _asked(work, ports, scope, now)
    dates = _dates(work, book, asked, now)
    found = _question(work, ports, asked, dates, now)
    return replace(found, times=work.purchases.times())


def needs(work: UnitOfWork, ports: Ports, scope: Scope, *, now: datetime) -> Question:
    """The same without any dates: enough to share out what was bought."""
    return _question(work, ports, _asked(work, ports, scope, now), {}, now)


def with_shelf(work: UnitOfWork, book: PriceBook, asked: Question) -> Question:
    """The question with what is on the shelf now, and what each of its jobs has."""
    has, free = _really_there(work, book)
    jobs = (replace(job, has=has.get(job.lead_id, {})) for job in asked.jobs)
    return replace(asked, jobs=tuple(jobs), free=free)


def lead_ids(work: UnitOfWork, ports: Ports, scope: Scope, *, now: datetime) -> tuple[str, ...]:
    """The leads of the jobs of a scope, the nearest set-up first."""
    if scope.lead_id is not None:
        return (scope.lead_id,)
    if scope.only is not None:
        return scope.only
    return tuple(hold.lead_id for hold in _booked(work, ports, scope, now))


@dataclass(frozen=True, kw_only=True, slots=True)
class _Dates:
    making_on: date | None = None
    leaves_on: date | None = None


def _asked(work: UnitOfWork, ports: Ports, scope: Scope, now: datetime) -> Asked:
    if scope.lead_id is not None:
        return _one(work, scope.lead_id)
    holds = {hold.lead_id: hold for hold in _booked(work, ports, scope, now)}
    leads = tuple(work.leads.get(lead_id) for lead_id in holds)
    quotes = {
        lead_id: quote
        for lead_id in holds
        if (quote := work.quotes.latest(lead_id, sent=True)) is not None
    }
    return Asked(leads=leads, holds=holds, quotes=quotes)


def _booked(work: UnitOfWork, ports: Ports, scope: Scope, now: datetime) -> list[Hold]:
    """Bookings from today on; one of today may still be made."""
    book = ports.price_books.current()
    today = today_at(now, book)
    since = midnight(today, book)
    end = midnight(until_of(scope, today) + timedelta(days=1), book)
    found = (h for h in work.holds.starting(since, end) if h.state is HoldState.BOOKED)
    return [h for h in found if scope.only is None or h.lead_id in scope.only]


def _one(work: UnitOfWork, lead_id: str) -> Asked:
    lead = work.leads.get(lead_id)
    quote = built_by(work, lead)
    if lead.state in _OVER:
        raise NotFound("This job is over, or was called off: nothing is to be bought for it.")
    hold = work.holds.of_lead(lead_id)
    holds = {lead_id: hold} if hold else {}
    return Asked(leads=(lead,), holds=holds, quotes={lead_id: quote})


def _dates(work: UnitOfWork, book: PriceBook, asked: Asked, now: datetime) -> Mapping[str, _Dates]:
    found = {lead_id: _without_a_date(quote) for lead_id, quote in asked.quotes.items()}
    if not asked.holds:
        return found
    zone = zone_of(book)
    since = min(hold.stay.leaves_at for hold in asked.holds.values())
    until = max(hold.stay.returns_at for hold in asked.holds.values()) + timedelta(days=1)
    for job in agenda.jobs(work, book, since, until, now):
        made = job.first(Part.MAKE)
        first = made.starts_at if made else job.keeps_from
        found[job.lead.id] = _Dates(
            making_on=first.astimezone(zone).date(),
            leaves_on=job.hold.stay.leaves_at.astimezone(zone).date(),
        )
    return found


def _without_a_date(quote: Quote) -> _Dates:
    """For a request that holds no date: as early as its balloons keep."""
    day = quote.brief.event.date
    if day is None:
        return _Dates()
    ahead = timedelta(days=math.ceil(quote.estimate.plan.ahead_h / 24))
    return _Dates(making_on=day - ahead, leaves_on=day)


def _question(
    work: UnitOfWork, ports: Ports, asked: Asked, dates: Mapping[str, _Dates], now: datetime
) -> Question:
    book = ports.price_books.current()
    bought = work.purchases.of_leads([lead.id for lead in asked.leads])
    shares = newest_shares(bought)
    jobs = []
    for lead in asked.leads:
        if lead.id not in asked.quotes:
            continue
        job = _job(ports, lead, asked.quotes[lead.id], bought, dates.get(lead.id, _Dates()))
        takes = tuple(_settled(lead.id, line, shares) for line in job.takes)
        jobs.append(replace(job, takes=takes))
    today = today_at(now, book)
    visited = (p.supplier for p in bought if p.contents and today_at(p.bought_at, book) == today)
    found = Question(jobs=tuple(jobs), free={}, today=today, visited=frozenset(visited))
    return with_shelf(work, book, found)


def _really_there(
    work: UnitOfWork, book: PriceBook
) -> tuple[Mapping[str, Mapping[Key, int]], Mapping[Key, int]]:
    """What each booked job has, and what is free.

    Where more was promised than there is, the nearest events have theirs and the later ones lack.
    """
    left = Counter({(e.size_class, e.colour): e.on_shelf for e in stocking.on_hand(work, book)})
    has: dict[str, Counter[Key]] = {}
    for each in work.stock.reserved():
        key = _todays(book, each.size_class, each.colour)
        number = min(each.count, left[key])
        left[key] -= number
        has.setdefault(each.lead_id, Counter())[key] += number
    return {lead_id: +counts for lead_id, counts in has.items()}, +left


def _todays(book: PriceBook, size_class: int, colour: str) -> Key:
    known = book.colour(colour)
    return size_class, known.name if known else colour


def _job(ports: Ports, lead: Lead, quote: Quote, bought: Sequence[Purchase], dates: _Dates) -> Job:
    book = ports.price_books.current()
    lines: dict[Key, SpareLine] = {}
    unknown = []
    afloat = [line for line in quote.estimate.helium.latex if _has_bags(book, line)]
    for line in (*quote.estimate.spares, *afloat):
        if book.size(line.size_class) is None:
            unknown.append(
                StockLine(size_class=line.size_class, colour=line.colour, count=line.taken)
            )
            continue
        key = _todays(book, line.size_class, line.colour)
        lines[key] = _together(lines[key], line) if key in lines else replace(line, colour=key[1])
    return Job(
        lead_id=lead.id,
        number=lead.number,
        booked=lead.state is LeadState.BOOKED,
        takes=tuple(lines.values()),
        alone={key: line.taken for key, line in lines.items()},
        has={},
        extras=extras(
            quote.brief,
            quote.estimate,
            book_of(ports.price_books, quote),
            _got(lead.id, bought),
            in_bags={(line.size_class, line.colour) for line in afloat},
            making_on=dates.making_on,
            leaves_on=dates.leaves_on,
        ),
        unknown=tuple(unknown),
        making_on=dates.making_on,
        leaves_on=dates.leaves_on,
    )


def _has_bags(book: PriceBook, line: SpareLine) -> bool:
    """Whether the shop buys what floats with everything else of that size and colour."""
    if book.size(line.size_class) is None:
        return False
    with suppress(KeyError):
        return bool(book.offer(line.size_class, line.colour).bags)
    return False


def _together(one: SpareLine, other: SpareLine) -> SpareLine:
    """Two colours that have become one."""
    return replace(
        one,
        placed=one.placed + other.placed,
        taken=one.taken + other.taken,
        breakage=max(one.breakage, other.breakage),
    )


def _settled(
    lead_id: str, line: SpareLine, shares: Mapping[tuple[str, int, str], Settled]
) -> SpareLine:
    known = shares.get((lead_id, line.size_class, line.colour))
    if known is None or known.alone != line.taken:
        return line
    return replace(line, taken=max(line.placed, known.share))


def _got(lead_id: str, bought: Sequence[Purchase]) -> Mapping[str, int]:
    """What is there for a job that is no balloon, by its name."""
    got: Counter[str] = Counter()
    for purchase in bought:
        if not purchase.contents:
            got[purchase.item] += sum(j.count for j in purchase.jobs if j.lead_id == lead_id)
    return got
