"""When goods arrive, and until when they are to be ordered: by the supplier's lead time."""

import datetime as dt
from collections.abc import Container

from service.estimating.book.balloons import Supplier

_DAY = dt.timedelta(days=1)
_SATURDAY = 5


def arrives(supplier: Supplier, ordered: dt.date, closed: Container[dt.date]) -> dt.date:
    """The day on which goods ordered on that day are there.

    Where the supplier counts working days, Saturdays, Sundays and the days that are `closed` do
    not count.
    """
    if not supplier.working_days:
        return ordered + supplier.lead_days * _DAY
    day = _working(ordered, _DAY, closed)
    for _ in range(supplier.lead_days):
        day = _working(day + _DAY, _DAY, closed)
    return day


def order_by(supplier: Supplier, wanted: dt.date, closed: Container[dt.date]) -> dt.date:
    """The last day to order on, so that the goods are there on the day they are wanted."""
    if not supplier.working_days:
        return wanted - supplier.lead_days * _DAY
    day = _working(wanted, -_DAY, closed)
    for _ in range(supplier.lead_days):
        day = _working(day - _DAY, -_DAY, closed)
    return day


def _working(day: dt.date, step: dt.timedelta, closed: Container[dt.date]) -> dt.date:
    """That day, or the next one towards which `step` leads that is no day off."""
    while day.weekday() >= _SATURDAY or day in closed:
        day += step
    return day
