"""Set-up windows that the hours of a day leave, whoever else is there."""

import datetime as dt
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from service.estimating import Calendar, PriceBook, Site
from service.leads.closing import ClosedTime
from service.leads.lead import Window
from service.leads.shop_time import zone_of
from service.leads.stays import SLOT, Job

_STEP = timedelta(minutes=30)

# A shop that is closed for longer comes for its things on some other day.
_STRIKE_WITHIN_DAYS = 8

_NONE = timedelta(0)

Span = tuple[datetime, datetime]


@dataclass(frozen=True, kw_only=True, slots=True)
class Openings:
    """When the crew may work at a site: hours without closed times, as the venue lets it in."""

    calendar: Calendar
    zone: ZoneInfo
    closed: Sequence[ClosedTime] = ()
    access_from: time | None = None
    access_until: time | None = None

    def on(self, day: date) -> list[Span]:
        """What is open on a day, in order; empty on a closed one."""
        hours = self.calendar.opening.get(day.weekday())
        if hours is None:
            return []
        opens = max(filter(None, (hours.opens, self.access_from)))
        closes = min(filter(None, (hours.closes, self.access_until)))
        spans = [(self._at(day, opens), self._at(day, closes))] if opens < closes else []
        for closed in self.closed:
            if closed.first <= day <= closed.last:
                spans = [left for span in spans for left in _without(span, closed, self.zone)]
        return spans

    def _at(self, day: date, at: time) -> datetime:
        # In UTC: local times around a change of clocks cannot be added to.
        return datetime.combine(day, at, self.zone).astimezone(dt.UTC)


def openings(book: PriceBook, site: Site, closed: Sequence[ClosedTime]) -> Openings:
    """The shop's hours at that site."""
    return Openings(
        calendar=book.calendar,
        zone=zone_of(book),
        closed=closed,
        access_from=site.access_from,
        access_until=site.access_until,
    )


def candidates(
    day: date, job: Job, hours: Openings, *, ready_before: timedelta, earliest: datetime
) -> list[Window]:
    """Windows from `earliest` on, within the day's hours, that end before the guests come."""
    ready_by = _ready_by(day, job, hours.zone, ready_before)
    found: list[Window] = []
    for opens, closes in hours.on(day):
        ends = closes if ready_by is None else min(closes, ready_by)
        found += [
            _window(start, job.on_site, hours.zone)
            for start in _steps(opens, ends - job.on_site, _STEP)
            if start >= earliest
        ]
    return found


def agreed_window(
    starts_at: datetime, day: date, job: Job, hours: Openings, *, ready_before: timedelta
) -> Window | None:
    """The window from a start that is agreed already; None where the day is too short for it."""
    window = _window(starts_at, job.on_site, hours.zone)
    ready_by = _ready_by(day, job, hours.zone, ready_before) or window.ends_at
    inside = (opens <= starts_at and window.ends_at <= closes for opens, closes in hours.on(day))
    return window if window.ends_at <= ready_by and any(inside) else None


def strikes(job: Job, hours: Openings, over_at: datetime) -> Iterator[datetime]:
    """When taking down may begin, once the guests have gone: that day, or a later one's hours."""
    first = over_at.astimezone(hours.zone).date()
    for days in range(_STRIKE_WITHIN_DAYS):
        for opens, closes in hours.on(first + timedelta(days)):
            start = _on_the_quarter(max(opens, over_at))
            yield from _steps(start, closes - job.strike, SLOT)


def can_be_made(
    job: Job, hours: Openings, window: Window, event_at: datetime, now: datetime
) -> bool:
    """Whether the hours before loading the car have room for the work at the bench.

    Nothing is made before `now`, and nothing so early that it does not keep.
    """
    since = max(event_at - job.keeps, now)
    until = window.starts_at - job.slack - job.drive - job.loading
    first, day = (at.astimezone(hours.zone).date() for at in (since, until))
    left = job.bench
    while left > _NONE and day >= first:
        for opens, closes in hours.on(day):
            begins = _on_the_quarter(max(opens, since))
            left -= max(_NONE, (min(closes, until) - begins) // SLOT * SLOT)
        day -= timedelta(1)
    return left <= _NONE


def _ready_by(day: date, job: Job, zone: ZoneInfo, ready_before: timedelta) -> datetime | None:
    if job.event.start_time is None:
        return None
    starts = datetime.combine(day, job.event.start_time, zone).astimezone(dt.UTC)
    return starts - ready_before


def _window(start: datetime, lasts: timedelta, zone: ZoneInfo) -> Window:
    return Window(starts_at=start.astimezone(zone), ends_at=(start + lasts).astimezone(zone))


def _steps(first: datetime, last: datetime, step: timedelta) -> Iterator[datetime]:
    while first <= last:
        yield first
        first += step


def _on_the_quarter(moment: datetime) -> datetime:
    over = timedelta(seconds=moment.timestamp() % SLOT.total_seconds())
    return moment.astimezone(dt.UTC) + (SLOT - over if over else over)


def _without(span: Span, closed: ClosedTime, zone: ZoneInfo) -> Iterable[Span]:
    rest = [span]
    for since, until in closed.spans(zone):
        pieces = [
            piece
            for begins, ends in rest
            for piece in ((begins, min(ends, since)), (max(begins, until), ends))
        ]
        rest = [(begins, ends) for begins, ends in pieces if begins < ends]
    return rest
