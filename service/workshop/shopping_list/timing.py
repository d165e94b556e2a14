"""By when to order, whether an order of today comes in time, and who is faster if it does not."""

import datetime as dt
from collections import Counter
from collections.abc import Callable, Iterable, Mapping, Sequence
from decimal import Decimal

from service.estimating import PriceBook, ShoppingLine, StockLine, bags_from
from service.estimating.book import Holding, Key, Supplier, arrives, order_by
from service.workshop.shopping_list.values import Line, Sooner, Timing, Wanted

_DAY = dt.timedelta(days=1)


def last_day(supplier: Supplier, making_on: dt.date, book: PriceBook) -> dt.date:
    """The last day to order on, so that it is there a day before the making begins."""
    return order_by(supplier, making_on - _DAY, book.policy.holidays)


def timing_of(
    supplier: Supplier, making_on: dt.date | None, today: dt.date, book: PriceBook
) -> Timing:
    """Whether what is ordered today comes in time for what is made from that day on."""
    if making_on is None:
        return Timing.UNDATED
    last = last_day(supplier, making_on, book)
    if last >= today:
        return Timing.TODAY if last == today else Timing.IN_TIME
    there = arrives(supplier, today, book.policy.holidays)
    return Timing.JUST if there <= making_on else Timing.LATE


def sooner(
    supplier: Supplier,
    lines: Sequence[Line],
    lacking: Mapping[str, Mapping[Key, int]],
    today: dt.date,
    book: PriceBook,
    told: Callable[[ShoppingLine, tuple[Wanted, ...]], Line],
) -> Sooner:
    """What faster suppliers have of it, for the jobs that an order of today comes too late for.

    `lacking` is what each job lacks by its lead's id; `told` makes a line of the list.
    """
    there = arrives(supplier, today, book.policy.holidays)
    late = _too_late_for(lines, there)
    wanted = _kinds_of(lines, lacking, late)
    first = min(job.making_on for job in late if job.making_on)
    faster = {
        each.name: day
        for each in book.suppliers
        if (day := arrives(each, today, book.policy.holidays)) < there
    }
    in_time = {name for name, day in faster.items() if day <= first}
    # Where nobody is in time, who is the soonest.
    chosen = in_time or {name for name, day in faster.items() if day == min(faster.values())}
    found = tuple(told(line, late) for line in bags_from(chosen, wanted, book))
    had = {(line.size_class, line.colour) for line in found}
    missing = ((key, number) for key, number in wanted.items() if key not in had)
    return Sooner(
        numbers=tuple(job.number for job in late),
        lines=found,
        cost=sum((line.cost for line in found), Decimal(0)),
        in_time=bool(in_time),
        arrives_on=max((faster[line.supplier] for line in found), default=None),
        missing=tuple(
            StockLine(size_class=size, colour=colour, count=n) for (size, colour), n in missing
        ),
    )


def _too_late_for(lines: Iterable[Line], there: dt.date) -> tuple[Wanted, ...]:
    jobs = {
        job.lead_id: job
        for line in lines
        for job in line.jobs
        if job.making_on and job.making_on < there
    }
    return tuple(sorted(jobs.values(), key=lambda job: (job.making_on, job.number)))


def _kinds_of(
    lines: Iterable[Line], lacking: Mapping[str, Mapping[Key, int]], late: Iterable[Wanted]
) -> Mapping[Key, int]:
    """What these jobs lack of the kinds that the lines hold."""
    held = {_key(holding) for line in lines for holding in line.contents}
    wanted: Counter[Key] = Counter()
    for job in late:
        lacked = lacking[job.lead_id].items()
        wanted.update({key: number for key, number in lacked if key in held})
    return wanted


def _key(holding: Holding) -> Key:
    return holding.size_class, holding.colour
