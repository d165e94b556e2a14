"""Least-cost covering, exactly: enough of every item from packs, and from bundles of several.

It knows no trade. Each item has packs of several sizes, and buying more than the demand is
allowed; without bundles the items are independent, and each is a small knapsack. Bundles hold
several items at once and couple them: their numbers are searched depth first, with a lower
bound that cuts almost everything. Costs are integers, so that nothing is lost to rounding.
"""

import math
from collections.abc import Hashable, Mapping, Sequence
from dataclasses import dataclass
from typing import Generic, TypeVar

Item = TypeVar("Item", bound=Hashable)


@dataclass(frozen=True, kw_only=True, slots=True)
class Pack:
    """`size` pieces of one item for `cost`."""

    size: int
    cost: int


@dataclass(frozen=True, kw_only=True, slots=True)
class Bundle(Generic[Item]):
    """Pieces of several items for one `cost`."""

    contents: Mapping[Item, int]
    cost: int


@dataclass(frozen=True, kw_only=True, slots=True)
class Plan(Generic[Item]):
    """What to buy: numbers of each pack by item, and of each bundle, in the order given.

    `proven` says that no cheaper plan exists; it is False only where the search was cut short.
    """

    packs: Mapping[Item, tuple[int, ...]]
    bundles: tuple[int, ...]
    cost: int
    proven: bool


class Uncoverable(ValueError):
    """An item is wanted that no pack holds."""


