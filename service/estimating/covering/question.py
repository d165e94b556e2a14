"""One question as the search sees it: numbered items, what ties them, and what can be left out."""

from collections.abc import Hashable, Iterator, Mapping, Sequence
from typing import Generic, NamedTuple, TypeVar

from service.estimating.covering.bundling import Cluster, Mix, Node
from service.estimating.covering.covers import HOPELESS, WEIGHT, Kind, Least, Pricing, keep
from service.estimating.covering.effort import Effort, Tangled
from service.estimating.covering.filling import Pair, Swap
from service.estimating.covering.offers import FREE, RATE, Conditions, Item, Pack, Substitution
from service.estimating.covering.plans import Wants
from service.estimating.covering.spends import LANE

Tie = TypeVar("Tie")

FINER = WEIGHT // RATE
"""Weights [1/1000 cent] in the unit of rates a piece [1/100 cent]."""


class Weighed(NamedTuple):
    """The best under a pricing: its cost, spends and parts, and what no cost is below."""

    cost: int
    spent: int
    low: int
    tables: list[Least]
    nodes: list[Node]


class Catalogue(Generic[Item]):
    """What is known of a market before any question, and every table made for one so far."""

    def __init__(self, conditions: Conditions[Item]) -> None:
        self.conditions = conditions
        termed = [vendor for vendor, terms in conditions.vendors.items() if terms != FREE]
        self.terms = tuple(conditions.vendors[vendor] for vendor in termed)
        self.lanes: dict[Hashable, int] = {vendor: lane for lane, vendor in enumerate(termed)}
        self.swaps: dict[Item, list[Substitution[Item]]] = {}
        for swap in conditions.substitutions:
            self.swaps.setdefault(swap.wanted, []).append(swap)
        self._holding: dict[Item, list[int]] = {}
        for place, bundle in enumerate(conditions.bundles):
            for item in bundle.contents:
                self._holding.setdefault(item, []).append(place)
        self._kinds: dict[tuple[tuple[Pack, ...], int], Kind] = {}
        self._latest: dict[Item, Kind] = {}

    def kind(self, item: Item, packs: tuple[Pack, ...]) -> Kind:
        """The tables of these packs. Raises OffersError where they cannot be what they are."""
        latest = self._latest.get(item)
        if latest is not None and latest.packs is packs:
            return latest
        key = packs, self.conditions.value(item)
        found = self._kinds.get(key)
        if found is None:
            self.conditions.refuse(item, packs)
            found = self._kinds[key] = Kind(packs, FINER * key[1], self.lanes)
        keep(self._latest, item, found)
        return found

    def holding(self, items: Iterator[Item]) -> list[int]:
        """Places of the bundles that hold any of `items`."""
        return sorted({place for item in items for place in self._holding.get(item, ())})

    def mix(self, place: int, numbers: Mapping[Item, int], useful: Sequence[int]) -> Mix:
        """The bundle at `place`, as far as it holds what is of use."""
        bundle = self.conditions.bundles[place]
        worth = sum(self.conditions.value(item) * n for item, n in bundle.contents.items())
        lane = self.lanes.get(bundle.vendor, len(self.lanes))
        contents = ((numbers[i], n) for i, n in bundle.contents.items() if i in numbers)
        return Mix(
            place=place,
            contents=tuple((item, pieces) for item, pieces in contents if useful[item] > 0),
            cost=WEIGHT * bundle.cost - FINER * worth,
            price=bundle.cost,
            vendor=lane,
            spent=bundle.cost << LANE * lane if lane < len(self.lanes) else 0,
        )


