"""What does not fit together, seen once everything is worked out: said, never silently priced."""

import datetime as dt
from collections.abc import Iterable, Iterator, Mapping, Sequence

from service.estimating.answer import Assumption, Order, Plan, SpareLine
from service.estimating.book import PriceBook, Task, arrives
from service.estimating.brief import Brief
from service.estimating.palette import order


def doubts(
    brief: Brief,
    book: PriceBook,
    *,
    orders: Iterable[Order],
    spares: Sequence[SpareLine],
    hours: Mapping[str, float],
    plan: Plan,
    today: dt.date,
) -> tuple[Assumption, ...]:
    """Goods that come too late, work that is too long for fresh balloons, colors left out."""
    texts = (
        *_late(brief.event.date, book, orders, today),
        *_stale(hours, plan),
        *_colours(brief, book, spares),
    )
    return tuple(Assumption(field=field, text=text) for field, text in texts)


def _late(
    date: dt.date | None, book: PriceBook, orders: Iterable[Order], today: dt.date
) -> Iterator[tuple[str, str]]:
    if date is None:
        return
    suppliers = {supplier.name: supplier for supplier in book.suppliers}
    for each in orders:
        supplier = suppliers[each.supplier]
        # The day itself is for setting up: goods are needed the day before.
        if arrives(supplier, today, book.policy.holidays) >= date:
            days = "working days" if supplier.working_days else "days"
            yield (
                "event.date",
                f"Balloons from {each.supplier} take {supplier.lead_days} {days}: too late for this"
                " date, unless they are fetched or others are taken.",
            )


def _stale(hours: Mapping[str, float], plan: Plan) -> Iterator[tuple[str, str]]:
    loading_h = hours[Task.LOAD.value] / plan.crew
    before_h = plan.bench_h + loading_h + plan.leave_before_h
    if before_h > plan.ahead_h:
        yield (
            "pieces",
            f"Made by {_people(plan.crew)} in one go it takes {before_h:.0f} hours up to the event,"
            f" and the first balloons stay fresh for {plan.ahead_h:.0f}: it wants more hands, or"
            " part of it is made at the site.",
        )


def _people(crew: int) -> str:
    return "one person" if crew == 1 else f"{crew} people"


def _colours(
    brief: Brief, book: PriceBook, spares: Sequence[SpareLine]
) -> Iterator[tuple[str, str]]:
    used = {line.colour for line in spares}
    left_out = [name for name in order(brief, book) if name not in used]
    if left_out:
        yield "palette", f"Too few balloons for every color: {', '.join(left_out)} is left out."
    said = [colour.share for colour in brief.palette if colour.share is not None]
    if said and len(said) == len(brief.palette) and sum(said) < 0.995:
        yield "palette", f"The shares add up to {sum(said):.0%}: scaled up to the whole."
