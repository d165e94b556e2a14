"""One item's packs: the least cost of covering any demand, and what else is worth a look.

Costs are weighed [1/1000 cent]: what a pack costs, less what its pieces are worth left over, since
every piece beyond the demand is a leftover whichever pack it came in. A `Pricing` leaves vendors
out, or discounts them: a discount is the multiplier of a spend that has to be reached, so that a
least cost under it bounds every plan that reaches it. So fine are the weights for its sake: per
mille of a cost in cents is then an integer.
"""

import math
from collections.abc import Hashable, Iterator, Mapping, Sequence
from itertools import accumulate
from typing import Any, NamedTuple

from service.estimating.covering.offers import Pack
from service.estimating.covering.spends import LANE, undominated

WEIGHT = 1000
"""Thousandths of a cent in a cent: the unit that costs are weighed in."""

NEVER = 10**18
"""Cost of what cannot be covered [1/1000 cent]."""

HOPELESS = NEVER // 2
"""More than any plan costs, and less than whatever holds something that cannot be covered."""

OFF = -1

Pricing = tuple[int, ...]
"""By lane: OFF, or a discount [per mille of the cost]; nought at the end, for all others."""

MOST_TABLES = 400
"""Tables of one kind of packs that are kept; then all are forgotten and made again as needed."""


class Way(NamedTuple):
    """A way to cover a demand: cost, spends, and how much dearer than the least it is.

    Costs in 1/1000 cent. `pack` was added last, to the way `before`.
    """

    cost: int
    spent: int
    extra: int
    pack: int
    before: "Way | None"


NOTHING = Way(0, 0, 0, -1, None)


class Offered(NamedTuple):
    """A pack under a pricing: size [units], cost [1/1000 cent], spends, and its place."""

    size: int
    cost: int
    spent: int
    pack: int


