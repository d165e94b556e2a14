"""What vendors ask of an order, and how an order that falls short is best lifted to it.

A vendor is used in one of three ways: not at all; with its delivery paid; or with an order large
enough that delivery is free. In each way the charge is fixed and the order has a least value, so
that a plan belongs to one `Mode` for all vendors together.
"""

import itertools
from bisect import bisect_left
from collections.abc import Iterable, Iterator
from functools import lru_cache
from itertools import accumulate
from typing import Generic, NamedTuple

from service.estimating.covering.covers import NEVER, OFF, WEIGHT, Pricing
from service.estimating.covering.offers import Item, Terms
from service.estimating.covering.question import Question
from service.estimating.covering.spends import LANE, LANE_MASK


class Mode(NamedTuple):
    """Charges [1/1000 cent], which vendors are OFF, and what is asked of each order [cents]."""

    charges: int
    pricing: Pricing
    asked: tuple[int, ...]


@lru_cache(maxsize=256)
def modes(terms: tuple[Terms, ...], met: tuple[bool, ...]) -> tuple[Mode, ...]:
    """Every way to use the vendors with `terms` that are `met` with in the question."""
    each = [_uses(t) if here else [(0, 0, 0)] for t, here in zip(terms, met, strict=True)]
    return tuple(
        Mode(
            charges=WEIGHT * sum(charge for _, charge, _ in uses),
            pricing=(*(use for use, _, _ in uses), 0),
            asked=tuple(asked for _, _, asked in uses),
        )
        for uses in itertools.product(*each)
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
        # The cheapest single one of those with a price, or a higher one.
        singles = ((good.cost, place) for place, good in reversed([*enumerate(self._goods)]))
        self._singles = [*accumulate(singles, min)][::-1]
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
        best = self._singles[at] if at < len(self._singles) else (NEVER, -1)
        for place in range(at - 1, -1, -1):
            price, cost, _, _ = self._goods[place]
            if cost + self._share * (short - price) < best[0]:
                best = min(best, (cost + self._known[short - price][0], place))
        return best


class Lifting(Generic[Item]):
    """Goods bought for the value of an order alone, where that is cheaper than what it lacks.

    `met` says, by lane, whether anything could be bought there, and `least_share` how little of
    the money for such goods can be lost [per mille].
    """

    def __init__(self, question: Question[Item]) -> None:
        self._question = question
        self._terms = question.catalogue.terms
        self._lanes = range(len(self._terms))
        self._kinds = {kind: item for item, kind in question.offered.items()}
        self.least_share = [WEIGHT for _ in self._lanes]
        met = set()
        for kind in self._kinds:
            for lane, share in kind.steepest.items():
                met.add(lane)
                self.least_share[lane] = min(self.least_share[lane], share)
        for mix in question.mixes:
            if mix.vendor < len(self._terms):
                met.add(mix.vendor)
                share = min(self.least_share[mix.vendor], mix.cost // mix.price)
                self.least_share[mix.vendor] = share
        self.met = tuple(lane in met for lane in self._lanes)
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
        values = [(lane, v) for lane in self._lanes if (v := spent >> lane * LANE & LANE_MASK)]
        room -= sum(self._floor(lane, value) for lane, value in values)
        lifts = []
        for lane, value in values:
            if room <= 0:
                return None
            dearer, short = self._due(lane, value)
            room -= dearer - self._floor(lane, value)
            if short:
                lifts.append((lane, short))
        return Due(room, tuple(lifts)) if room > 0 else None

    def _floor(self, lane: int, value: int) -> int:
        """What is due in a lane at the least, by the share of any lift that is lost."""
        terms, share = self._terms[lane], self.least_share[lane]
        if terms.free_from is None:
            return WEIGHT * terms.delivery + share * max(0, terms.minimum - value)
        return min(
            WEIGHT * terms.delivery + share * max(0, terms.minimum - value),
            share * max(0, max(terms.minimum, terms.free_from) - value),
        )

    def _due(self, lane: int, value: int) -> tuple[int, int]:
        terms, share = self._terms[lane], self.least_share[lane]
        free, charge = terms.free_from, WEIGHT * terms.delivery
        best = charge, 0
        if value < terms.minimum:
            short = terms.minimum - value
            best = charge + self.lift(lane).cost(short), short
        if free is not None and charge:
            short = max(0, max(terms.minimum, free) - value)
            if share * short < best[0]:
                best = min(best, (self.lift(lane).cost(short), short))
        return best

    def _goods(self, lane: int) -> Iterator[Good[Item]]:
        for kind, item in self._kinds.items():
            for price, cost, pack in kind.goods.get(lane, ()):
                yield Good(price, cost, item, pack)
        for mix in self._question.mixes:
            if mix.vendor == lane:
                yield Good(mix.price, mix.cost, None, mix.place)
