"""From what the search has found to numbers of packs, bundles and pieces filled."""

from collections.abc import Iterable
from typing import Generic

from service.estimating.covering.bundling import Cluster, Node, take
from service.estimating.covering.choices import Covered, Filled, Trace, decisions
from service.estimating.covering.covers import Least
from service.estimating.covering.offers import Item
from service.estimating.covering.plans import Basket
from service.estimating.covering.question import Question, Weighed
from service.estimating.covering.vendors import Good


class Purchases(Generic[Item]):
    """Counts what is bought, whichever part of the search found it."""

    def __init__(self, question: Question[Item]) -> None:
        self._question = question
        self._packs = {item: [0] * len(kind.packs) for item, kind in question.offered.items()}
        self._bundles = [0] * len(question.catalogue.conditions.bundles)
        self._fills: dict[tuple[Item, Item], int] = {}

    def counted(self) -> Basket[Item]:
        """Everything bought so far."""
        packs = {item: tuple(numbers) for item, numbers in self._packs.items()}
        return Basket(packs=packs, bundles=tuple(self._bundles), fills=self._fills)

    def weighed(self, found: Weighed) -> None:
        """Buy the best under a pricing."""
        question = self._question
        for item in question.singles:
            self._cover(item, found.tables[item], question.needs[item])
        for cluster, node in zip(question.clusters, found.nodes, strict=True):
            self._tied(cluster, node, found.tables)

    def traced(self, trace: Trace) -> None:
        """Buy what a choice has decided on."""
        for decision in decisions(trace):
            if isinstance(decision, Covered):
                way = decision.way
                while way.before is not None:
                    self._buy(decision.item, way.pack)
                    way = way.before
            elif isinstance(decision, Filled):
                self._fill(decision.wanted, decision.source, decision.pieces)
            else:
                self._bundles[decision.place] += decision.number

    def lifted(self, goods: Iterable[Good[Item]]) -> None:
        """Buy goods for the value of an order."""
        for good in goods:
            if good.item is None:
                self._bundles[good.place] += 1
            else:
                self._packs[good.item][good.place] += 1

    def _tied(self, cluster: Cluster, node: Node, tables: list[Least]) -> None:
        left = list(self._question.needs)
        for mix, number in node.numbers:
            take(left, mix, number)
            self._bundles[mix.place] += number
        for item in cluster.loners:
            self._cover(item, tables[item], left[item])
        for pair, fill in zip(cluster.pairs, node.fills, strict=True):
            self._fill(*pair.items, fill.pieces)
            for item, need in pair.left(left, fill).items():
                self._cover(item, tables[item], need)

    def _cover(self, item: int, table: Least, need: int) -> None:
        for pack in table.packs(need):
            self._buy(item, pack)

    def _buy(self, item: int, pack: int) -> None:
        self._packs[self._question.items[item]][pack] += 1

    def _fill(self, wanted: int, source: int, pieces: int) -> None:
        if pieces:
            items = self._question.items
            self._fills[items[wanted], items[source]] = pieces
