"""What vendors ask of an order, and how an order that falls short is best lifted to it.

A vendor is used in one of three ways: not at all; with its delivery paid; or with an order large
enough that delivery is free. In each way the charge is fixed and the order has a least value, so
that a plan belongs to one `Mode` for all vendors together.
"""

import itertools
import math
from collections.abc import Iterator, Sequence
from typing import Generic, NamedTuple

from service.estimating.covers import (
    LANE,
    LANE_MASK,
    OFF,
    Least,
    Offered,
    Pricing,
    ample,
)
from service.estimating.offers import RATE, Item, Terms
from service.estimating.question import Question


class Mode(NamedTuple):
    """Charges [1/100 cent], which vendors are OFF, and what is asked of each order [cents]."""

    charges: int
    pricing: Pricing
    asked: tuple[int, ...]


def modes(terms: Sequence[Terms], met: Sequence[bool]) -> Iterator[Mode]:
    """Every way to use the vendors with `terms` that are `met` with in the question."""
    each = [_uses(t) if here else [(0, 0, 0)] for t, here in zip(terms, met, strict=True)]
    for uses in itertools.product(*each):
        yield Mode(
            charges=RATE * sum(charge for _, charge, _ in uses),
            pricing=(*(use for use, _, _ in uses), 0),
            asked=tuple(asked for _, _, asked in uses),
        )


def _uses(terms: Terms) -> list[tuple[int, int, int]]:
    """(OFF or 0, charge, least value) of each way to use a vendor."""
    if not terms.delivery:
        return [(OFF, 0, 0), (0, 0, terms.minimum)] if terms.minimum else [(0, 0, 0)]
    uses = [(OFF, 0, 0)]
    if terms.free_from is None or terms.free_from > terms.minimum:
        uses.append((0, terms.delivery, terms.minimum))
    if terms.free_from is not None:
        uses.append((0, 0, max(terms.free_from, terms.minimum)))
    return uses


class Due(NamedTuple):
    """What comes on top of the goods [1/100 cent], and what orders are lifted by, (lane, cents)."""

    cost: int
    lifts: tuple[tuple[int, int], ...]


class Good(NamedTuple, Generic[Item]):
    """A pack of `item`, or a bundle where that is None: price [cents] and cost [1/100 cent]."""

    price: int
    cost: int
    item: Item | None
    place: int


class Lifting(Generic[Item]):
    """Goods bought for the value of the order alone: the cheapest for what it lacks.

    That is a covering again, of a sum of money, by packs whose size is their price. `least_share`
    is, by lane, how little of such money can be lost [percent]: some comes back as leftovers.
    """

    def __init__(self, question: Question[Item]) -> None:
        self._question = question
        self._terms = question.catalogue.terms
        lanes = range(len(self._terms))
        offered = question.offered.values()
        self.least_share = [min((k.steepest[lane] for k in offered), default=100) for lane in lanes]
        for mix in question.mixes:
            if mix.vendor < len(lanes):
                share = min(self.least_share[mix.vendor], mix.cost // mix.price)
                self.least_share[mix.vendor] = share
        self._goods: dict[int, list[Good[Item]]] = {}
        self._tables: dict[int, Least] = {}

    def cost(self, lane: int, short: int) -> int:
        """The least cost [1/100 cent] of goods for `short` [cents] or more."""
        return self._table(lane, short).cost[short] if short > 0 else 0

    def goods(self, lane: int, short: int) -> list[Good[Item]]:
        """The goods that cost so little, one by one."""
        goods = self._of(lane)
        return [goods[place] for place in self._table(lane, short).packs(short)]

    def due(self, spent: int) -> Due:
        """The least on top of orders of these values, so that every vendor takes its order."""
        cost, lifts = 0, []
        for lane, terms in enumerate(self._terms):
            value = spent >> lane * LANE & LANE_MASK
            if value:
                dearer, short = self._due(lane, terms, value)
                cost += dearer
                if short:
                    lifts.append((lane, short))
        return Due(cost, tuple(lifts))

    def _due(self, lane: int, terms: Terms, value: int) -> tuple[int, int]:
        minimum, free = terms.minimum, terms.free_from
        asked = minimum if free is None else max(minimum, free)
        if value >= asked and free is not None:
            return 0, 0
        charge = RATE * terms.delivery
        best = charge + self.cost(lane, minimum - value), max(0, minimum - value)
        short = asked - value
        if charge and free is not None and self.least_share[lane] * short < best[0]:
            best = min(best, (self.cost(lane, short), short))
        return best

    def _of(self, lane: int) -> list[Good[Item]]:
        found = self._goods.get(lane)
        if found is None:
            cheapest: dict[int, Good[Item]] = {}
            for good in self._all(lane):
                if good.price not in cheapest or good.cost < cheapest[good.price].cost:
                    cheapest[good.price] = good
            found = self._goods[lane] = [cheapest[price] for price in sorted(cheapest)]
        return found

    def _all(self, lane: int) -> Iterator[Good[Item]]:
        for item, kind in self._question.offered.items():
            for offered in kind.offered:
                if kind.vendors[offered.pack] == lane:
                    price = kind.packs[offered.pack].cost
                    yield Good(price, offered.cost, item, offered.pack)
        for mix in self._question.mixes:
            if mix.vendor == lane:
                yield Good(mix.price, mix.cost, None, mix.place)

    def _table(self, lane: int, short: int) -> Least:
        found = self._tables.get(lane)
        if found is None or short >= len(found.cost):
            goods = self._of(lane)
            unit = math.gcd(*(good.price for good in goods))
            offered = [Offered(g.price // unit, g.cost, 0, at) for at, g in enumerate(goods)]
            found = self._tables[lane] = Least(offered, unit, ample(short))
        return found
