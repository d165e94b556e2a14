"""From a question to its shopping list: solved, by supplier, with dates and whom each line is for.

It may look for a proof for seconds: ask outside of any transaction.
"""

import hashlib
from collections import Counter
from collections.abc import Collection, Iterator, Mapping, Sequence
from contextlib import suppress
from dataclasses import replace
from decimal import Decimal

from service.estimating import PriceBook, Shopping, ShoppingLine, Uncoverable, shopping_for
from service.estimating.book import Holding, Key, arrives
from service.workshop.shopping_list import timing
from service.workshop.shopping_list.goods import contents_of
from service.workshop.shopping_list.sharing import ByJob, hand_out, lacks, shares
from service.workshop.shopping_list.values import (
    Besides,
    Extra,
    Job,
    Line,
    Question,
    Shelved,
    ShoppingList,
    Sort,
    StandIn,
    Supplied,
    Timing,
    Wanted,
)

WHILE_SOMEBODY_WAITS_S = 3.0
"""So long a proof is looked for while a page loads; then the gap is told."""


def solve(
    question: Question, book: PriceBook, *, time_limit_s: float = WHILE_SOMEBODY_WAITS_S
) -> ShoppingList:
    """What to buy for the jobs, at the least cost at today's offers in `book`.

    Where it costs the same, at suppliers where something was bought for them today, so that nobody
    is sent elsewhere half-way; or else at those that are in time.
    """
    shopping = _shopping(question, book, time_limit_s)
    for suppliers in _preferred(question, book):
        if not _only_at(suppliers, shopping):
            with suppress(Uncoverable, TimeoutError):
                other = _shopping(question, book, time_limit_s / 3, suppliers)
                if other.cost <= shopping.cost and _only_at(suppliers, other):
                    # What no plan can be below holds for both.
                    proven, gap = shopping.proven_cheapest, shopping.gap
                    shopping = replace(other, proven_cheapest=proven, gap=gap)
    return _listed(question, book, shopping)


def _shopping(
    question: Question,
    book: PriceBook,
    time_limit_s: float,
    suppliers: Collection[str] | None = None,
) -> Shopping:
    return shopping_for(
        [job.takes for job in question.jobs],
        book,
        stock=_there(question),
        suppliers=suppliers,
        time_limit_s=time_limit_s,
    )


def _preferred(question: Question, book: PriceBook) -> Iterator[Collection[str]]:
    """Suppliers to buy at where that costs no more; what comes later is the more welcome."""
    making = [job.making_on for job in question.jobs if job.making_on]
    if making:
        first = min(making)
        late = {
            each.name
            for each in book.suppliers
            if timing.timing_of(each, first, question.today, book) is Timing.LATE
        }
        if late:
            yield {each.name for each in book.suppliers} - late
    if question.visited:
        yield question.visited


def _only_at(suppliers: Collection[str], shopping: Shopping) -> bool:
    return all(order.supplier in suppliers for order in shopping.orders)


def _listed(question: Question, book: PriceBook, shopping: Shopping) -> ShoppingList:
    fills = fills_of(shopping)
    lacking = _to_be_bought(question, book, fills)
    make = _Lines(question, book, lacking, fills)
    return ShoppingList(
        jobs=question.jobs,
        today=question.today,
        currency=book.shop.currency,
        suppliers=tuple(make.suppliers(shopping)),
        shelf=tuple(sorted(_shelf(question, shopping), key=lambda e: (e.size_class, e.colour))),
        stand_ins=tuple(
            StandIn(wanted=wanted, source=source, count=n) for (wanted, source), n in fills.items()
        ),
        left_over=shopping.left_over,
        besides=tuple(_besides(question)),
        unknown=tuple(each for job in question.jobs for each in job.unknown),
        proven=shopping.proven_cheapest,
        gap=shopping.gap,
    )


def fills_of(shopping: Shopping) -> Mapping[tuple[Key, Key], int]:
    """How many balloons stand in for others, by (wanted, source)."""
    return {
        ((each.size_class, each.colour), (each.by_size_class, each.by_colour)): each.count
        for each in shopping.filled
    }


def purchase_id(supplier: str, item: str, times: Mapping[tuple[str, str], int]) -> str:
    """The id of the next purchase of an item there.

    Two pages that show the same line give it the same id, so that it is written down once.
    """
    named = f"{supplier}\n{item}\n{times.get((supplier, item), 0)}"
    return hashlib.blake2b(named.encode(), digest_size=16).hexdigest()


def _there(question: Question) -> Mapping[Key, int]:
    """What is free, and what the jobs have already."""
    there = Counter(question.free)
    for job in question.jobs:
        there.update(job.has)
    return there


def _to_be_bought(
    question: Question, book: PriceBook, fills: Mapping[tuple[Key, Key], int]
) -> ByJob:
    """What each job lacks once the shelf is empty."""
    wanted = shares(question.jobs, book.policy.service_level)
    return hand_out(lacks(question.jobs, wanted, book), question.free, fills).lacking


