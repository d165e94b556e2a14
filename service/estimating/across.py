"""One shopping list for several jobs: their balloons pooled, then bought at the least cost."""

from collections import Counter
from collections.abc import Collection, Iterable, Mapping, Sequence
from itertools import chain
from typing import NamedTuple

from service.estimating.answer import Shopping, SpareLine
from service.estimating.book import Key, Offer, PriceBook
from service.estimating.covering import cheapest
from service.estimating.covering.integer_program import optimum
from service.estimating.covering.offers import Pack, Uncoverable
from service.estimating.covering.plans import Basket, Plan, Wants, settle
from service.estimating.shopping import offers_for, purchase, sold_by
from service.estimating.spares import enough_of, whole_of

TIME_LIMIT_S = 10.0
"""So long the solver may look for a proven optimum; then the gap is reported."""

AT_LEAST_S = 2.0
"""So long the jobs' own lists may take together, where there is no pooled one."""


class _Bought(NamedTuple):
    """A plan, and the balloons that it was made for."""

    plan: Plan[Key]
    wanted: Mapping[Key, int]


def shopping_for(
    takings: Iterable[Sequence[SpareLine]],
    book: PriceBook,
    *,
    stock: Mapping[Key, int] | None = None,
    suppliers: Collection[str] | None = None,
    time_limit_s: float = TIME_LIMIT_S,
) -> Shopping:
    """What to buy for all jobs together that take so much, proven the cheapest, or with its gap.

    `stock` is what there is for them, where that is not the book's own stock. With `suppliers` only
    their bags are bought, though anybody's mixed packs; Uncoverable where they lack some of it.

    Spares are pooled as well: the balloons of a size and colour guard every job that has them.
    What is in stock is taken once, though each estimate reckons with all of it. By what the search
    makes least (`Plan.objective`) it is never dearer than the jobs' own lists, bought in turn from
    the stock that the one before has left: where no proof is found within `time_limit_s` [s], the
    better of the two is taken.
    """
    jobs = tuple(takings)
    wanted = pooled_needs(jobs, book.policy.service_level)
    offers = offers_for(wanted, book)
    if suppliers is not None:
        offers = {key: sold_by(suppliers, offer) for key, offer in offers.items()}
        if not all(offers[key].packs for key in wanted):
            raise Uncoverable("these suppliers do not have all of it")
    shelf = _of_use(book.stock_of if stock is None else stock, offers)
    best = _solved(wanted, offers, shelf, book, time_limit_s)
    if best is None or not best.plan.proven:
        best = _better(best, jobs, offers, shelf, book, time_limit_s)
    return purchase(best.plan, best.wanted, offers, book).shopping


def pooled_needs(jobs: Sequence[Sequence[SpareLine]], service_level: float) -> Mapping[Key, int]:
    """Balloons to take for all jobs: placed and spare, and never more than each takes by itself."""
    whole: Counter[Key] = Counter()
    taken: Counter[Key] = Counter()
    breakage: dict[Key, float] = {}
    for line in chain.from_iterable(jobs):
        key = line.size_class, line.colour
        whole[key] += whole_of(line.taken, line.breakage, service_level, at_least=line.placed)
        taken[key] += line.taken
        # Estimates of different days may have learnt different odds.
        breakage[key] = max(line.breakage, breakage.get(key, 0.0))
    return {
        key: min(taken[key], enough_of(whole[key], breakage[key], service_level)[0])
        for key in sorted(whole)
    }


def _solved(
    wanted: Mapping[Key, int],
    offers: Mapping[Key, Offer],
    stock: Mapping[Key, int],
    book: PriceBook,
    time_limit_s: float,
) -> _Bought | None:
    """The solver's plan, None where it found none in time."""
    packs = _packs(offers)
    try:
        plan = optimum(book.shelf.market, wanted, packs, stock=stock, time_limit_s=time_limit_s)
    except TimeoutError:
        return None
    return _Bought(plan, wanted)


def _better(
    pooled: _Bought | None,
    jobs: Sequence[Sequence[SpareLine]],
    offers: Mapping[Key, Offer],
    stock: Mapping[Key, int],
    book: PriceBook,
    time_limit_s: float,
) -> _Bought:
    # Fewer balloons are pooled than bought in turn, so that the solver's bound holds for both.
    bound = pooled.plan.objective * (1 - pooled.plan.gap) if pooled else 0.0
    each_s = max(time_limit_s, AT_LEAST_S) / max(1, len(jobs))
    try:
        in_turn = _in_turn(jobs, offers, stock, book, bound, each_s)
    except TimeoutError:
        if pooled is None:
            raise
        return pooled
    if pooled and pooled.plan.objective <= in_turn.plan.objective:
        return pooled
    return in_turn


def _in_turn(
    jobs: Sequence[Sequence[SpareLine]],
    offers: Mapping[Key, Offer],
    stock: Mapping[Key, int],
    book: PriceBook,
    bound: float,
    each_s: float,
) -> _Bought:
    """Every job's own list, one after another; no plan costs less than `bound` [1/100 cent].

    For each of them `each_s` [s] may be taken.
    """
    market, packs = book.shelf.market, _packs(offers)
    left, wanted, fills = dict(stock), Counter[Key](), Counter[tuple[Key, Key]]()
    bought = {key: [0] * len(each) for key, each in packs.items()}
    bundles = [0] * len(market.conditions.bundles)
    for job in jobs:
        own = {(line.size_class, line.colour): line.taken for line in job}
        sold = {key: packs[key] for key in offers_for(own, book)}
        plan = cheapest(market, own, sold, stock=left, time_limit_s=each_s)
        wanted.update(own)
        fills.update(plan.fills)
        for key, number in plan.from_stock.items():
            left[key] -= number
        # What one job leaves over in its packs serves the next.
        for key, number in plan.leftovers.items():
            left[key] = left.get(key, 0) + number
        for key, numbers in plan.packs.items():
            bought[key] = _added(bought[key], numbers)
        bundles = _added(bundles, plan.bundles)
    basket = Basket(
        packs={key: tuple(numbers) for key, numbers in bought.items()},
        bundles=tuple(bundles),
        fills=fills,
    )
    wants = Wants(demands=wanted, packs=packs, stock=stock)
    return _Bought(settle(market.conditions, wants, basket, bound=bound), wanted)


def _added(one: Sequence[int], other: Sequence[int]) -> list[int]:
    return [a + b for a, b in zip(one, other, strict=True)]


def _packs(offers: Mapping[Key, Offer]) -> Mapping[Key, tuple[Pack, ...]]:
    return {key: offer.packs for key, offer in offers.items()}


def _of_use(stock: Mapping[Key, int], offers: Mapping[Key, Offer]) -> Mapping[Key, int]:
    return {key: stock[key] for key in offers if stock.get(key)}