class Covers:
    """Least costs of covering any demand with one item's packs, by dynamic programming.

    Let b be the pack with the lowest cost a piece. Any b.size packs of another kind can be
    exchanged for packs of b at no more cost, so that some optimum has fewer than b.size of each
    other kind; a demand beyond what those can hold is met by b alone, which bounds the table.
    """

    def __init__(self, packs: Sequence[Pack]) -> None:
        self.packs = packs
        self._unit = math.gcd(*(pack.size for pack in packs)) if packs else 1
        self._sizes = [pack.size // self._unit for pack in packs]
        self._costs = [0]
        self._choice = [-1]
        if packs:
            self._best = min(range(len(packs)), key=lambda i: packs[i].cost / packs[i].size)
            others = sum(self._sizes) - self._sizes[self._best]
            self._most_others = others * (self._sizes[self._best] - 1)

    def cost(self, demand: int) -> int:
        """The least cost of at least `demand` pieces."""
        whole, rest = self._split(demand)
        return whole * self.packs[self._best].cost + self._costs[rest] if demand > 0 else 0

    def numbers(self, demand: int) -> tuple[int, ...]:
        """Numbers of each pack that reach the least cost."""
        numbers = [0] * len(self.packs)
        if demand <= 0:
            return tuple(numbers)
        whole, rest = self._split(demand)
        numbers[self._best] += whole
        while rest > 0:
            chosen = self._choice[rest]
            numbers[chosen] += 1
            rest = max(0, rest - self._sizes[chosen])
        return tuple(numbers)

    def _split(self, demand: int) -> tuple[int, int]:
        if demand <= 0:
            return 0, 0
        if not self.packs:
            raise Uncoverable("no pack on offer")
        units = -(-demand // self._unit)
        size = self._sizes[self._best]
        whole = max(0, (units - self._most_others) // size)
        rest = units - whole * size
        self._fill(rest)
        return whole, rest

    def _fill(self, units: int) -> None:
        priced = zip(self._sizes, self.packs, strict=True)
        offers = [(index, size, pack.cost) for index, (size, pack) in enumerate(priced)]
        costs, choice = self._costs, self._choice
        for wanted in range(len(costs), units + 1):
            cost, chosen = min((costs[max(0, wanted - s)] + c, i) for i, s, c in offers)
            costs.append(cost)
            choice.append(chosen)


def cheapest(
    demands: Mapping[Item, int],
    packs: Mapping[Item, Sequence[Pack]],
    bundles: Sequence[Bundle[Item]] = (),
    *,
    most_nodes: int = 20_000,
) -> Plan[Item]:
    """The cheapest plan that covers every demand.

    Raises Uncoverable where neither a pack nor a bundle holds a wanted item. `most_nodes` bounds
    the search over bundles; where it is reached the best plan so far comes back not proven.
    """
    shared: dict[tuple[Pack, ...], Covers] = {}
    covers = {
        item: shared.setdefault(tuple(packs.get(item, ())), Covers(tuple(packs.get(item, ()))))
        for item in demands
    }
    search = _Search(demands, covers, bundles, most_nodes)
    search.run()
    if search.best is None:
        lacking = [str(i) for i in demands if demands[i] > 0 and not packs.get(i)]
        raise Uncoverable(f"nothing on offer holds {', '.join(lacking)}")
    rest = _residual(demands, bundles, search.best)
    return Plan(
        packs={item: covers[item].numbers(rest[item]) for item in demands},
        bundles=tuple(search.best),
        cost=search.cost,
        proven=search.proven,
    )


def _residual(
    demands: Mapping[Item, int], bundles: Sequence[Bundle[Item]], numbers: Sequence[int]
) -> dict[Item, int]:
    rest = dict(demands)
    for bundle, number in zip(bundles, numbers, strict=True):
        for item, held in bundle.contents.items() if number else ():
            if item in rest:
                rest[item] = max(0, rest[item] - number * held)
    return rest


class _Search(Generic[Item]):
    """Depth-first search over the numbers of each bundle that could pay.

    The bound: share each bundle's cost out over its items, and let every item choose for itself
    how many to take, as if its part were a pack of its own. Since the shares add up to the cost
    and the items need not agree, the sum of the items' least costs is never more than the truth;
    and since each of them is a whole covering, it is far nearer than a linear relaxation.
    """

    def __init__(
        self,
        demands: Mapping[Item, int],
        covers: Mapping[Item, Covers],
        bundles: Sequence[Bundle[Item]],
        most_nodes: int,
    ) -> None:
        self._covers = covers
        self._bundles = bundles
        self._nodes_left = most_nodes
        self._demands = demands
        self._numbers = [0] * len(bundles)
        worths = [self._worths(bundle) for bundle in bundles]
        savings = [sum(w.values()) - b.cost for w, b in zip(worths, bundles, strict=True)]
        # Covering is subadditive: a bundle never saves more than its contents cost in packs.
        paying = (index for index, saving in enumerate(savings) if saving > 0)
        self._order = sorted(paying, key=lambda index: -savings[index] / bundles[index].cost)
        self._bounds = [self._bound(depth, worths) for depth in range(len(self._order) + 1)]
        self.best: list[int] | None = None
        self._least = math.inf
        self.proven = True

    def run(self) -> None:
        """Search; `best`, `cost` and `proven` hold the outcome."""
        self._visit(0, 0, dict(self._demands))

    @property
    def cost(self) -> int:
        """Cost of the best plan; only once there is one."""
        return int(self._least)

    def _worths(self, bundle: Bundle[Item]) -> Mapping[Item, float]:
        useful = {i: min(n, self._demands.get(i, 0)) for i, n in bundle.contents.items()}
        return {item: _cost(self._covers[item], n) for item, n in useful.items() if n > 0}

    def _bound(self, depth: int, worths: Sequence[Mapping[Item, float]]) -> Mapping[Item, Covers]:
        parts: dict[Item, list[Pack]] = {}
        for index in self._order[depth:]:
            bundle, whole = self._bundles[index], sum(worths[index].values())
            for item, worth in worths[index].items():
                # An item that only bundles hold is worth any price: it bears the whole cost.
                share = 1 / len(worths[index]) if math.isinf(whole) else worth / whole
                part = Pack(size=bundle.contents[item], cost=math.floor(bundle.cost * share))
                parts.setdefault(item, []).append(part)
        return {
            item: Covers((*cover.packs, *parts[item])) if item in parts else cover
            for item, cover in self._covers.items()
        }

    def _visit(self, depth: int, spent: int, rest: dict[Item, int]) -> None:
        if self._nodes_left == 0:
            self.proven = False
            return
        self._nodes_left -= 1
        whole = spent + _total(self._covers, rest)
        if whole < self._least:
            self._least, self.best = whole, list(self._numbers)
        if depth < len(self._order):
            self._try_numbers(depth, spent, rest)

    def _try_numbers(self, depth: int, spent: int, rest: dict[Item, int]) -> None:
        index = self._order[depth]
        bundle = self._bundles[index]
        children = []
        for number in range(self._most(bundle, rest) + 1):
            left = {i: max(0, n - number * bundle.contents.get(i, 0)) for i, n in rest.items()}
            paid = spent + number * bundle.cost
            bound = paid + _total(self._bounds[depth + 1], left)
            children.append((bound, number, paid, left))
        # The most promising first: a good plan early cuts the rest.
        for bound, number, paid, left in sorted(children, key=lambda child: child[:2]):
            if bound < self._least:
                self._numbers[index] = number
                self._visit(depth + 1, paid, left)
        self._numbers[index] = 0

    def _most(self, bundle: Bundle[Item], rest: Mapping[Item, int]) -> int:
        held = bundle.contents.items()
        return max((-(-rest.get(item, 0) // n) for item, n in held), default=0)


def _cost(cover: Covers, wanted: int) -> float:
    try:
        return cover.cost(wanted)
    except Uncoverable:
        return math.inf


def _total(covers: Mapping[Item, Covers], rest: Mapping[Item, int]) -> float:
    return sum(_cost(covers[item], number) for item, number in rest.items() if number > 0)