class Question(Generic[Item]):
    """Numbered items with their needs; `singles` stand alone, `clusters` are tied."""

    def __init__(self, catalogue: Catalogue[Item], wants: Wants[Item], effort: Effort) -> None:
        self.catalogue, self.wants, self.effort = catalogue, wants, effort
        self.offered = {i: catalogue.kind(i, packs) for i, packs in wants.packs.items()}
        demands = wants.demands
        swaps = [swap for item in demands for swap in catalogue.swaps.get(item, ())]
        sources = {swap.source: None for swap in swaps if swap.source not in demands}
        self.items = [*demands, *sources]
        self.places = catalogue.holding(iter(self.items))
        numbers = {item: number for number, item in enumerate(self.items)}
        self.kinds = [self.offered.get(item) or catalogue.kind(item, ()) for item in self.items]
        self.needs = [demands.get(i, 0) - wants.stock.get(i, 0) for i in self.items]
        kept = [self._swap(swap, numbers) for swap in swaps if self._serves(swap, numbers)]
        useful = list(self.needs)
        for each in kept:
            useful[each.source] += each.most
        self.reach = [max(n, demands.get(i, 0)) for i, n in zip(self.items, useful, strict=True)]
        self.mixes = [catalogue.mix(place, numbers, useful) for place in self.places]
        self._tie(kept, useful)
        self._weighed: dict[Pricing, Weighed] = {}

    def weigh(self, pricing: Pricing) -> Weighed:
        """The best under `pricing`, with no regard to what vendors ask."""
        found = self._weighed.get(pricing)
        if found is None:
            found = self._weighed[pricing] = self._weigh(pricing)
        return found

    def _weigh(self, pricing: Pricing) -> Weighed:
        needs = self.needs
        tables = [
            kind.least(pricing, reach) for kind, reach in zip(self.kinds, self.reach, strict=True)
        ]
        cost = spent = low = 0
        for item in self.singles:
            cost += tables[item].cost[needs[item]]
            spent += tables[item].spent[needs[item]]
        nodes: list[Node] = []
        for cluster in self.clusters if cost < HOPELESS else ():
            node, least = cluster.best(tables, needs, pricing, self.effort)
            nodes.append(node)
            cost += node.cost
            spent += node.spent
            low += least - node.cost
        return Weighed(cost, spent, cost + low, tables, nodes)

    def _swap(self, swap: Substitution[Item], numbers: Mapping[Item, int]) -> Swap:
        value = self.catalogue.conditions.value
        cost = FINER * (swap.penalty + value(swap.source) - value(swap.wanted))
        most = self.wants.demands[swap.wanted]
        return Swap(numbers[swap.wanted], numbers[swap.source], cost, most)

    def _serves(self, swap: Substitution[Item], numbers: Mapping[Item, int]) -> bool:
        """Whether the source could have, or could cheaper get, what is wanted."""
        kind = self.kinds[numbers[swap.source]]
        bundles = self.catalogue.conditions.bundles
        needed = swap.source in self.wants.demands or swap.source in self.wants.stock
        if needed or any(swap.source in bundles[place].contents for place in self.places):
            return True
        return bool(kind.packs) and kind is not self.kinds[numbers[swap.wanted]]

    def _tie(self, swaps: Sequence[Swap], useful: Sequence[int]) -> None:
        """Join pairs of items that fill in for each other, and bundles, into clusters.

        Raises Tangled where an item has to do with more than one other: there the best fill is
        not settled by one pair after another.
        """
        mixes = [mix for mix in self.mixes if mix.contents]
        ends = [end for swap in swaps for end in (swap.wanted, swap.source)]
        if len(ends) > len(set(ends)):
            raise Tangled
        pairs = [Pair(swap) for swap in swaps]
        paired = set(ends)
        ties: list[tuple[Pair | Mix, Sequence[int]]] = [(pair, pair.items) for pair in pairs]
        ties += [(mix, [item for item, _ in mix.contents]) for mix in mixes]
        tied = paired.union(*(items for _, items in ties))
        self.singles = [i for i, need in enumerate(self.needs) if need > 0 and i not in tied]
        self.clusters = [_cluster(each, paired, useful) for each in joined(ties)]


def _cluster(ties: Sequence[Pair | Mix], paired: set[int], useful: Sequence[int]) -> Cluster:
    mixes = [tie for tie in ties if isinstance(tie, Mix)]
    held = {item for mix in mixes for item, _ in mix.contents}
    pairs = [tie for tie in ties if isinstance(tie, Pair)]
    return Cluster(sorted(held - paired), pairs, mixes, useful)


def joined(ties: Sequence[tuple[Tie, Sequence[int]]]) -> list[list[Tie]]:
    """The ties, those together that hold an item in common, directly or by way of others."""
    clusters: list[tuple[list[Tie], set[int]]] = []
    for tie, items in ties:
        mine, held, apart = [tie], set(items), []
        for cluster in clusters:
            if held.isdisjoint(cluster[1]):
                apart.append(cluster)
            else:
                mine = cluster[0] + mine
                held |= cluster[1]
        clusters = [*apart, (mine, held)]
    return [each for each, _ in clusters]
