"""When each job is made, driven to, set up, celebrated and taken down."""

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from enum import StrEnum

from service.estimating import Estimate, PriceBook
from service.leads import stays
from service.leads.closing import ClosedTime
from service.leads.lead import Hold, HoldState, Lead
from service.leads.ports import UnitOfWork
from service.leads.shop_time import zone_of

AROUND = timedelta(days=14)
"""So far away other jobs are looked at: what is made for them takes time at the same bench."""

_NONE, _INSTANT = timedelta(0), timedelta(microseconds=1)

Span = tuple[datetime, datetime]


class Part(StrEnum):
    """A part of a job, as the day goes."""

    MAKE = "make"
    LEAVE = "leave"
    SET_UP = "setup"
    EVENT = "event"
    STRIKE = "strike"


@dataclass(frozen=True, kw_only=True, slots=True)
class Block:
    """A stretch of time that a part of a job takes; its end may be no more than taken for one.

    `assumed_over` is when the guests are taken to have gone, where taking down follows that.
    """

    part: Part
    starts_at: datetime
    ends_at: datetime
    open_end: bool = False
    assumed_over: datetime | None = None


@dataclass(frozen=True, kw_only=True, slots=True)
class Job:
    """A held or booked job in the calendar.

    `keeps_from` is when the first balloon may be made so that it lasts; `unmade` is the time at
    the bench for which there is no room between then and leaving. `kit` counts the shop's own
    equipment by label.
    """

    lead: Lead
    hold: Hold
    blocks: tuple[Block, ...]
    keeps_from: datetime
    unmade: timedelta
    kit: Mapping[str, int]

    @property
    def booked(self) -> bool:
        """Whether the deposit is recorded."""
        return self.hold.state is HoldState.BOOKED

    def first(self, part: Part) -> Block | None:
        """The first block of a part."""
        return next((block for block in self.blocks if block.part is part), None)


@dataclass(frozen=True, kw_only=True, slots=True)
class Bench:
    """What a job wants made: so much time, no sooner than it keeps, before the car is loaded."""

    takes: timedelta
    keeps_from: datetime
    until: datetime


def jobs(
    work: UnitOfWork, book: PriceBook, since: datetime, until: datetime, now: datetime
) -> list[Job]:
    """Jobs of which anything falls between the two, by when their set-up begins."""
    near, far = since - AROUND, until + AROUND
    holds = [hold for hold in work.holds.between(near, far) if not _ran_out(hold, now)]
    closed = work.closed.between(near.date() - timedelta(1), far.date() + timedelta(1))
    planned = plan(_jobs(work, book, holds), book, closed)
    return [
        job
        for job in planned
        if any(block.starts_at < until and since < block.ends_at for block in job.blocks)
    ]


def called_off(work: UnitOfWork, book: PriceBook, since: datetime) -> list[Job]:
    """Jobs whose date was given back since then, as they were to be."""
    released = (h for h in work.holds.changed(since) if h.state is HoldState.RELEASED)
    found = _jobs(work, book, released)
    return [_with_making(job, [(bench.until - bench.takes, bench.until)]) for job, bench in found]


def of_lead(work: UnitOfWork, book: PriceBook, lead: Lead, now: datetime) -> Job | None:
    """The job of one lead, planned among the others; None where nothing is held."""
    hold = work.holds.of_lead(lead.id)
    if hold is None:
        return None
    stay = hold.stay
    near = jobs(work, book, stay.leaves_at - timedelta(1), stay.returns_at + timedelta(1), now)
    return next((job for job in near if job.lead.id == lead.id), None)


def last_of_lead(work: UnitOfWork, book: PriceBook, lead: Lead, now: datetime) -> Job | None:
    """The job of one lead as it is, or as it was to be where its date was given back."""
    planned = of_lead(work, book, lead, now)
    newest = work.holds.newest_of_lead(lead.id)
    if planned is not None or newest is None:
        return planned
    return next((job for job, _ in _jobs(work, book, [newest])), None)


def plan(
    wanted: Sequence[tuple[Job, Bench]], book: PriceBook, closed: Iterable[ClosedTime]
) -> list[Job]:
    """The jobs with what is made for them put at the bench, each crew its own, as late as it can.

    Who may begin latest chooses first: nothing fits then that another order would make fit.
    """
    zone = zone_of(book)
    shut = [span for each in closed for span in each.spans(zone)]
    taken: dict[int, list[Span]] = {}
    for job, bench in wanted:
        taken.setdefault(job.hold.crew, []).extend([*_loading(job, bench), *away(job.hold)])
    done: dict[str, Job] = {}
    for job, bench in sorted(wanted, key=lambda each: each[1].keeps_from, reverse=True):
        busy = taken[job.hold.crew]
        open_hours = _opening(bench.keeps_from, bench.until, book)
        made = _latest(bench.takes, _without(open_hours, [*shut, *busy]))
        busy.extend(made)
        spent = sum((ends - starts for starts, ends in made), _NONE)
        done[job.hold.id] = replace(_with_making(job, made), unmade=bench.takes - spent)
    return [done[job.hold.id] for job, _ in wanted]


def _loading(job: Job, bench: Bench) -> list[Span]:
    """When the crew loads the car: what it takes between the bench and leaving."""
    loading = bench.until, job.hold.stay.leaves_at
    return [loading] if loading[0] < loading[1] else []


