"""Set-up windows that can be offered on the day of an event."""

import math
from collections.abc import Mapping
from datetime import date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from service.estimating import Calendar
from service.leads.lead import Window

SLOT = timedelta(minutes=15)
_STEP = timedelta(minutes=30)

# Guests come early, and the first photographs are taken before them.
_READY_BEFORE = timedelta(minutes=30)


def on_site(hours: Mapping[str, float]) -> timedelta:
    """Time from arrival to ready, up to whole slots."""
    seconds = 3600 * (hours.get("install", 0.0) + hours.get("finish", 0.0))
    return SLOT * max(1, math.ceil(seconds / SLOT.total_seconds()))


def candidates(
    day: date,
    *,
    event_start: time | None,
    needed: timedelta,
    calendar: Calendar,
    zone: ZoneInfo,
    now: datetime,
) -> list[Window]:
    """Windows within the day's hours that end before the guests come, earliest first."""
    hours = calendar.opening.get(day.weekday())
    if hours is None:
        return []
    closes = datetime.combine(day, hours.closes, zone)
    if event_start is not None:
        closes = min(closes, datetime.combine(day, event_start, zone) - _READY_BEFORE)
    found: list[Window] = []
    start = datetime.combine(day, hours.opens, zone)
    while start + needed <= closes:
        if start >= now + calendar.notice:
            found.append(Window(starts_at=start, ends_at=start + needed))
        start += _STEP
    return found


def slots(window: Window, buffer: timedelta) -> range:
    """The quarter-hours since 1970 that a window keeps, with the buffer around it."""
    first = math.floor((window.starts_at - buffer).timestamp() / SLOT.total_seconds())
    last = math.ceil((window.ends_at + buffer).timestamp() / SLOT.total_seconds())
    return range(first, last)
