"""A shopping list as a table for a spreadsheet: what to buy, what the shelf has, what is left."""

from collections.abc import Iterator
from decimal import Decimal
from zoneinfo import ZoneInfo

from service.estimating.book import Key
from service.leads import words
from service.leads.exports import Cell
from service.rendering.sheets import csv_of
from service.workshop.shopping_list import Line, ShoppingList, Wanted

COLUMNS = (
    "what",
    "supplier",
    "item",
    "size_in",
    "colour",
    "pack_size",
    "number",
    "unit",
    "unit_price",
    "cost",
    "currency",
    "order_by",
    "needed_on",
    "jobs",
)


def sheet(found: ShoppingList, zone: ZoneInfo) -> bytes:
    """The list as CSV (RFC 4180, UTF-8)."""
    return b"".join(csv_of(COLUMNS, _rows(found), zone))


def _rows(found: ShoppingList) -> Iterator[tuple[Cell, ...]]:
    for supplier in found.suppliers:
        for line in supplier.lines:
            yield _line("buy", line, found.currency)
        if supplier.delivery:
            cost = supplier.delivery
            yield _row("delivery", supplier.name, "delivery", cost=cost, currency=found.currency)
    for supplier in found.suppliers:
        for line in supplier.sooner.lines if supplier.sooner else ():
            yield _line("sooner", line, found.currency)
    for fill in found.stand_ins:
        yield _row(
            "stands in",
            "",
            f"{_said(fill.source)} instead of {_said(fill.wanted)}",
            size_in=fill.source[0],
            colour=fill.source[1],
            number=fill.count,
            unit="balloon",
        )
    for each in found.shelf:
        for what, number in (("set aside", each.aside), ("from the shelf", each.free)):
            if number:
                yield _balloons(what, each.size_class, each.colour, number)
    for left in found.left_over:
        yield _balloons("left over", left.size_class, left.colour, left.count)
    for missing in found.unknown:
        yield _balloons("not on sale", missing.size_class, missing.colour, missing.count)
    for extra in found.besides:
        # In feet where the page says feet; number times price stays the cost.
        much, unit = words.counted(Decimal(extra.count), extra.unit)
        if much == extra.count:
            unit = extra.unit
        yield _row(
            extra.sort.value,
            "",
            extra.item,
            number=round(much),
            unit=unit,
            unit_price=round(extra.unit_cost * extra.count / much, 4),
            cost=extra.cost,
            currency=found.currency,
            needed_on=extra.wanted_on.isoformat() if extra.wanted_on else None,
            jobs=_jobs(extra.jobs),
        )


def _line(what: str, line: Line, currency: str) -> tuple[Cell, ...]:
    return _row(
        what,
        line.supplier,
        line.item,
        size_in=line.size_class,
        colour=line.colour,
        pack_size=line.pack_size,
        number=line.packs,
        unit="pack",
        unit_price=line.unit_price,
        cost=line.cost,
        currency=currency,
        order_by=line.order_by.isoformat() if line.order_by else None,
        needed_on=line.making_on.isoformat() if line.making_on else None,
        jobs=_jobs(line.jobs),
    )


def _balloons(what: str, size_class: int, colour: str, number: int) -> tuple[Cell, ...]:
    return _row(
        what,
        "",
        _said((size_class, colour)),
        size_in=size_class,
        colour=colour,
        number=number,
        unit="balloon",
    )


def _row(what: str, supplier: str, item: str, **cells: Cell) -> tuple[Cell, ...]:
    named = {"what": what, "supplier": supplier, "item": item, **cells}
    return tuple(named.get(column) for column in COLUMNS)


def _said(key: Key) -> str:
    return f"{key[1]} {key[0]} in"


def _jobs(jobs: tuple[Wanted, ...]) -> str:
    return " ".join(job.number for job in jobs)