def away(hold: Hold) -> list[Span]:
    """When the crew is not at the bench: out to set up, and out to take down."""
    stay = hold.stay
    drive = stay.returns_at - stay.struck_at
    spans = [(stay.leaves_at, stay.free_at + drive)]
    if stay.struck_at > stay.strikes_at:
        spans.append((stay.strikes_at - drive, stay.returns_at))
    return spans


def _jobs(work: UnitOfWork, book: PriceBook, holds: Iterable[Hold]) -> list[tuple[Job, Bench]]:
    """Their jobs, without those of clients who were erased: nothing is known of them any more."""
    known = ((hold, work.leads.get(hold.lead_id)) for hold in holds)
    return [_job(work, book, hold, lead) for hold, lead in known if lead.erased_at is None]


def _job(work: UnitOfWork, book: PriceBook, hold: Hold, lead: Lead) -> tuple[Job, Bench]:
    estimate = work.quotes.get(hold.quote_id).estimate
    event = event_of(lead, hold, book)
    bench = _bench(estimate, hold, event[0])
    job = Job(
        lead=lead,
        hold=hold,
        blocks=_blocks(lead, hold, event),
        keeps_from=bench.keeps_from,
        unmade=_NONE,
        kit=stays.kit_of(estimate, book),
    )
    return job, bench


def event_of(lead: Lead, hold: Hold, book: PriceBook) -> Span:
    """From when to when the guests are there, as far as it is known."""
    zone = zone_of(book)
    event = lead.brief.event
    ready_at = hold.window.ends_at
    day = event.date or hold.window.starts_at.astimezone(zone).date()
    if event.start_time is None:
        starts = ready_at + book.labour.ready_before
    else:
        starts = datetime.combine(day, event.start_time, zone)
    ends = stays.over_at(event, day, ready_at, book)
    return starts, max(starts, ends)


def _bench(estimate: Estimate, hold: Hold, event_starts: datetime) -> Bench:
    """In whole quarters of an hour: nobody makes balloons to the minute."""
    made = estimate.plan
    loading = timedelta(hours=estimate.hours.get("load", 0.0) / made.crew / 2)
    until = hold.stay.leaves_at - loading
    keeps_from = min(event_starts - timedelta(hours=made.ahead_h), until)
    quarters = math.ceil(timedelta(hours=made.bench_h) / stays.SLOT)
    return Bench(takes=quarters * stays.SLOT, keeps_from=keeps_from, until=until)


def _celebrated(lead: Lead, event: Span) -> tuple[Block, ...]:
    """The event itself, where it is known when it begins."""
    if lead.brief.event.start_time is None:
        return ()
    open_end = lead.brief.event.end_time is None
    return (Block(part=Part.EVENT, starts_at=event[0], ends_at=event[1], open_end=open_end),)


def _blocks(lead: Lead, hold: Hold, event: Span) -> tuple[Block, ...]:
    stay, window = hold.stay, hold.window
    strike = Block(
        part=Part.STRIKE,
        starts_at=stay.strikes_at,
        ends_at=stay.struck_at,
        assumed_over=event[1] if lead.brief.event.end_time is None else None,
    )
    return (
        Block(part=Part.LEAVE, starts_at=stay.leaves_at, ends_at=window.starts_at),
        Block(part=Part.SET_UP, starts_at=window.starts_at, ends_at=window.ends_at),
        *_celebrated(lead, event),
        *((strike,) if strike.starts_at < strike.ends_at else ()),
    )


def _with_making(job: Job, made: Iterable[Span]) -> Job:
    blocks = tuple(
        Block(part=Part.MAKE, starts_at=starts, ends_at=ends) for starts, ends in sorted(made)
    )
    return replace(job, blocks=(*blocks, *job.blocks))


def _ran_out(hold: Hold, now: datetime) -> bool:
    return hold.state is HoldState.ACTIVE and hold.expires_at <= now


def _opening(since: datetime, until: datetime, book: PriceBook) -> list[Span]:
    """The shop's hours between the two."""
    zone = zone_of(book)
    spans = []
    for day in stays.days(since, until, zone):
        hours = book.calendar.opening.get(day.weekday())
        if hours is not None:
            opens = max(since, datetime.combine(day, hours.opens, zone))
            closes = min(until, datetime.combine(day, hours.closes, zone))
            spans.append((opens, closes))
    return [span for span in spans if span[0] < span[1]]


def _without(spans: Iterable[Span], busy: Iterable[Span]) -> list[Span]:
    """What is left of the spans, which are in order, in whole quarters of an hour."""
    left = list(spans)
    if not left:
        return []
    first, last = left[0][0], left[-1][1]
    for since, until in busy:
        if until <= first or last <= since:
            continue
        left = [
            part
            for starts, ends in left
            for part in ((starts, min(ends, since)), (max(starts, until), ends))
            if part[0] < part[1]
        ]
    whole = ((_quarter(starts + stays.SLOT - _INSTANT), _quarter(ends)) for starts, ends in left)
    return sorted(span for span in whole if span[0] < span[1])


def _quarter(moment: datetime) -> datetime:
    """The quarter of an hour that is under way."""
    return moment - timedelta(seconds=moment.timestamp() % stays.SLOT.total_seconds())


def _latest(takes: timedelta, free: Sequence[Span]) -> list[Span]:
    """The latest of the free time that is as long as wanted, or all of it."""
    found: list[Span] = []
    for starts, ends in reversed(free):
        if takes <= _NONE:
            break
        begins = max(starts, ends - takes)
        found.append((begins, ends))
        takes -= ends - begins
    return found
