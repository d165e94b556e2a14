"""Calendars as iCalendar files (RFC 5545)."""

import datetime as dt
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import datetime, timedelta
from functools import cache
from zoneinfo import ZoneInfo

from icalendar import (
    Calendar,
    Event,
    Timezone,
    TimezoneDaylight,
    TimezoneStandard,
    vCalAddress,
    vDuration,
)

from service.leads.feed_entries import CalendarEntry

MEDIA_TYPE = "text/calendar; charset=utf-8"

_PRODUCT = "-//Garlandry//Bookings//EN"
_REFRESH = timedelta(hours=1)
# Some readers look no further than 2020 for what tells a zone from UTC.
_RULES_FROM = datetime(2019, 1, 1, tzinfo=dt.UTC)

_DAY, _SECOND = timedelta(days=1), timedelta(seconds=1)


@dataclass(frozen=True, kw_only=True, slots=True)
class Sheet:
    """A calendar to write: its name, the zone its times are told in, its entries.

    `by` is whose events they are, with `address` to write to ("mailto:…"), where there is one.
    """

    name: str
    zone: ZoneInfo
    entries: Iterable[CalendarEntry]
    by: str
    address: str | None


def written(sheet: Sheet) -> bytes:
    """The file, the same bytes for the same entries."""
    entries = list(sheet.entries)
    calendar = Calendar()
    calendar.add("prodid", _PRODUCT)
    calendar.add("version", "2.0")
    calendar.add("method", "PUBLISH")
    calendar.add("name", sheet.name)
    calendar.add("x-wr-calname", sheet.name)
    calendar.add("refresh-interval", vDuration(_REFRESH), parameters={"VALUE": "DURATION"})
    calendar.add("x-published-ttl", vDuration(_REFRESH))
    for rules in _rules(entries, sheet.zone):
        calendar.add_component(rules)
    for entry in entries:
        calendar.add_component(_event(entry, sheet))
    return bytes(calendar.to_ical())


def _event(entry: CalendarEntry, sheet: Sheet) -> Event:
    event = Event()
    zone = sheet.zone
    if sheet.address:
        event.add("organizer", vCalAddress(sheet.address), parameters={"CN": sheet.by})
    event.add("uid", entry.uid)
    event.add("sequence", entry.sequence)
    event.add("dtstamp", _whole(entry.changed_at))
    event.add("created", _whole(entry.made_at))
    event.add("last-modified", _whole(entry.changed_at))
    event.add("dtstart", _told(entry.starts_at, zone))
    if entry.ends_at is not None:
        event.add("dtend", _told(entry.ends_at, zone))
    event.add("summary", entry.summary)
    if entry.description:
        event.add("description", entry.description)
    if entry.location:
        event.add("location", entry.location)
    event.add("url", entry.url)
    event.add("status", entry.status)
    event.add("transp", "OPAQUE" if entry.busy else "TRANSPARENT")
    return event


def _told(moment: datetime, zone: ZoneInfo) -> datetime:
    """The time on the shop's clock; in UTC where that clock shows it twice or shows UTC."""
    local = _whole(moment).astimezone(zone)
    twice = local.replace(fold=0).utcoffset() != local.replace(fold=1).utcoffset()
    return local.astimezone(dt.UTC) if twice or not local.utcoffset() else local


def _whole(moment: datetime) -> datetime:
    return moment.astimezone(dt.UTC).replace(microsecond=0)


def _rules(entries: Iterable[CalendarEntry], zone: ZoneInfo) -> Iterable[Timezone]:
    """How the zone's clock goes, where any time is told by it.

    The library writes the onset of summer time an hour late, so it is written out here, change
    by change.
    """
    both = (each for entry in entries for each in (entry.starts_at, entry.ends_at))
    times = (_told(each, zone) for each in both if each is not None)
    years = [time.year for time in times if time.tzinfo is zone]
    return (_zone_rules(zone, max(years) + 1),) if years else ()


@cache
def _zone_rules(zone: ZoneInfo, until_year: int) -> Timezone:
    rules = Timezone()
    rules.add("tzid", zone.key)
    until = datetime(until_year, 12, 31, tzinfo=dt.UTC)
    for moment in (_RULES_FROM, *_changes(zone, _RULES_FROM, until)):
        local = moment.astimezone(zone)
        before = _offset(moment - _SECOND, zone)
        change = TimezoneDaylight() if local.dst() else TimezoneStandard()
        # Its onset is told by the clock as it went before.
        change.add("dtstart", (moment + before).replace(tzinfo=None))
        change.add("tzoffsetfrom", before)
        change.add("tzoffsetto", _offset(moment, zone))
        change.add("tzname", local.tzname())
        rules.add_component(change)
    return rules


def _changes(zone: ZoneInfo, since: datetime, until: datetime) -> Iterator[datetime]:
    """The moments at which the clock is changed; no zone does it twice within a day."""
    day = since
    while day < until:
        following = day + _DAY
        if _offset(day, zone) != _offset(following, zone):
            yield _between(day, following, zone)
        day = following


def _between(before: datetime, after: datetime, zone: ZoneInfo) -> datetime:
    while after - before > _SECOND:
        middle = (before + (after - before) / 2).replace(microsecond=0)
        if _offset(middle, zone) == _offset(before, zone):
            before = middle
        else:
            after = middle
    return after


def _offset(moment: datetime, zone: ZoneInfo) -> timedelta:
    return moment.astimezone(zone).utcoffset() or timedelta(0)
