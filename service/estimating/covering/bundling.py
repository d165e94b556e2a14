"""Items that cannot be covered one by one: bundles hold several, and some fill in for others.

How many of a bundle pay: covering is subadditive, so that n of a bundle never save more than
their contents would cost in packs of their own. That sifts out nearly all numbers, and it bounds
what the bundles that are still open could save together.
"""

from collections.abc import Iterator, Sequence
from typing import NamedTuple

from service.estimating.covering.choices import Choice, Mixed, Trace, Ways
from service.estimating.covering.covers import Least, Pricing
from service.estimating.covering.effort import Effort
from service.estimating.covering.filling import BETTER, Fill, Pair

NODE_COUNTS = 10
"""Choices that a node counts for, by the time it takes."""


class Mix(NamedTuple):
    """A bundle: useful contents as (item, pieces), cost [1/1000 cent], price [cents], vendor."""

    place: int
    contents: tuple[tuple[int, int], ...]
    cost: int
    price: int
    vendor: int
    spent: int


class Node(NamedTuple):
    """Numbers of bundles with the cost and spends of all then, and the fill of each pair."""

    cost: int
    spent: int
    numbers: tuple[tuple[Mix, int], ...]
    fills: tuple[Fill, ...]


class Paying(NamedTuple):
    """A bundle under a pricing: its cost, and what so many of it could save at the most."""

    mix: Mix
    cost: int
    savings: tuple[tuple[int, int], ...]
    most: int


class Cluster:
    """Items tied together by bundles (`mixes`) and by pairs that fill in for each other.

    `useful` is, by item, the number of pieces beyond which no more can be put to use.
    """

    __slots__ = ("_useful", "loners", "mixes", "pairs")

    def __init__(
        self,
        loners: Sequence[int],
        pairs: Sequence[Pair],
        mixes: Sequence[Mix],
        useful: Sequence[int],
    ) -> None:
        self.loners, self.pairs, self.mixes = loners, pairs, mixes
        self._useful = useful

    def node(
        self,
        tables: Sequence[Least],
        needs: Sequence[int],
        paid: int = 0,
        spent: int = 0,
        numbers: tuple[tuple[Mix, int], ...] = (),
    ) -> Node:
        """The best by packs and fills for what is left, with what has been bought already."""
        for item in self.loners:
            need = needs[item]
            if need > 0:
                paid += tables[item].cost[need]
                spent += tables[item].spent[need]
        fills = []
        for pair in self.pairs:
            fill = pair.least(tables, needs)
            fills.append(fill)
            paid += fill.cost
            for item, need in pair.left(needs, fill).items():
                if need > 0:
                    spent += tables[item].spent[need]
        return Node(paid, spent, numbers, tuple(fills))

    def best(
        self, tables: Sequence[Least], needs: Sequence[int], pricing: Pricing, effort: Effort
    ) -> tuple[Node, int]:
        """The best node, and what no plan costs less than [1/1000 cent]."""
        paying = self.paying(tables, pricing) if self.mixes else ()
        if not paying:
            node = self.node(tables, needs)
            return node, node.cost
        search = Bundling(self, tables, needs, paying, BETTER, effort)
        return search.best, search.low

    def paying(self, tables: Sequence[Least], pricing: Pricing) -> list[Paying]:
        """Bundles that could pay, the one that could save most first."""
        found = [
            Paying(mix, cost, savings, max(saving for _, saving in savings))
            for mix in self.mixes
            if (discount := pricing[mix.vendor]) >= 0
            and (savings := self._savings(mix, cost := mix.cost - discount * mix.price, tables))
        ]
        return sorted(found, key=lambda each: -each.most)

    def choices(
        self, node: Node, extra: int, ways: Ways, needs: Sequence[int], slack: int
    ) -> list[Choice]:
        """Every choice with the numbers of `node`, itself dearer by `extra`, within `slack`."""
        left, cost, spent = list(needs), 0, 0
        trace: Trace = None
        for mix, number in node.numbers:
            take(left, mix, number)
            cost += number * mix.cost
            spent += number * mix.spent
            trace = trace, Mixed(mix.place, number)
        choices = [Choice(cost, spent, extra, trace)]
        for item in self.loners:
            choices = ways.combined(choices, ways.of(item, left[item], slack), slack)
        for pair in self.pairs:
            choices = ways.combined(choices, pair.choices(ways, left, slack), slack)
        return choices

    def _savings(self, mix: Mix, cost: int, tables: Sequence[Least]) -> tuple[tuple[int, int], ...]:
        held = [(tables[i].cost, pieces, self._useful[i]) for i, pieces in mix.contents]
        # So many save no more than so many times what one does.
        if sum(costs[min(n, useful)] for costs, n, useful in held) <= cost:
            return ()
        most = max(-(-useful // pieces) for _, pieces, useful in held)
        worths = (
            (number, sum(costs[min(number * n, useful)] for costs, n, useful in held))
            for number in range(1, most + 1)
        )
        return tuple((n, worth - n * cost) for n, worth in worths if worth > n * cost)


def take(needs: list[int], mix: Mix, number: int) -> None:
    """Count the contents of so many bundles off `needs`."""
    for item, pieces in mix.contents:
        needs[item] -= number * pieces


class Bundling:
    """Depth first over the numbers of each bundle of a cluster, under one pricing.

    `best` is the best node, `near` are all within `slack` of it, and no plan costs less than
    `low`: that is below the best only where the effort was over too soon.
    """

    def __init__(
        self,
        cluster: Cluster,
        tables: Sequence[Least],
        needs: Sequence[int],
        paying: Sequence[Paying],
        slack: int,
        effort: Effort,
    ) -> None:
        self._cluster, self._tables, self._needs = cluster, tables, list(needs)
        self._slack, self._effort = slack, effort
        self._paying = paying
        self._open = [sum(p.most for p in self._paying[at:]) for at in range(len(self._paying) + 1)]
        self._nodes: list[Node] = []
        self.best = root = cluster.node(tables, needs)
        self.low = root.cost
        self._visit(0, root, 0, 0)

    @property
    def near(self) -> Iterator[Node]:
        """Nodes within the slack of the best."""
        limit = self.best.cost + self._slack
        return (node for node in self._nodes if node.cost <= limit)

    def _visit(self, depth: int, node: Node, paid: int, spent: int) -> None:
        self._effort.spend(NODE_COUNTS)
        self.low = min(self.low, node.cost)
        if node.cost < self.best.cost:
            self.best = node
        if node.cost <= self.best.cost + self._slack:
            self._nodes.append(node)
        for at in range(depth, len(self._paying)):
            if node.cost - self._open[at] > self.best.cost + self._slack:
                break
            self._try(at, node, paid, spent)

    def _try(self, at: int, node: Node, paid: int, spent: int) -> None:
        mix, cost, savings, _ = self._paying[at]
        for number, saving in savings:
            bound = node.cost - saving - self._open[at + 1]
            if bound > self.best.cost + self._slack:
                continue
            if self._effort.over:
                self.low = min(self.low, bound)
                continue
            dearer, more = paid + number * cost, spent + number * mix.spent
            take(self._needs, mix, number)
            numbers = *node.numbers, (mix, number)
            child = self._cluster.node(self._tables, self._needs, dearer, more, numbers)
            self._visit(at + 1, child, dearer, more)
            take(self._needs, mix, -number)
