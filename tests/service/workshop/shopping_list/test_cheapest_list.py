"""A shopping list covers what is needed, and nothing covers it at a lower cost."""

import datetime as dt
import itertools
from collections import Counter
from collections.abc import Mapping
from dataclasses import replace
from decimal import Decimal

from hypothesis import given, settings
from hypothesis import strategies as st

from service.estimating import Brief, PriceBook
from service.estimating.book import Bag, Holding, Key, Kit, Supplier
from tests.service.workshop.any_brief import BRIEFS
from tests.service.workshop.build_sheet.sheets import estimated, sheet_for
from tests.service.workshop.shopping_list.listing import (
    COLOURS,
    TODAY,
    demo,
    fewest,
    job,
    listed,
    taking,
    there,
)

SHELVES = st.dictionaries(
    st.tuples(st.sampled_from([5, 10, 11, 18]), st.sampled_from(COLOURS)),
    st.integers(1, 60),
    max_size=4,
)


MAKING = st.none() | st.integers(2, 40).map(lambda days: TODAY + dt.timedelta(days))


@settings(deadline=None, max_examples=20)
@given(brief=BRIEFS, free=SHELVES)
def test_the_list_covers_the_build_sheet_and_its_spares(brief: Brief, free: dict[Key, int]) -> None:
    made = listed(job(estimated(brief).spares), free=free)
    needed = Counter[Key]()
    for total in sheet_for(brief).totals:
        needed[total.size_class, total.colour] += total.count + total.spares
    found = there(made)
    assert all(found[key] >= number for key, number in needed.items())
    for each in made.shelf:
        assert each.free <= free.get((each.size_class, each.colour), 0)


@settings(deadline=None, max_examples=15)
@given(wanted=st.lists(st.tuples(BRIEFS, MAKING), min_size=2, max_size=3))
def test_together_is_never_dearer_than_one_list_for_each(
    wanted: list[tuple[Brief, dt.date | None]],
) -> None:
    jobs = [
        job(estimated(brief).spares, f"G{number}", making_on=making_on)
        for number, (brief, making_on) in enumerate(wanted)
    ]
    together = listed(*jobs)
    assert together.proven
    assert together.cost <= sum((listed(each).cost for each in jobs), Decimal(0))


SIZES = st.integers(2, 6)
PRICES = st.integers(200, 700).map(lambda cents: Decimal(cents) / 100)
TAKEN = st.integers(1, 9)


@st.composite
def small_books(draw: st.DrawFn) -> PriceBook:
    """Two suppliers with terms of their own, two bags of each of two sizes, a mixed pack."""
    mill, bridge = "Millrace Party Supply", "Two Bridges Wholesale"
    terms = [
        Supplier(
            name=name,
            delivery=draw(st.sampled_from([Decimal("0.00"), Decimal("3.50")])),
            free_from=draw(st.none() | st.sampled_from([Decimal("6.00"), Decimal("14.00")])),
            minimum=draw(st.sampled_from([Decimal("0.00"), Decimal("9.00")])),
        )
        for name in (mill, bridge)
    ]
    bags = [
        Bag(
            supplier=name,
            group="plain",
            size_class=size,
            pack_size=draw(SIZES),
            unit_price=draw(PRICES),
        )
        for name in (mill, bridge)
        for size in (5, 10)
    ]
    kit = Kit(
        item="mixed pack mill pond",
        supplier=draw(st.sampled_from([mill, bridge])),
        unit_price=draw(PRICES) + 1,
        contents=tuple(
            Holding(size_class=size, colour="white", count=draw(SIZES)) for size in (5, 10)
        ),
    )
    usual = demo()
    special = [bag for bag in usual.bags if bag.group == usual.special_order_group]
    return replace(
        usual,
        suppliers=tuple(terms),
        bags=(*bags, *special),
        kits=(kit,),
        substitutes=(),
        stock=(),
    )


def least_cost(book: PriceBook, wanted: Mapping[int, int]) -> int:
    """What covers so many of each size costs at the least [cents], by trying everything."""
    bags = [bag for bag in book.bags if bag.group == "plain"]
    (kit,) = book.kits
    goods: list[tuple[str, int, dict[int, int]]] = [
        (bag.supplier, int(bag.unit_price * 100), {bag.size_class: bag.pack_size}) for bag in bags
    ]
    goods.append(
        (kit.supplier, int(kit.unit_price * 100), {h.size_class: h.count for h in kit.contents})
    )
    asked = {s.name: int(max(s.minimum, s.free_from or Decimal(0)) * 100) for s in book.suppliers}
    ranges = [
        range(
            1
            + max(
                *(-(-wanted[size] // count) for size, count in holds.items()),
                -(-asked[supplier] // price),
            )
        )
        for supplier, price, holds in goods
    ]
    best = 10**9
    for numbers in itertools.product(*ranges):
        spent, held = Counter[str](), Counter[int]()
        for number, (supplier, price, holds) in zip(numbers, goods, strict=True):
            if number:
                spent[supplier] += number * price
                for size, count in holds.items():
                    held[size] += number * count
        if all(held[size] >= number for size, number in wanted.items()):
            best = min(best, _paid(book, spent, best))
    return best


def _paid(book: PriceBook, spent: Mapping[str, int], never: int) -> int:
    whole = 0
    for supplier in book.suppliers:
        spend = spent.get(supplier.name, 0)
        if not spend:
            continue
        if spend < supplier.minimum * 100:
            return never
        free = supplier.free_from is not None and spend >= supplier.free_from * 100
        whole += spend + (0 if free else int(supplier.delivery * 100))
    return whole


@settings(deadline=None, max_examples=25)
@given(
    book=small_books(),
    placed=st.tuples(TAKEN, TAKEN, TAKEN),
    shelf=st.tuples(st.integers(0, 4), st.integers(0, 4)),
)
def test_for_a_few_balloons_it_costs_what_trying_everything_finds(
    book: PriceBook, placed: tuple[int, int, int], shelf: tuple[int, int]
) -> None:
    small, large, more = placed
    level = book.policy.service_level
    spares = [
        (taking(5, small, level), taking(10, large, level)),
        (taking(10, more, level),),
    ]
    jobs = [job(each, f"G{number}") for number, each in enumerate(spares)]
    jobs[0] = replace(jobs[0], has={(5, "white"): shelf[0]})
    found = listed(*jobs, free={(10, "white"): shelf[1]}, book=book)
    each_alone = fewest(large, 0.05, level) + fewest(more, 0.05, level)
    wanted = {
        5: max(0, fewest(small, 0.05, level) - shelf[0]),
        10: max(0, min(each_alone, fewest(large + more, 0.05, level)) - shelf[1]),
    }
    assert found.proven
    assert int(found.cost * 100) == least_cost(book, wanted)