class Least:
    """Least costs by dynamic programming, and what they spend: `cost[n]` and `spent[n]`.

    By pieces, though packs share a unit: a search looks up far more often than a table is filled.
    """

    __slots__ = ("_choice", "_offered", "_outlasted", "_over", "cost", "rate", "spent", "unit")

    def __init__(self, offered: Sequence[Offered], unit: int, pieces: int) -> None:
        self._offered = offered
        self.unit = unit
        self._choice = [-1]
        self._over: dict[int, list[int]] = {}
        self._outlasted: dict[tuple[int, int], tuple[Least, int]] = {}
        # No more than any piece costs, so that it bounds the cost of any number.
        rates = (offer.cost // (offer.size * unit) for offer in offered)
        self.rate = min(rates, default=0)
        self.cost, self.spent = [0], [0]
        # Nought in front, so that a pack may hold more than is wanted.
        nought = max((offer.size for offer in offered), default=1)
        costs, spents = [0] * (nought + 1), [0] * (nought + 1)
        steps = [(nought - offer.size, offer.cost) for offer in offered]
        for wanted in range(1, -(-pieces // unit) + 1):
            wholes = [costs[wanted + step] + cost for step, cost in steps]
            least = min(wholes, default=NEVER)
            if least < NEVER:
                chosen = wholes.index(least)
                spent = offered[chosen].spent + spents[wanted + steps[chosen][0]]
            else:
                least, chosen, spent = NEVER, -1, 0
            costs.append(least)
            spents.append(spent)
            self._choice.append(chosen)
            self.cost.extend([least] * unit)
            self.spent.extend([spent] * unit)

    def over(self, rate: int) -> list[int]:
        """By pieces n: the least of `cost[m] - rate m` [1/1000 cent] for m up to n."""
        found = self._over.get(rate)
        if found is None:
            beyond = (cost - rate * pieces for pieces, cost in enumerate(self.cost))
            found = list(accumulate(beyond, min))
            keep(self._over, rate, found)
        return found

    def outlasts(self, source: "Least", dearer: int) -> int:
        """Up to how many pieces cost no more than from `source`, `dearer` [1/1000 cent] each."""
        key = id(source), dearer
        found = self._outlasted.get(key)
        if found is None:
            theirs = (cost + dearer * pieces for pieces, cost in enumerate(source.cost))
            pairs = enumerate(zip(self.cost, theirs, strict=False))
            beaten = (pieces for pieces, (mine, other) in pairs if mine > other)
            # The source is kept as well, so that its id stays its own.
            found = source, next(beaten, min(len(self.cost), len(source.cost))) - 1
            keep(self._outlasted, key, found)
        return found[1]

    def packs(self, pieces: int) -> list[int]:
        """The packs that cover `pieces`, one by one."""
        packs, wanted = [], -(-pieces // self.unit)
        while wanted > 0:
            size, _, _, pack = self._offered[self._choice[wanted]]
            packs.append(pack)
            wanted -= size
        return packs


class Frontier:
    """Ways to cover a demand, no dearer under a pricing than the least by more than `window`.

    Those are left out that another beats in cost and in all spends that matter at once. Made as
    they are asked for: near the least, few packs lead from a demand to what is left of it.
    """

    __slots__ = ("_lanes", "_offered", "_ways", "_window", "least")

    def __init__(
        self,
        offered: Sequence[tuple[Offered, int]],
        least: Least,
        lanes: Sequence[int],
        window: int,
    ) -> None:
        self.least = least
        self._offered = offered
        self._lanes, self._window = lanes, window
        self._ways: dict[int, list[Way]] = {0: [NOTHING]}

    def ways(self, pieces: int) -> list[Way]:
        """The ways, the cheapest first."""
        units = -(-pieces // self.least.unit) if pieces > 0 else 0
        found = self._ways.get(units)
        if found is None:
            for below in self._below(units):
                self._ways[below] = self._made(below)
            found = self._ways[units]
        return found

    def _below(self, units: int) -> list[int]:
        """All that `units` can leave to cover and that is not known, rising."""
        needed, stack = {units}, [units]
        while stack:
            for rest, _, _ in self._steps(stack.pop()):
                if rest not in needed and rest not in self._ways:
                    needed.add(rest)
                    stack.append(rest)
        return sorted(needed)

    def _steps(self, units: int) -> Iterator[tuple[int, int, Offered]]:
        """For each pack that is near the least: what it leaves, how much dearer it is, itself."""
        cost, unit = self.least.cost, self.least.unit
        least = cost[units * unit]
        for offered, reduced in self._offered:
            rest = max(0, units - offered.size)
            dearer = reduced + cost[rest * unit] - least
            if dearer <= self._window:
                yield rest, dearer, offered

    def _made(self, units: int) -> list[Way]:
        found = []
        for rest, dearer, (_, cost, spent, pack) in self._steps(units):
            room = self._window - dearer
            found += [
                Way(way.cost + cost, way.spent + spent, way.extra + dearer, pack, way)
                for way in self._ways[rest]
                if way.extra <= room
            ]
        return undominated(found, self._lanes)


class Kind:
    """One tuple of packs whose leftover pieces are worth `value` [1/1000 cent], under any pricing.

    `lanes` numbers the vendors that have terms; those of a pack without come after them.
    `goods` are, by lane, packs as (price, cost, place), and `steepest` is the highest discount
    [per mille] under which none of them costs less than nothing.
    """

    __slots__ = (
        "_frontiers",
        "_least",
        "goods",
        "offered",
        "packs",
        "steepest",
        "unit",
        "vendors",
    )

    def __init__(self, packs: Sequence[Pack], value: int, lanes: Mapping[Hashable, int]) -> None:
        self.packs = packs
        self.unit = math.gcd(*(pack.size for pack in packs)) if packs else 1
        self.vendors = [lanes.get(pack.vendor, len(lanes)) for pack in packs]
        # The largest first: of two that cost the same, the one with fewer packs is found.
        self.offered = sorted(
            (
                Offered(
                    size=pack.size // self.unit,
                    cost=WEIGHT * pack.cost - value * pack.size,
                    spent=pack.cost << LANE * vendor if vendor < len(lanes) else 0,
                    pack=place,
                )
                for place, (pack, vendor) in enumerate(zip(packs, self.vendors, strict=True))
            ),
            key=lambda offered: -offered.size,
        )
        self.goods: dict[int, list[tuple[int, int, int]]] = {}
        for _, cost, _, pack in self.offered:
            if self.vendors[pack] < len(lanes):
                good = packs[pack].cost, cost, pack
                self.goods.setdefault(self.vendors[pack], []).append(good)
        self.steepest = {
            lane: min(cost // price for price, cost, _ in goods)
            for lane, goods in self.goods.items()
        }
        self._least: dict[Pricing, Least] = {}
        self._frontiers: dict[tuple[Pricing, tuple[int, ...], int], Frontier] = {}

    def least(self, pricing: Pricing, pieces: int) -> Least:
        """Least costs under `pricing`, up to `pieces` at the least."""
        found = self._least.get(pricing)
        if found is None or pieces >= len(found.cost):
            found = Least(self._under(pricing), self.unit, ample(pieces))
            keep(self._least, pricing, found)
        return found

    def frontier(
        self, pricing: Pricing, lanes: tuple[int, ...], pieces: int, slack: int
    ) -> Frontier:
        """Ways near the least under `pricing`, as far apart as `slack` [1/1000 cent] or more."""
        key = pricing, lanes, slack.bit_length()
        found = self._frontiers.get(key)
        if found is None or pieces >= len(found.least.cost):
            full = self._under(tuple(min(discount, 0) for discount in pricing))
            reduced = [offered.cost for offered in self._under(pricing)]
            offered = list(zip(full, reduced, strict=True))
            window = 1 << slack.bit_length()
            found = Frontier(offered, self.least(pricing, pieces), lanes, window)
            keep(self._frontiers, key, found)
        return found

    def _under(self, pricing: Pricing) -> list[Offered]:
        return [
            offered._replace(cost=offered.cost - discount * self.packs[offered.pack].cost)
            for offered in self.offered
            if (discount := pricing[self.vendors[offered.pack]]) >= 0
        ]


def ample(pieces: int) -> int:
    """How far to fill a table that is needed up to `pieces`."""
    return 1 << max(4, pieces.bit_length())


def keep(kept: dict[Any, Any], key: Any, table: Any) -> None:
    """Keep a table, with the others while they are not too many."""
    # A table is never changed once it is made, so that threads may share it.
    if len(kept) >= MOST_TABLES:
        kept.clear()
    kept[key] = table
