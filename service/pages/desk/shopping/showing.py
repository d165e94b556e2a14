"""A shopping list as its page shows it."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from decimal import Decimal

from service.leads import words
from service.leads.ports import UnitOfWork
from service.leads.purchases import Purchase
from service.pages.desk.access import Desk
from service.pages.desk.shopping.goods import of_besides, of_line, written
from service.workshop.shopping_list import (
    Besides,
    Line,
    ShoppingList,
    Sooner,
    Sort,
    Supplied,
    Timing,
)
from service.workshop.shopping_list import wording as said

_LATE = (Timing.JUST, Timing.LATE)


@dataclass(frozen=True, kw_only=True, slots=True)
class Row:
    """Something to buy; `goods` is what its form carries, `hex` None where it has no one shade.

    `field` ends the names of its fields: the same pack may be listed at two places of the page.
    """

    field: str
    goods: str
    title: str
    hex: str | None
    packs: int
    unit: str
    cost: Decimal
    notes: Sequence[str]
    late: bool = False


@dataclass(frozen=True, kw_only=True, slots=True)
class Section:
    """What to buy at one supplier, with what to get sooner."""

    name: str
    when: str
    late: bool
    rows: Sequence[Row]
    delivery: Decimal
    total: Decimal
    sooner: str = ""
    sooner_rows: Sequence[Row] = ()
    sooner_cost: Decimal = Decimal(0)


@dataclass(frozen=True, kw_only=True, slots=True)
class Done:
    """A purchase that was written down."""

    id: str
    title: str
    word: str
    where: str
    packs: int
    cost: Decimal
    currency: str
    when: str
    who: str
    jobs: Sequence[tuple[str, str]]


def sections(found: ShoppingList, desk: Desk) -> Iterator[Section]:
    """The suppliers, in the order of the list."""
    for supplier in found.suppliers:
        sooner = supplier.sooner
        yield Section(
            name=supplier.name,
            when=said.ordered(supplier, found.today),
            late=supplier.timing in (*_LATE, Timing.TODAY),
            rows=[_row(line, supplier, found, desk) for line in supplier.lines],
            delivery=supplier.delivery,
            total=supplier.total,
            sooner=said.sooner(sooner, found.today) if sooner else "",
            sooner_rows=list(_sooner_rows(sooner, supplier, found, desk)),
            sooner_cost=sooner.cost if sooner else Decimal(0),
        )


def besides(found: ShoppingList, sort: Sort) -> list[Row]:
    """What is needed besides balloons."""
    return [_extra(each, found) for each in found.besides if each.sort is sort]


def supplies(found: ShoppingList) -> list[str]:
    """What is at hand as a rule."""
    return [said.how_many(each) for each in found.besides if each.sort is Sort.SUPPLIES]


def done(work: UnitOfWork, purchases: Iterable[Purchase], desk: Desk) -> Iterator[Done]:
    """Purchases with the jobs that they were for, by number and path."""
    for purchase in purchases:
        leads = [work.leads.get(job.lead_id) for job in purchase.jobs]
        yield Done(
            id=purchase.id,
            title=purchase.item,
            word="Packs" if purchase.contents else "Number",
            where=f"from {purchase.supplier}" if purchase.supplier else "",
            packs=purchase.packs,
            cost=purchase.cost,
            currency=purchase.currency,
            when=words.day(purchase.bought_at.astimezone(desk.visit.zone).date()),
            who="you" if purchase.who == desk.who else purchase.who,
            jobs=[(lead.number, f"/desk/leads/{lead.id}") for lead in leads],
        )


def _sooner_rows(
    sooner: Sooner | None, supplier: Supplied, found: ShoppingList, desk: Desk
) -> Iterator[Row]:
    for line in sooner.lines if sooner else ():
        yield _row(line, supplier, found, desk, where=line.supplier)


def _row(
    line: Line, supplier: Supplied, found: ShoppingList, desk: Desk, *, where: str = ""
) -> Row:
    colour = desk.visit.book.colour(line.colour) if line.colour else None
    when = "" if where else said.line_ordered(line, supplier, found.today)
    notes = (
        f"at {where}" if where else "",
        said.inside(line, desk.visit.words),
        said.numbers(line.jobs, found),
        when,
    )
    return Row(
        field=f"{line.id}-sooner" if where else line.id,
        goods=written(line.id, of_line(line), line.packs),
        title=said.title(line, desk.visit.words),
        hex=colour.hex if colour else None,
        packs=line.packs,
        unit="pack" if line.packs == 1 else "packs",
        cost=line.cost,
        notes=[note for note in notes if note],
        late=line.timing in _LATE and not where,
    )


def _extra(each: Besides, found: ShoppingList) -> Row:
    day = f"needed {said.short_day(each.wanted_on, found.today)}" if each.wanted_on else ""
    return Row(
        field=each.id,
        goods=written(each.id, of_besides(each), each.count),
        title=each.item,
        hex=None,
        packs=each.count,
        unit="",
        cost=each.cost,
        notes=[note for note in (said.numbers(each.jobs, found), day) if note],
    )
