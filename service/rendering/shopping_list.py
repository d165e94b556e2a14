"""The shopping list on paper: boxes to tick by supplier, what the shelf has, what will be left."""

from collections.abc import Iterator, Sequence
from datetime import datetime
from decimal import Decimal

from service.leads import words
from service.rendering.paper import (
    Align,
    Block,
    Callout,
    Cell,
    Column,
    Facts,
    Heading,
    Paper,
    PaperSize,
    Paragraph,
    Row,
    Running,
    Table,
    Ticks,
)
from service.workshop.shopping_list import Besides, Line, ShoppingList, Sort, Supplied
from service.workshop.shopping_list import wording as said

_SIZE = 9.5
_COLUMNS = (
    Column("To buy", share=6),
    Column("Packs", share=1.2, align=Align.RIGHT),
    Column("Each", share=1.6, align=Align.RIGHT),
    Column("In all", share=1.8, align=Align.RIGHT),
)
_BESIDES = (
    (Sort.BUY, "Besides balloons, to buy"),
    (Sort.HIRE, "To hire"),
    (Sort.SUPPLIES, "From your supplies: look whether there is enough"),
)


def pdf(found: ShoppingList, *, name: str, shop: str, made_at: datetime, size: PaperSize) -> bytes:
    """The file; `name` says what the list is for, `made_at` when it was as it is."""
    running = Running(shop=shop, document="Shopping list", number=name)
    paper = Paper(size=size, title=f"Shopping list, {name}", made_at=made_at, running=running)
    paper.add(Heading(f"Shopping list, {name}", level=1), *_head(found))
    for supplier in found.suppliers:
        paper.add(*_supplier(supplier, found))
    paper.add(*_shelf(found), *_left(found))
    for sort, heading in _BESIDES:
        paper.add(*_besides([e for e in found.besides if e.sort is sort], heading, found))
    return paper.bytes()


def _head(found: ShoppingList) -> Iterator[Block]:
    if not found.jobs:
        yield Paragraph("No booked job needs anything by then.", size=_SIZE)
        return
    jobs = words.listed(job.number for job in found.jobs)
    facts = [("Jobs" if len(found.jobs) > 1 else "Job", jobs)]
    if found.suppliers:
        if found.delivery:
            facts.append(("Balloons", said.cents(found.goods, found.currency)))
            facts.append(("Delivery", said.cents(found.delivery, found.currency)))
        facts.append(("In all", said.cents(found.cost, found.currency)))
    yield Facts(tuple(facts), size=_SIZE)
    if found.suppliers:
        yield Paragraph(said.proof(found), size=_SIZE)
    elif found.shelf:
        yield Paragraph("No balloons are to be bought: the shelf has them.", size=_SIZE)
    if found.unknown:
        text = f"Your price book no longer has {said.counts(found.unknown)}: get these yourself."
        yield Callout("Not on sale", (text,))


def _supplier(supplier: Supplied, found: ShoppingList) -> Iterator[Block]:
    rows = [_row(line, supplier, found) for line in supplier.lines]
    if supplier.delivery:
        rows.append(Row("Delivery", "", "", said.cents(supplier.delivery, found.currency)))
    yield Heading(supplier.name)
    yield Paragraph(said.ordered(supplier, found.today), size=_SIZE)
    yield _table(rows, supplier.total, found)
    sooner = supplier.sooner
    if sooner:
        yield Callout("Sooner", (said.sooner(sooner, found.today),))
    if sooner and sooner.lines:
        rows = [_row(line, supplier, found, where=True) for line in sooner.lines]
        yield _table(rows, sooner.cost, found)


def _table(rows: Sequence[Row], total: Decimal, found: ShoppingList) -> Table:
    amount = Cell(said.cents(total, found.currency), bold=True)
    last = Row(Cell("In all", bold=True), "", "", amount)
    return Table(columns=_COLUMNS, rows=(*rows, last), size=_SIZE)


def _row(line: Line, supplier: Supplied, found: ShoppingList, *, where: bool = False) -> Row:
    notes = (
        line.supplier if where else "",
        said.inside(line),
        said.numbers(line.jobs),
        "" if where else said.line_ordered(line, supplier, found.today),
    )
    return Row(
        Cell(said.title(line), tick=True, note=", ".join(filter(None, notes))),
        str(line.packs),
        said.cents(line.unit_price, found.currency),
        said.cents(line.cost, found.currency),
    )


def _shelf(found: ShoppingList) -> Iterator[Block]:
    aside = [each for each in found.shelf if each.aside]
    free = [each for each in found.shelf if each.free]
    if free:
        yield Heading("From your shelf")
        yield _ticks([f"{e.free} × {said.balloons(e.size_class, e.colour)}" for e in free])
    if aside:
        yield Heading("Set aside for these jobs already")
        yield _ticks([f"{e.aside} × {said.balloons(e.size_class, e.colour)}" for e in aside])
    if found.stand_ins:
        yield Heading("What stands in", level=3)
        text = words.listed(map(said.stand_in, found.stand_ins))
        yield Paragraph(f"{text}, sized alike: that is cheaper.", size=_SIZE)


def _left(found: ShoppingList) -> Iterator[Block]:
    if found.left_over:
        yield Heading("Left in the packs afterwards")
        yield Facts(tuple(said.by_size(found.left_over)), size=_SIZE)


def _besides(extras: Sequence[Besides], heading: str, found: ShoppingList) -> Iterator[Block]:
    if not extras:
        return
    yield Heading(heading)
    yield Ticks(
        tuple(Cell(said.how_many(each), note=_note(each, found)) for each in extras),
        columns=2,
        size=_SIZE,
    )


def _note(each: Besides, found: ShoppingList) -> str:
    if each.sort is Sort.SUPPLIES:
        return ""
    cost = f"about {words.money(each.cost, found.currency)}"
    day = f"needed {said.short_day(each.wanted_on, found.today)}" if each.wanted_on else ""
    return ", ".join(filter(None, (said.numbers(each.jobs), cost, day)))


def _ticks(texts: Sequence[str]) -> Ticks:
    return Ticks(tuple(texts), columns=3, size=_SIZE)
