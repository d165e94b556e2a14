"""The run sheet of a day: all that its crews do, in one timeline."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from operator import attrgetter
from zoneinfo import ZoneInfo

from service.estimating import PriceBook
from service.leads import agenda, conflicts, words
from service.leads.agenda import Job
from service.leads.conflicts import Clash
from service.leads.lead import NotFound, Quote
from service.leads.people import PersonRole
from service.leads.ports import Ports, UnitOfWork
from service.leads.shop_time import midnight, today_at, zone_of
from service.workshop.run_sheet.at_place import Worked, guests
from service.workshop.run_sheet.bench import at_the_bench
from service.workshop.run_sheet.on_the_road import steps_of_trip, too_much
from service.workshop.run_sheet.stops import known, stop
from service.workshop.run_sheet.trips import Stint, Trip, trips
from service.workshop.run_sheet.values import DayCaution, RunSheet, Step, Stop
from service.workshop.set_ups import ahead_of

_DAY = timedelta(days=1)


@dataclass(frozen=True, kw_only=True, slots=True)
class _Day:
    """Everything that the sheet is made from."""

    day: date
    since: datetime
    until: datetime
    book: PriceBook
    zone: ZoneInfo
    jobs: Sequence[Job]
    quotes: Mapping[str, Quote]
    trips: Sequence[Trip]

    def touches(self, starts: datetime, ends: datetime) -> bool:
        """Whether something of it falls on the day."""
        return starts < self.until and self.since < max(ends, starts + timedelta(microseconds=1))

    def worked(self, stint: Stint) -> Worked:
        """A stint with what was agreed."""
        quote = self.quotes[stint.job.lead.id]
        return Worked(stint=stint, quote=quote, book=self.book, zone=self.zone)

    def bench(self, job: Job) -> list[Step]:
        """What is made for a job, whenever."""
        return at_the_bench(job, self.quotes[job.lead.id].estimate, self.zone)


def run_sheet(
    work: UnitOfWork, ports: Ports, day: date, *, now: datetime, reader: PersonRole
) -> RunSheet:
    """Every job on which somebody works that day, for the reader.

    A trip that goes into the night, or began the day before, is told as a whole. Helpers see the
    days that are still to come, as far as they plan ahead: NotFound for any other.
    """
    book = ports.price_books.current()
    today = today_at(now, book)
    owner = reader is PersonRole.OWNER
    if not owner and not today <= day <= today + ahead_of(reader):
        raise NotFound("There is no such day among those that are coming.")
    found = _found(work, book, day, now)
    stops = tuple(_stops(work, ports, found, owner=owner, today=today))
    return RunSheet(
        day=day,
        wrong=tuple(_wrong(work, found, owner=owner)),
        steps=_by_the_clock(found),
        stops=stops,
        cautions=tuple(_cautions(stops, found)),
    )


def _found(work: UnitOfWork, book: PriceBook, day: date, now: datetime) -> _Day:
    since, until = midnight(day, book), midnight(day + _DAY, book)
    # What a crew does the evening before and the morning after says how it comes and goes.
    jobs = agenda.jobs(work, book, since - _DAY, until + _DAY, now)
    quotes = {job.lead.id: _agreed(work, job) for job in jobs}
    bare = _Day(
        day=day,
        since=since,
        until=until,
        book=book,
        zone=zone_of(book),
        jobs=jobs,
        quotes=quotes,
        trips=(),
    )
    that_day = [trip for trip in trips(jobs) if bare.touches(trip.starts_at, trip.ends_at)]
    return replace(bare, trips=tuple(that_day))


def _agreed(work: UnitOfWork, job: Job) -> Quote:
    # It may have been priced afresh since the date was held.
    return work.quotes.latest(job.lead.id, sent=True) or work.quotes.get(job.hold.quote_id)


def _by_the_clock(found: _Day) -> tuple[Step, ...]:
    crews = {trip.crew for trip in found.trips}
    steps = [
        replace(step, crew=trip.crew + 1) if len(crews) > 1 else step
        for trip in found.trips
        for step in steps_of_trip(trip, found.worked, found.book)
    ]
    out = {stint.job.hold.id: stint for trip in found.trips for stint in trip.stints}
    further = [
        *_guests(found, out.values()),
        *(step for job in found.jobs for step in _made(found, job, later=job.hold.id not in out)),
    ]
    steps += [step for step in further if found.touches(step.starts_at, step.ends_at)]
    return tuple(sorted((_local(step, found.zone) for step in steps), key=attrgetter("starts_at")))


def _local(step: Step, zone: ZoneInfo) -> Step:
    starts, ends = (at.astimezone(zone) for at in (step.starts_at, step.ends_at))
    return replace(step, starts_at=starts, ends_at=ends)


def _guests(found: _Day, stints: Iterable[Stint]) -> Iterator[Step]:
    """When the guests come: what is celebrated into the next day is told on its own day."""
    steps = (step for stint in stints for step in guests(found.worked(stint)))
    return (step for step in steps if step.starts_at >= found.since)


def _made(found: _Day, job: Job, *, later: bool) -> Iterator[Step]:
    """What is made for a job; for one that is set up on a later day that is said."""
    starts = job.hold.window.starts_at.astimezone(found.zone)
    notes = (f"for {words.day(starts.date())}",) if later else ()
    for step in found.bench(job):
        yield replace(step, notes=(*notes, *step.notes))


def _stops(
    work: UnitOfWork, ports: Ports, found: _Day, *, owner: bool, today: date
) -> Iterator[Stop]:
    does: dict[str, list[Stint]] = {}
    for trip in found.trips:
        for stint in trip.stints:
            does.setdefault(stint.job.hold.id, []).append(stint)
    for stints in does.values():
        job = stints[0].job
        of = known(work, job, found.quotes[job.lead.id], owner=owner, today=today, zone=found.zone)
        told = ["set up" if stint.sets_up else "take down" for stint in stints]
        yield stop(work, ports, of, told, found.bench(job))


def _wrong(work: UnitOfWork, found: _Day, *, owner: bool) -> Iterator[str]:
    that_day = [
        job
        for job in found.jobs
        if any(found.touches(block.starts_at, block.ends_at) for block in job.blocks)
    ]
    closed = work.closed.between(found.day - _DAY, found.day + _DAY)
    for each in conflicts.among(that_day, found.book, closed):
        # What began the day before stands on that day's sheet; why the shop is closed is the
        # owner's own business.
        told = owner or each.kind is not Clash.CLOSED
        if told and found.since <= each.at < found.until:
            yield each.text
    yield from filter(None, (too_much(trip, found.worked) for trip in found.trips))


def _cautions(stops: Iterable[Stop], found: _Day) -> Iterator[DayCaution]:
    """What to mind, each once, with the jobs that it is about."""
    about: dict[str, list[str]] = {}
    for each in stops:
        for caution in found.quotes[each.lead_id].estimate.cautions:
            about.setdefault(caution.text, []).append(each.number)
    for text, numbers in about.items():
        yield DayCaution(text=text, numbers=tuple(numbers))
