"""The owner closes days and opens them again, and hears what is kept there all the same."""

from collections.abc import Sequence
from datetime import datetime

from service.leads.closing import ClosedTime, check, touches
from service.leads.diary import runs, working
from service.leads.lead import Hold
from service.leads.ports import Ports, UnitOfWork
from service.leads.shop_time import today_at, zone_of


def close(work: UnitOfWork, ports: Ports, closed: ClosedTime) -> tuple[ClosedTime, Sequence[Hold]]:
    """Close these times; gives them with what is held or booked there, which stays.

    The same times again change nothing: those that stand are given. Raises ClosingRefused.
    """
    book = ports.price_books.current()
    check(closed, today=today_at(closed.made_at, book))
    there = work.closed.between(closed.first, closed.last)
    standing = next((each for each in there if _same(each, closed)), None)
    if standing is None:
        work.closed.add(closed)
    return standing or closed, kept_in(work, ports, closed, now=closed.made_at)


def kept_in(work: UnitOfWork, ports: Ports, closed: ClosedTime, *, now: datetime) -> Sequence[Hold]:
    """Holds and bookings whose crew is at work in these times."""
    zone = zone_of(ports.price_books.current())
    spans = closed.spans(zone)
    around = work.holds.between(spans[0][0], spans[-1][1])
    return [
        hold for hold in around if runs(hold, now) and touches(closed, list(working(hold)), zone)
    ]


def _same(one: ClosedTime, other: ClosedTime) -> bool:
    kept = ("first", "last", "since", "until", "note")
    return all(getattr(one, name) == getattr(other, name) for name in kept)
