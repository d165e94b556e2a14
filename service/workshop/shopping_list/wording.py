"""How a shopping list is said to the owner: by when, how sure, for whom, how many.

`reader` is the language in which colours are named.
"""

from collections.abc import Iterable, Iterator, Sequence
from datetime import date
from decimal import Decimal

from babel.numbers import format_currency

from service.estimating import StockLine
from service.leads import words
from service.leads.words import Words
from service.workshop import fitted
from service.workshop.shopping_list.values import (
    Besides,
    Line,
    ShoppingList,
    Sooner,
    StandIn,
    Supplied,
    Timing,
    Wanted,
)

_MOST_NUMBERS = 4


def short_day(day: date, today: date) -> str:
    """ "Tue, Dec 1"; with its year where that is not this one."""
    year = f", {day.year}" if day.year != today.year else ""
    return f"{day:%a}, {day:%b} {day.day}{year}"


def cents(amount: Decimal, currency: str) -> str:
    """An amount in a column of amounts: always with cents."""
    return format_currency(amount, currency, locale="en_US")


def balloons(size_class: int, colour: str, reader: Words) -> str:
    """ "navy 10 in"."""
    return f"{reader.colour(colour)} {size_class} in"


def title(line: Line, reader: Words) -> str:
    """What a pack is: "navy 10 in, bag of 50", "mixed pack meadow"."""
    if line.size_class is None or line.colour is None:
        return line.item
    return f"{balloons(line.size_class, line.colour, reader)}, bag of {line.pack_size}"


def inside(line: Line, reader: Words) -> str:
    """What a mixed pack holds; nothing for a bag."""
    if line.size_class is not None:
        return ""
    held = (f"{h.count} {balloons(h.size_class, h.colour, reader)}" for h in line.contents)
    return reader.listed(held)


def numbers(jobs: Sequence[Wanted], found: ShoppingList) -> str:
    """ "for G1001 and G1004"; of many only the first few, nothing where there is but one job."""
    named = [job.number for job in jobs] if len(found.jobs) > 1 else []
    if len(named) > _MOST_NUMBERS:
        named = [*named[: _MOST_NUMBERS - 1], f"{len(named) - _MOST_NUMBERS + 1} more"]
    return f"for {words.listed(named)}" if named else ""


def ordered(supplier: Supplied, today: date) -> str:
    """By when to order at a supplier, and what if that is over."""
    there = short_day(supplier.arrives_on, today)
    if supplier.order_by is None:
        return f"Ordered today it is there by {there}."
    last = short_day(supplier.order_by, today)
    match supplier.timing:
        case Timing.TODAY:
            return f"Order today: it takes until {there}, and leaves you one day in hand."
        case Timing.JUST:
            return (
                f"Overdue since {last}. Order today: it is there by {there}, just in time and"
                " without a day in hand."
            )
        case Timing.LATE:
            return (
                f"Too late: this was to be ordered by {last}. Ordered today it is there by"
                f" {there}, after the first job is begun."
            )
        case _:
            return f"Order by {last}."


def line_ordered(line: Line, supplier: Supplied, today: date) -> str:
    """By when to order one line, where it may wait longer than the rest."""
    if line.order_by is None or line.order_by == supplier.order_by:
        return ""
    late = line.timing in (Timing.JUST, Timing.LATE)
    return f"{'overdue since' if late else 'order by'} {short_day(line.order_by, today)}"


def sooner(found: Sooner, today: date) -> str:
    """What to do about the jobs that an order comes too late for."""
    who = words.listed(found.numbers)
    if not found.lines:
        return (
            f"None of your other suppliers is faster for {who}. Fetch it yourself, or offer your"
            " client a color that is to be had in time."
        )
    there = short_day(found.arrives_on, today) if found.arrives_on else ""
    if found.in_time:
        return f"For {who} get these elsewhere, there by {there}. The rest of the order can wait."
    return (
        f"Nobody is in time for {who}. The soonest, there by {there}, are these; tell your client,"
        " or make the garland later."
    )


def proof(found: ShoppingList) -> str:
    """How sure it is that nothing is cheaper."""
    if found.proven:
        return "No cheaper way to get these balloons exists: that is proven."
    return (
        "The search for a cheaper way was cut short: it could be"
        f" {words.money(found.could_save, found.currency)} less at most."
    )


def in_all(found: ShoppingList) -> str:
    """The sum of everything; empty where there are only balloons to get."""
    if not found.to_get:
        return ""
    whole = cents(found.whole, found.currency)
    if not found.suppliers:
        return f"What is to be bought and hired besides comes to about {whole}."
    return f"With what is to be bought and hired besides it comes to about {whole}."


def whose(found: ShoppingList) -> str:
    """ "G1001 (Sun, Jun 6) and G1002": the jobs, and the day of those that have one."""
    return words.listed(
        f"{job.number} ({short_day(job.leaves_on, found.today)})" if job.leaves_on else job.number
        for job in found.jobs
    )


def stand_in(each: StandIn, reader: Words) -> str:
    """ "12 navy 11 in instead of navy 10 in"."""
    return (
        f"{each.count} {balloons(*each.source, reader)} instead of {balloons(*each.wanted, reader)}"
    )


def counts(lines: Iterable[StockLine], reader: Words) -> str:
    """ "12 navy 10 in and 3 white 18 in"."""
    return reader.listed(f"{e.count} {balloons(e.size_class, e.colour, reader)}" for e in lines)


def by_size(lines: Iterable[StockLine], reader: Words) -> Iterator[tuple[str, str]]:
    """("10 in", "12 navy, 3 white") for every size."""
    found: dict[int, list[str]] = {}
    for each in sorted(lines, key=lambda each: (each.size_class, each.colour)):
        colour = reader.colour(each.colour)
        found.setdefault(each.size_class, []).append(f"{each.count} {colour}")
    for size_class, counted in found.items():
        yield f"{size_class} in", ", ".join(counted)


def how_many(each: Besides) -> str:
    """ "12 × foil digit 5", "cord, 26 ft"."""
    return fitted.how_many(each.item, each.unit, each.count)
