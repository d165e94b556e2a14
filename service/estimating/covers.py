"""One item's packs: the least cost of covering any demand, and what else is worth a look.

Costs are counted as a buyer weighs them [1/100 cent]: what a pack costs, less what its pieces are
worth left over, since every piece beyond the demand is a leftover whichever pack it came in. A
`Pricing` leaves vendors out, or discounts them: a discount is the multiplier of a spend that has
to be reached, so that a least cost under it bounds every plan that reaches it.

What is spent at every vendor is kept in one integer, a lane of bits for each: sums of such
integers are the sums of all the spends at once.
"""

import math
from collections.abc import Hashable, Mapping, Sequence
from typing import Any, NamedTuple

from service.estimating.offers import RATE, Pack

LANE = 40
"""Bits of a vendor's lane: spends up to ten thousand million."""

LANE_MASK = (1 << LANE) - 1

NEVER = 10**18
"""Cost of what cannot be covered [1/100 cent]; more than any plan's."""

OFF = -1

Pricing = tuple[int, ...]
"""By vendor: OFF, or a discount [percent of the cost]; nought at the end, for those without terms."""

MOST_TABLES = 400
"""Tables of one kind of packs that are kept; then all are forgotten and made again as needed."""


class Way(NamedTuple):
    """A way to cover a demand: cost [1/100 cent], spends, the pack added last and the way before."""

    cost: int
    spent: int
    pack: int
    before: "Way | None"


NOTHING = Way(0, 0, -1, None)


class Offered(NamedTuple):
    """A pack under a pricing: size [units], cost [1/100 cent], spends, and its place."""

    size: int
    cost: int
    spent: int
    pack: int


class Least:
    """Least costs by dynamic programming, and what they spend: `cost[n]` and `spent[n]`.

    By pieces, though packs share a unit: a search looks up far more often than a table is filled.
    """

    __slots__ = ("_choice", "_offered", "cost", "spent", "unit")

    def __init__(self, offered: Sequence[Offered], unit: int, pieces: int) -> None:
        self._offered = offered
        self.unit = unit
        self._choice = [-1]
        self.cost, self.spent = [0], [0]
        costs, spents = [0], [0]
        for wanted in range(1, -(-pieces // unit) + 1):
            least, chosen, spent = self._last(wanted, costs)
            if chosen >= 0 and (rest := wanted - offered[chosen].size) > 0:
                spent += spents[rest]
            costs.append(least)
            spents.append(spent)
            self._choice.append(chosen)
            self.cost.extend([least] * unit)
            self.spent.extend([spent] * unit)

    def packs(self, pieces: int) -> list[int]:
        """The packs that cover `pieces`, one by one."""
        packs, wanted = [], -(-pieces // self.unit)
        while wanted > 0:
            size, _, _, pack = self._offered[self._choice[wanted]]
            packs.append(pack)
            wanted -= size
        return packs

    def _last(self, wanted: int, costs: list[int]) -> tuple[int, int, int]:
        least, chosen, spent = NEVER, -1, 0
        for index, (size, cost, spends, _) in enumerate(self._offered):
            whole = cost + costs[wanted - size] if wanted > size else cost
            if whole < least:
                least, chosen, spent = whole, index, spends
        return least, chosen, spent


class Frontier:
    """Every way to cover a demand that no other beats in cost and in all of some spends at once."""

    __slots__ = ("_unit", "_ways", "pieces")

    def __init__(
        self, offered: Sequence[Offered], unit: int, pieces: int, lanes: Sequence[int]
    ) -> None:
        self._unit = unit
        self.pieces = pieces
        self._ways: list[list[Way]] = [[NOTHING]]
        for units in range(1, -(-pieces // unit) + 1):
            found = [
                Way(way.cost + cost, way.spent + spent, pack, way)
                for size, cost, spent, pack in offered
                for way in self._ways[max(0, units - size)]
            ]
            self._ways.append(undominated(found, lanes))

    def ways(self, pieces: int) -> list[Way]:
        """The ways, the cheapest first."""
        return self._ways[-(-pieces // self._unit) if pieces > 0 else 0]


class Kind:
    """One tuple of packs whose leftover pieces are worth `value` [1/100 cent], under any pricing.

    `lanes` numbers the vendors that have terms; those of a pack without come after them.
    `steepest` is, by lane, the highest discount [percent] under which no pack costs less than
    nothing.
    """

    __slots__ = (
        "_frontiers",
        "_least",
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
                    cost=RATE * pack.cost - value * pack.size,
                    spent=pack.cost << LANE * vendor if vendor < len(lanes) else 0,
                    pack=place,
                )
                for place, (pack, vendor) in enumerate(zip(packs, self.vendors, strict=True))
            ),
            key=lambda offered: -offered.size,
        )
        self.steepest = [100] * len(lanes)
        for _, cost, _, pack in self.offered:
            vendor = self.vendors[pack]
            if vendor < len(lanes):
                self.steepest[vendor] = min(self.steepest[vendor], cost // packs[pack].cost)
        self._least: dict[Pricing, Least] = {}
        self._frontiers: dict[tuple[Pricing, tuple[int, ...]], Frontier] = {}

    def least(self, pricing: Pricing, pieces: int) -> Least:
        """Least costs under `pricing`, up to `pieces` at the least."""
        found = self._least.get(pricing)
        if found is None or pieces >= len(found.cost):
            found = Least(self._under(pricing), self.unit, ample(pieces))
            _keep(self._least, pricing, found)
        return found

    def frontier(self, pricing: Pricing, lanes: tuple[int, ...], pieces: int) -> Frontier:
        """Ways under `pricing`, up to `pieces` at the least, by the spends in `lanes`."""
        found = self._frontiers.get((pricing, lanes))
        if found is None or pieces > found.pieces:
            found = Frontier(self._under(pricing), self.unit, ample(pieces), lanes)
            _keep(self._frontiers, (pricing, lanes), found)
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


def _keep(kept: dict[Any, Any], key: Any, table: Any) -> None:
    # A table is never changed once it is made, so that threads may share it.
    if len(kept) >= MOST_TABLES:
        kept.clear()
    kept[key] = table


def undominated(ways: list[Way], lanes: Sequence[int]) -> list[Way]:
    """`ways` without those that cost as much as another and spend no more in any of `lanes`."""
    if len(lanes) == 1:
        return _undominated_in_one(ways, lanes[0] * LANE)
    kept: list[Way] = []
    shifts = [lane * LANE for lane in lanes]
    spends: list[list[int]] = []
    ways.sort(key=lambda way: (way[0], -way[1]))
    for way in ways:
        mine = [way.spent >> shift & LANE_MASK for shift in shifts]
        if not any(all(a >= b for a, b in zip(s, mine, strict=True)) for s in spends):
            kept.append(way)
            spends.append(mine)
    return kept


def _undominated_in_one(ways: list[Way], shift: int) -> list[Way]:
    kept, most = [], -1
    ways.sort(key=lambda way: (way[0], -(way[1] >> shift & LANE_MASK)))
    for way in ways:
        spent = way[1] >> shift & LANE_MASK
        if spent > most:
            kept.append(way)
            most = spent
    return kept
