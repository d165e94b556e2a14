"""What vendors ask of an order, and how an order that falls short is best lifted to it.

A vendor is used in one of three ways: not at all; with its delivery paid; or with an order large
enough that delivery is free. In each way the charge is fixed and the order has a least value, so
that a plan belongs to one `Mode` for all vendors together.
"""

import itertools
from bisect import bisect_left
from collections.abc import Iterable, Iterator, Sequence
from typing import Generic, NamedTuple

from service.estimating.covers import LANE, LANE_MASK, NEVER, OFF, WEIGHT, Pricing
from service.estimating.offers import Item, Terms
from service.estimating.question import Question


class Mode(NamedTuple):
    """Charges [1/1000 cent], which vendors are OFF, and what is asked of each order [cents]."""

    charges: int
    pricing: Pricing
    asked: tuple[int, ...]


def modes(terms: Sequence[Terms], met: Sequence[bool]) -> Iterator[Mode]:
    """Every way to use the vendors with `terms` that are `met` with in the question."""
    each = [_uses(t) if here else [(0, 0, 0)] for t, here in zip(terms, met, strict=True)]
    for uses in itertools.product(*each):
        yield Mode(
            charges=WEIGHT * sum(charge for _, charge, _ in uses),
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
    """What is left of the room [1/1000 cent], and what orders are lifted by, (lane, cents)."""

    room: int
    lifts: tuple[tuple[int, int], ...]


class Good(NamedTuple, Generic[Item]):
    """A pack of `item`, or a bundle where that is None: price [cents] and cost [1/1000 cent]."""

    price: int
    cost: int
    item: Item | None
    place: int


class Lift(Generic[Item]):
    """The cheapest goods of one vendor for any sum of money, worked out only as far as asked.

    That is a covering again, by packs whose size is their price: `share` [per mille] of every sum
    is lost at the least, the rest may come back as leftovers.
    """

    def __init__(self, goods: Iterable[Good[Item]], share: int) -> None:
        best: dict[int, Good[Item]] = {}
        for good in goods:
            if good.price not in best or good.cost < best[good.price].cost:
                best[good.price] = good
        self._share = share
        self._goods = [best[price] for price in sorted(best)]
        self._prices = [good.price for good in self._goods]
        self._known = {0: (0, -1)}

    def cost(self, short: int) -> int:
        """The least cost [1/1000 cent] of goods for `short` [cents] or more."""
        if short <= 0:
            return 0
        if short not in self._known:
            for each in self._below(short):
                self._known[each] = self._last(each)
        return self._known[short][0]

    def goods(self, short: int) -> list[Good[Item]]:
        """The goods that cost so little, one by one."""
        self.cost(short)
        goods = []
        while short > 0:
            goods.append(self._goods[self._known[short][1]])
            short = max(0, short - goods[-1].price)
        return goods

    def _below(self, short: int) -> list[int]:
        """All sums that goods can leave of `short` and that are not known, rising."""
        needed, stack = {short}, [short]
        while stack:
            each = stack.pop()
            for price in self._prices[: bisect_left(self._prices, each)]:
                rest = each - price
                if rest not in needed and rest not in self._known:
                    needed.add(rest)
                    stack.append(rest)
        return sorted(needed)

    def _last(self, short: int) -> tuple[int, int]:
        """The least cost, and the place of one of the goods."""
        at = bisect_left(self._prices, short)
        enough = ((good.cost, at + place) for place, good in enumerate(self._goods[at:]))
        best = min(enough, default=(NEVER, -1))
        for place in range(at - 1, -1, -1):
            price, cost, _, _ = self._goods[place]
            if cost + self._share * (short - price) < best[0]:
                best = min(best, (cost + self._known[short - price][0], place))
        return best


class Lifting(Generic[Item]):
    """Goods bought for the value of an order alone, where that is cheaper than what it lacks.

    `least_share` is, by lane, how little of the money for them can be lost [per mille].
    """

    def __init__(self, question: Question[Item]) -> None:
        self._question = question
        self._terms = question.catalogue.terms
        lanes = range(len(self._terms))
        offered = question.offered.values()
        self.least_share = [
            min((kind.steepest[lane] for kind in offered), default=WEIGHT) for lane in lanes
        ]
        for mix in question.mixes:
            if mix.vendor < len(lanes):
                share = min(self.least_share[mix.vendor], mix.cost // mix.price)
                self.least_share[mix.vendor] = share
        self._lifts: dict[int, Lift[Item]] = {}

    def lift(self, lane: int) -> Lift[Item]:
        """What an order in `lane` can be lifted by."""
        found = self._lifts.get(lane)
        if found is None:
            found = self._lifts[lane] = Lift(self._goods(lane), self.least_share[lane])
        return found

    def due(self, spent: int, room: int) -> Due | None:
        """The least on top of orders of these values, so that every vendor takes its order.

        None where it comes to `room` [1/1000 cent] or more.
        """
        lifts = []
        for lane, terms in enumerate(self._terms):
            value = spent >> lane * LANE & LANE_MASK
            if value:
                dearer, short = self._due(lane, terms, value, room)
                room -= dearer
                if room <= 0:
                    return None
                if short:
                    lifts.append((lane, short))
        return Due(room, tuple(lifts))

    def _due(self, lane: int, terms: Terms, value: int, room: int) -> tuple[int, int]:
        minimum, free, share = terms.minimum, terms.free_from, self.least_share[lane]
        best = WEIGHT * terms.delivery, 0
        if free is not None and value >= max(minimum, free):
            return 0, 0
        if value < minimum:
            short = minimum - value
            within = best[0] + share * short < room
            best = best[0] + self.lift(lane).cost(short) if within else NEVER, short
        if free is not None:
            short = max(minimum, free) - value
            if share * short < min(best[0], room):
                best = min(best, (self.lift(lane).cost(short), short))
        return best

    def _goods(self, lane: int) -> Iterator[Good[Item]]:
        for item, kind in self._question.offered.items():
            for offered in kind.offered:
                if kind.vendors[offered.pack] == lane:
                    price = kind.packs[offered.pack].cost
                    yield Good(price, offered.cost, item, offered.pack)
        for mix in self._question.mixes:
            if mix.vendor == lane:
                yield Good(mix.price, mix.cost, None, mix.place)
