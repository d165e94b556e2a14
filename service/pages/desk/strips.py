"""A day as strips: each job a string of what is done for it, over the hours of the day."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from service.estimating import PriceBook
from service.leads import words
from service.leads.agenda import Block, Job, Part
from service.leads.closing import ClosedTime
from service.leads.owner_words import summary_of, who
from service.leads.shop_time import zone_of
from service.leads.words import ENGLISH

PARTS = {
    Part.MAKE: "make",
    Part.LEAVE: "leave",
    Part.SET_UP: "set up",
    Part.EVENT: "event",
    Part.STRIKE: "take down",
}

_FIRST_HOUR, _LAST_HOUR = 6, 22
_MINUTES = 60


@dataclass(frozen=True, kw_only=True, slots=True)
class Bead:
    """A part of a job on the day's string: where it begins and how long it is, in minutes."""

    part: str
    at: int
    length: int


@dataclass(frozen=True, kw_only=True, slots=True)
class Strip:
    """What is done for one job on one day, drawn and in words."""

    path: str
    who: str
    number: str
    what: str
    place: str
    booked: bool
    state: str
    beads: tuple[Bead, ...]
    said: tuple[tuple[str, str], ...]


@dataclass(frozen=True, kw_only=True, slots=True)
class Day:
    """A day: its strips, and why nothing is set up on it or in a part of it."""

    date: date
    weekday: str
    title: str
    today: bool
    closed: tuple[str, ...]
    strips: tuple[Strip, ...]


@dataclass(frozen=True, kw_only=True, slots=True)
class Axis:
    """The hours that are drawn, from and to; `now` in minutes from the first, if it is today's."""

    first: int
    last: int

    @property
    def length(self) -> int:
        """In minutes."""
        return (self.last - self.first) * _MINUTES

    @property
    def hours(self) -> list[tuple[int, str]]:
        """Every hour: where it begins, and how it is called."""
        return [
            ((hour - self.first) * _MINUTES, words.clock(time(hour)).replace(":00", ""))
            for hour in range(self.first, self.last)
        ]


def axis_of(jobs: Iterable[Job], days: Sequence[date], zone: ZoneInfo) -> Axis:
    """The hours of the day that these jobs need, and no fewer than usual."""
    first, last = _FIRST_HOUR, _LAST_HOUR
    for day in days:
        for job in jobs:
            for starts, ends, _ in _on(day, job.blocks, zone):
                first = min(first, starts // _MINUTES)
                last = max(last, -(-ends // _MINUTES))
    return Axis(first=first, last=last)


def day_of(
    day: date,
    jobs: Sequence[Job],
    closed: Sequence[ClosedTime],
    book: PriceBook,
    *,
    axis: Axis,
    today: date,
) -> Day:
    """One day with everything that falls on it."""
    zone = zone_of(book)
    found = [_strip(job, day, zone, axis) for job in jobs]
    strips = [strip for strip in found if strip.said]
    return Day(
        date=day,
        weekday=ENGLISH.weekday(day),
        title=f"{day:%B} {day.day}",
        today=day == today,
        closed=tuple(_closed(day, closed, book)),
        strips=tuple(sorted(strips, key=lambda strip: min(bead.at for bead in strip.beads))),
    )


def state_of(job: Job, zone: ZoneInfo) -> str:
    """ "booked", or until when it is held."""
    if job.booked:
        return "booked"
    until = job.hold.expires_at.astimezone(zone)
    return f"held until {ENGLISH.weekday(until)} {words.clock(until.time())}"


def place_of(job: Job) -> str:
    """Where it goes up, as far as it is known."""
    site = job.lead.brief.site
    return ", ".join(part for part in (site.place, site.postal_code) if part)


def path_of(job: Job) -> str:
    """The page of the job."""
    return f"/desk/bookings/{job.lead.id}"


def in_order(day: date, jobs: Iterable[Job], zone: ZoneInfo) -> list[tuple[str, str, Job]]:
    """What happens that day, one thing after the other."""
    found = [
        (block.starts_at, job, block) for job in jobs for _, _, block in _on(day, job.blocks, zone)
    ]
    return [
        (_times(block, day, zone), PARTS[block.part], job)
        for _, job, block in sorted(found, key=lambda each: (each[0], each[1].lead.number))
    ]


def _strip(job: Job, day: date, zone: ZoneInfo, axis: Axis) -> Strip:
    on = _on(day, job.blocks, zone)
    return Strip(
        path=path_of(job),
        who=who(job.lead),
        number=job.lead.number,
        what=summary_of(job.lead.brief),
        place=place_of(job),
        booked=job.booked,
        state=state_of(job, zone),
        beads=tuple(
            Bead(
                part=block.part.value,
                at=max(0, starts - axis.first * _MINUTES),
                length=max(1, ends - starts),
            )
            for starts, ends, block in on
        ),
        said=tuple((PARTS[block.part], _times(block, day, zone)) for _, _, block in on),
    )


def _on(day: date, blocks: Iterable[Block], zone: ZoneInfo) -> list[tuple[int, int, Block]]:
    """The blocks that touch the day, from and to which minute of its clock."""
    midnight = datetime.combine(day, time.min)
    found = []
    for block in blocks:
        starts, ends = (
            _minutes(moment.astimezone(zone).replace(tzinfo=None) - midnight)
            for moment in (block.starts_at, block.ends_at)
        )
        if starts < 24 * _MINUTES and (ends > 0 or starts == ends == 0):
            found.append((max(0, starts), min(24 * _MINUTES, ends), block))
    return found


def _minutes(span: timedelta) -> int:
    return round(span.total_seconds() / 60)


def _times(block: Block, day: date, zone: ZoneInfo) -> str:
    return f"{_hours(block, day, zone)}{assumed(block, zone)}"


def assumed(block: Block, zone: ZoneInfo) -> str:
    """ " (end not known: 7:00 PM assumed)" of a part that follows an end nobody has said."""
    over = block.assumed_over
    return f" (end not known: {words.clock(over, zone)} assumed)" if over else ""


def _hours(block: Block, day: date, zone: ZoneInfo) -> str:
    starts, ends = (each.astimezone(zone) for each in (block.starts_at, block.ends_at))
    begins = words.clock(starts.time()) if starts.date() == day else "from the day before"
    if block.part is Part.LEAVE or block.open_end:
        return begins
    if ends.date() == day:
        return f"{begins} to {words.clock(ends.time())}"
    return f"{begins}, into the night"


def _closed(day: date, closed: Iterable[ClosedTime], book: PriceBook) -> Iterator[str]:
    if day.weekday() not in book.calendar.opening:
        yield f"you don't set up on a {ENGLISH.weekday(day)}"
    for each in closed:
        if not each.first <= day <= each.last:
            continue
        note = f": {each.note}" if each.note else ""
        if each.since and each.until:
            yield f"closed {words.clock(each.since)} to {words.clock(each.until)}{note}"
        else:
            yield f"closed{note}"
