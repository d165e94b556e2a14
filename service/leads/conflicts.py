"""What in the calendar cannot be as it stands, said plainly."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from enum import StrEnum
from itertools import combinations
from zoneinfo import ZoneInfo

from service.estimating import PriceBook
from service.leads import stays, words
from service.leads.agenda import Job, Part, Span
from service.leads.closing import ClosedTime
from service.leads.shop_time import zone_of


class Clash(StrEnum):
    """What does not go together."""

    CREW = "crew"
    MAKING = "making"
    EQUIPMENT = "equipment"
    CLOSED = "closed"
    LATE = "late"


@dataclass(frozen=True, kw_only=True, slots=True)
class Conflict:
    """Something to look at: when it begins, which leads it is about, and what is wrong."""

    kind: Clash
    at: datetime
    lead_ids: tuple[str, ...]
    text: str


def among(jobs: Sequence[Job], book: PriceBook, closed: Iterable[ClosedTime]) -> list[Conflict]:
    """Every conflict of these jobs, by time."""
    zone = zone_of(book)
    shut = [(span, each) for each in closed for span in each.spans(zone)]
    found = [
        *_crews(jobs, book),
        *_unmade(jobs, zone),
        *_equipment(jobs, book),
        *_closed(jobs, shut, zone),
        *_late(jobs, zone),
    ]
    return sorted(found, key=lambda each: (each.at, each.kind, each.lead_ids))


def _crews(jobs: Sequence[Job], book: PriceBook) -> Iterator[Conflict]:
    zone = zone_of(book)
    for one, other in combinations(jobs, 2):
        # A crew that the shop has no longer counts as any other.
        highest = max(one.hold.crew, other.hold.crew)
        if one.hold.crew != other.hold.crew and highest < book.calendar.jobs_at_once:
            continue
        for first, second in _next_to_each_other(one, other):
            drive = stays.drive_between(
                first[0].hold.position,
                second[0].hold.position,
                home=(_drive_of(first[0]), _drive_of(second[0])),
                book=book,
            )
            until, since = first[1][1], second[1][0]
            if until + drive <= since:
                continue
            yield Conflict(
                kind=Clash.CREW,
                at=since,
                lead_ids=(first[0].lead.id, second[0].lead.id),
                text=_hurried(first, second, drive, zone),
            )


_Worked = tuple[Job, Span]


def _hurried(first: _Worked, second: _Worked, drive: timedelta, zone: ZoneInfo) -> str:
    one, other = first[0].lead.number, second[0].lead.number
    until, since = first[1][1], second[1][0]
    done, begins = words.clock(until, zone), words.clock(since, zone)
    if since < until:
        return f"{one} and {other} want the same crew at once: from {begins} to {done}."
    return (
        f"{one} is done at {done}, the drive to {other} takes {spent(drive)}, and that begins at"
        f" {begins}."
    )


def spent(span: timedelta) -> str:
    """ "1 h 45 min", "25 min"."""
    hours, minutes = divmod(round(span.total_seconds() / 60), 60)
    return f"{hours} h {minutes:02d} min" if hours else f"{minutes} min"


def _next_to_each_other(one: Job, other: Job) -> Iterator[tuple[_Worked, _Worked]]:
    """The crew's work of two jobs in pairs, the earlier first, where they are near."""
    for mine in _worked(one):
        for theirs in _worked(other):
            first, second = sorted(((one, mine), (other, theirs)), key=lambda each: each[1])
            yield first, second


def _worked(job: Job) -> list[Span]:
    return [
        (block.starts_at, block.ends_at)
        for block in job.blocks
        if block.part in (Part.SET_UP, Part.STRIKE)
    ]


def _drive_of(job: Job) -> timedelta:
    strike = job.hold.stay.returns_at - job.hold.stay.struck_at
    return strike or job.hold.window.starts_at - job.hold.stay.leaves_at


def _unmade(jobs: Sequence[Job], zone: ZoneInfo) -> Iterator[Conflict]:
    for job in jobs:
        if job.unmade:
            since = words.moment(job.keeps_from.astimezone(zone))
            yield Conflict(
                kind=Clash.MAKING,
                at=job.hold.stay.leaves_at,
                lead_ids=(job.lead.id,),
                text=f"{job.lead.number}: {spent(job.unmade)} of making do not fit in "
                f"your hours before you leave. Balloons made before {since} will not last.",
            )


def _equipment(jobs: Sequence[Job], book: PriceBook) -> Iterator[Conflict]:
    have = stays.owned(book)
    labels = sorted({label for job in jobs for label in job.kit})
    for label in labels:
        wanting = [job for job in jobs if label in job.kit]
        for job in wanting:
            # Looked at whenever another one leaves: there the most is out.
            leaves = job.hold.stay.leaves_at
            out = [
                each
                for each in wanting
                if each.hold.stay.leaves_at <= leaves < each.hold.stay.returns_at
            ]
            count = sum(each.kit[label] for each in out)
            if count > have.get(label, 0):
                numbers = words.listed(each.lead.number for each in out)
                yield Conflict(
                    kind=Clash.EQUIPMENT,
                    at=leaves,
                    lead_ids=tuple(each.lead.id for each in out),
                    text=f"{numbers}: {count} × {label} promised at once, and you have "
                    f"{have.get(label, 0)}.",
                )


def _closed(
    jobs: Sequence[Job], shut: Sequence[tuple[Span, ClosedTime]], zone: ZoneInfo
) -> Iterator[Conflict]:
    for job in jobs:
        met = next(
            (
                (since, each)
                for since, until in _worked(job)
                for (begins, ends), each in shut
                if since < ends and begins < until
            ),
            None,
        )
        if met is None:
            continue
        since, closed = met
        note = f" ({closed.note})" if closed.note else ""
        yield Conflict(
            kind=Clash.CLOSED,
            at=since,
            lead_ids=(job.lead.id,),
            text=f"{job.lead.number} on {words.moment(since.astimezone(zone))} falls into closed"
            f" time{note}.",
        )


def _late(jobs: Sequence[Job], zone: ZoneInfo) -> Iterator[Conflict]:
    for job in jobs:
        event = job.lead.brief.event
        if event.date is None or event.start_time is None:
            continue
        begins = datetime.combine(event.date, event.start_time, zone)
        ready = job.hold.window.ends_at
        if ready > begins:
            yield Conflict(
                kind=Clash.LATE,
                at=job.hold.window.starts_at,
                lead_ids=(job.lead.id,),
                text=f"{job.lead.number} is ready at {words.clock(ready, zone)}, after its event "
                f"begins: {words.moment(begins)}.",
            )
