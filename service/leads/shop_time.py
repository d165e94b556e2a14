"""Days and times as they are at the shop."""

from datetime import date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from service.estimating import PriceBook

EVER = timedelta(days=3650)
"""As far ahead as anything is booked."""


def zone_of(book: PriceBook) -> ZoneInfo:
    """The shop's own time."""
    return ZoneInfo(book.shop.time_zone)


def today_at(now: datetime, book: PriceBook) -> date:
    """The date at the shop."""
    return now.astimezone(zone_of(book)).date()


def midnight(day: date, book: PriceBook) -> datetime:
    """The beginning of a day at the shop."""
    return datetime.combine(day, time.min, zone_of(book))


def end_of_day(moment: datetime, book: PriceBook) -> datetime:
    """Midnight at the end of that day at the shop: a price is good until a day, not a minute."""
    return midnight(today_at(moment, book) + timedelta(days=1), book) - timedelta(seconds=1)