def _shelf(question: Question, shopping: Shopping) -> Iterator[Shelved]:
    aside: Counter[Key] = Counter()
    for job in question.jobs:
        aside.update(job.has)
    for line in shopping.from_stock:
        there = min(line.count, aside[line.size_class, line.colour])
        yield Shelved(
            size_class=line.size_class,
            colour=line.colour,
            aside=there,
            free=line.count - there,
        )


class _Lines:
    """The lines of one list, by supplier."""

    def __init__(
        self,
        question: Question,
        book: PriceBook,
        lacking: ByJob,
        fills: Mapping[tuple[Key, Key], int],
    ) -> None:
        self._question, self._book, self._lacking = question, book, lacking
        self._suppliers = {each.name: each for each in book.suppliers}
        self._kits = {(kit.supplier, kit.item): kit for kit in book.kits}
        # A balloon serves its own kind, and what it stands in for.
        self._serves: dict[Key, set[Key]] = {}
        for wanted, source in fills:
            self._serves.setdefault(source, set()).add(wanted)

    def suppliers(self, shopping: Shopping) -> Iterator[Supplied]:
        today, holidays = self._question.today, self._book.policy.holidays
        for order in shopping.orders:
            supplier = self._suppliers[order.supplier]
            found = (each for each in shopping.lines if each.supplier == supplier.name)
            lines = tuple(self._line(e, self._for(e)) for e in sorted(found, key=_as_shelved))
            when = _worst(lines)
            late = [line for line in lines if line.timing is Timing.LATE]
            yield Supplied(
                name=supplier.name,
                lead_days=supplier.lead_days,
                working_days=supplier.working_days,
                lines=lines,
                goods=order.goods,
                delivery=order.delivery,
                arrives_on=arrives(supplier, today, holidays),
                order_by=min((line.order_by for line in lines if line.order_by), default=None),
                timing=when,
                sooner=timing.sooner(supplier, late, self._lacking, today, self._book, self._line)
                if late
                else None,
            )

    def _line(self, line: ShoppingLine, jobs: tuple[Wanted, ...]) -> Line:
        supplier = self._suppliers[line.supplier]
        making_on = min((job.making_on for job in jobs if job.making_on), default=None)
        last = timing.last_day(supplier, making_on, self._book) if making_on else None
        return Line(
            id=purchase_id(line.supplier, line.item, self._question.times),
            supplier=line.supplier,
            item=line.item,
            size_class=line.size_class,
            colour=line.colour,
            pack_size=line.pack_size,
            contents=self._contents(line),
            packs=line.packs,
            unit_price=line.unit_price,
            cost=line.cost,
            jobs=jobs,
            making_on=making_on,
            order_by=last,
            timing=timing.timing_of(supplier, making_on, self._question.today, self._book),
        )

    def _contents(self, line: ShoppingLine) -> tuple[Holding, ...]:
        if line.size_class is not None and line.colour is not None:
            held = Holding(size_class=line.size_class, colour=line.colour, count=line.pack_size)
            return (held,)
        return contents_of(self._kits[line.supplier, line.item].contents, self._book)

    def _for(self, line: ShoppingLine) -> tuple[Wanted, ...]:
        held = {(each.size_class, each.colour) for each in self._contents(line)}
        kinds = held.union(*(self._serves.get(key, ()) for key in held))
        return tuple(
            Wanted(lead_id=job.lead_id, number=job.number, count=count, making_on=job.making_on)
            for job in self._question.jobs
            if (count := sum(self._lacking[job.lead_id].get(key, 0) for key in kinds))
        )


def _as_shelved(line: ShoppingLine) -> tuple[int, str, int]:
    """Mixed packs, then by size and colour, as a shop has its bags on the wall."""
    return line.size_class or 0, line.colour or line.item, -line.pack_size


def _worst(lines: Sequence[Line]) -> Timing:
    order = list(Timing)
    return max((line.timing for line in lines), key=order.index, default=Timing.UNDATED)


def _besides(question: Question) -> Iterator[Besides]:
    found: dict[tuple[Sort, str, str, Decimal], list[tuple[Job, Extra]]] = {}
    for job in question.jobs:
        for extra in job.extras:
            key = extra.sort, extra.item, extra.unit, extra.unit_cost
            found.setdefault(key, []).append((job, extra))
    for (sort, item, unit, unit_cost), each in found.items():
        dates = [extra.wanted_on for _, extra in each if extra.wanted_on]
        yield Besides(
            id=purchase_id("", item, question.times),
            sort=sort,
            item=item,
            unit=unit,
            count=sum(extra.count for _, extra in each),
            unit_cost=unit_cost,
            jobs=tuple(
                Wanted(
                    lead_id=job.lead_id,
                    number=job.number,
                    count=extra.count,
                    making_on=job.making_on,
                )
                for job, extra in each
            ),
            wanted_on=min(dates, default=None),
        )
