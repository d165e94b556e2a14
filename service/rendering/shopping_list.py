"""The shopping list on paper: boxes to tick by supplier, what the shelf has, what will be left."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal

from service.leads.words import Words
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


def pdf(
    found: ShoppingList,
    *,
    name: str,
    shop: str,
    made_at: datetime,
    size: PaperSize,
    words: Words,
) -> bytes:
    """The file; `name` says what the list is for, `made_at` when it was as it is."""
    running = Running(shop=shop, document="Shopping list", number=name)
    paper = Paper(size=size, title=f"Shopping list, {name}", made_at=made_at, running=running)
    paper.add(Heading(f"Shopping list, {name}", level=1), *_Printed(found, words).blocks())
    return paper.bytes()


@dataclass(frozen=True, slots=True)
class _Printed:
    """A list in the words of whoever reads it."""

    found: ShoppingList
    words: Words

    def blocks(self) -> Iterator[Block]:
        """The whole list below its title."""
        yield from self._head()
        for supplier in self.found.suppliers:
            yield from self._supplier(supplier)
        yield from self._shelf()
        yield from self._left()
        for sort, heading in _BESIDES:
            yield from self._besides([e for e in self.found.besides if e.sort is sort], heading)

    def _head(self) -> Iterator[Block]:
        found = self.found
        if not found.jobs:
            yield Paragraph("No booked job needs anything by then.", size=_SIZE)
            return
        yield Facts((("For", said.whose(found)),), size=_SIZE)
        texts = [self._balloons(), said.in_all(found)]
        if any(texts):
            yield Paragraph(" ".join(filter(None, texts)), size=_SIZE)
        if found.unknown:
            missing = said.counts(found.unknown, self.words)
            text = f"Your price book no longer has {missing}: get these yourself."
            yield Callout("Not on sale", (text,))

    def _balloons(self) -> str:
        found = self.found
        if found.suppliers:
            delivery = f", {self._cents(found.delivery)} of it for delivery"
            total = f"Balloons {self._cents(found.cost)}{delivery if found.delivery else ''}."
            return f"{total} {said.proof(found)}"
        return "No balloons are to be bought: the shelf has them." if found.shelf else ""

    def _supplier(self, supplier: Supplied) -> Iterator[Block]:
        rows = [self._row(line, supplier) for line in supplier.lines]
        if supplier.delivery:
            rows.append(Row("Delivery", "", "", self._cents(supplier.delivery)))
        yield Heading(supplier.name)
        yield Paragraph(said.ordered(supplier, self.found.today), size=_SIZE)
        yield self._table(rows, supplier.total)
        sooner = supplier.sooner
        if sooner:
            yield Callout("Sooner", (said.sooner(sooner, self.found.today),))
        if sooner and sooner.lines:
            rows = [self._row(line, supplier, elsewhere=True) for line in sooner.lines]
            yield self._table(rows, sooner.cost)

    def _table(self, rows: Sequence[Row], total: Decimal) -> Table:
        amount = Cell(self._cents(total), bold=True)
        last = Row(Cell("In all", bold=True), "", "", amount)
        return Table(columns=_COLUMNS, rows=(*rows, last), size=_SIZE)

    def _row(self, line: Line, supplier: Supplied, *, elsewhere: bool = False) -> Row:
        notes = (
            line.supplier if elsewhere else "",
            said.inside(line, self.words),
            said.numbers(line.jobs, self.found),
            "" if elsewhere else said.line_ordered(line, supplier, self.found.today),
        )
        return Row(
            Cell(said.title(line, self.words), tick=True, note=", ".join(filter(None, notes))),
            str(line.packs),
            self._cents(line.unit_price),
            self._cents(line.cost),
        )

    def _shelf(self) -> Iterator[Block]:
        free = [(each, each.free) for each in self.found.shelf if each.free]
        aside = [(each, each.aside) for each in self.found.shelf if each.aside]
        for some, heading in (
            (free, "From your shelf"),
            (aside, "Set aside already"),
        ):
            if some:
                yield Heading(heading, level=3)
                texts = (
                    f"{count} × {said.balloons(each.size_class, each.colour, self.words)}"
                    for each, count in some
                )
                yield Ticks(tuple(texts), columns=3, size=_SIZE)
        if self.found.stand_ins:
            yield Heading("What stands in", level=3)
            text = self.words.listed(said.stand_in(e, self.words) for e in self.found.stand_ins)
            yield Paragraph(f"{text}, sized alike: that is cheaper.", size=_SIZE)

    def _left(self) -> Iterator[Block]:
        if self.found.left_over:
            yield Heading("Left in the packs afterwards", level=3)
            sizes = said.by_size(self.found.left_over, self.words)
            text = "\n".join(f"{size}: {what}" for size, what in sizes)
            yield Paragraph(text, size=_SIZE)

    def _besides(self, extras: Sequence[Besides], heading: str) -> Iterator[Block]:
        if extras:
            yield Heading(heading, level=3)
            cells = (Cell(said.how_many(each), note=self._note(each)) for each in extras)
            plain = all(each.sort is Sort.SUPPLIES for each in extras)
            yield Ticks(tuple(cells), columns=3 if plain else 2, size=_SIZE)

    def _note(self, each: Besides) -> str:
        if each.sort is Sort.SUPPLIES:
            return ""
        cost = f"about {self._cents(each.cost)}"
        today = self.found.today
        day = f"needed {said.short_day(each.wanted_on, today)}" if each.wanted_on else ""
        return ", ".join(filter(None, (said.numbers(each.jobs, self.found), cost, day)))

    def _cents(self, amount: Decimal) -> str:
        return said.cents(amount, self.found.currency)
