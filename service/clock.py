"""The one place that reads the wall's clock; everybody else is handed a time."""

from collections.abc import Callable
from datetime import UTC, date, datetime
from zoneinfo import ZoneInfo


def wall() -> datetime:
    """What the clock on the wall says."""
    return datetime.now(UTC)


def shop_clock(reference: date | None, zone: ZoneInfo) -> Callable[[], datetime]:
    """The wall's clock, moved so that it is `reference` at the shop; the time of day runs on.

    Moved by whole days of local time: midnight stays midnight also where summer time lies between.
    """
    if reference is None:
        return wall
    ahead = reference - wall().astimezone(zone).date()
    return lambda: wall().astimezone(zone) + ahead
