"""Wanted pieces of one item filled from another's packs: how many pay.

The cost of a fill changes evenly between the points where a pack more or a pack less is needed,
so that only those points need to be tried.
"""

import itertools
from collections.abc import Iterator, Mapping, Sequence
from typing import NamedTuple

from service.estimating.covering.choices import Choice, Filled, Trace, Ways
from service.estimating.covering.covers import Least
from service.estimating.covering.spends import undominated

BETTER = -1
"""The slack of a search for the best alone: what is no better than the best so far is left out."""

Tables = Sequence[Least] | Mapping[int, Least]
Needs = Sequence[int] | Mapping[int, int]


class Swap(NamedTuple):
    """Up to `most` wanted pieces of one item filled from another, for `cost` [1/1000 cent] each."""

    wanted: int
    source: int
    cost: int
    most: int


class Fill(NamedTuple):
    """What a pair costs [1/1000 cent] with so many pieces filled."""

    cost: int
    pieces: int


class Pair:
    """Two items of which one fills in for the other, and neither has to do with a third."""

    __slots__ = ("items", "swap")

    def __init__(self, swap: Swap) -> None:
        self.swap = swap
        self.items = (swap.wanted, swap.source)

    def least(self, tables: Tables, needs: Needs) -> Fill:
        """The best fill."""
        if self._pays(tables, needs):
            return min(_of_one(self.swap, tables, needs, 0))
        each = (tables[item].cost[needs[item]] for item in self.items if needs[item] > 0)
        return Fill(sum(each), 0)

    def choices(self, ways: Ways, needs: Sequence[int], slack: int) -> list[Choice]:
        """Every undominated choice that is dearer by `slack` [1/1000 cent] at the most."""
        fills = _of_one(self.swap, ways.tables, needs, slack)
        least = min(fill.cost for fill in fills)
        found: list[Choice] = []
        for fill in fills:
            found += self._filled(fill, fill.cost - least, ways, needs, slack)
        return undominated(found, ways.lanes)

    def _pays(self, tables: Tables, needs: Needs) -> bool:
        swap = self.swap
        if swap.cost < 0 or needs[swap.source]:
            return True
        return tables[swap.wanted].outlasts(tables[swap.source], swap.cost) < swap.most

    def left(self, needs: Sequence[int], fill: Fill) -> dict[int, int]:
        """What either item's own packs have to cover after `fill`."""
        wanted, source = self.items
        return {wanted: needs[wanted] - fill.pieces, source: needs[source] + fill.pieces}

    def _filled(
        self, fill: Fill, extra: int, ways: Ways, needs: Sequence[int], slack: int
    ) -> list[Choice]:
        trace: Trace = None
        if fill.pieces:
            trace = trace, Filled(*self.items, fill.pieces)
        choices = [Choice(fill.pieces * self.swap.cost, 0, extra, trace)]
        for item, need in self.left(needs, fill).items():
            choices = ways.combined(choices, ways.of(item, need, slack), slack)
        return choices


def _of_one(swap: Swap, tables: Tables, needs: Needs, slack: int) -> list[Fill]:
    wanted, source, each, _ = swap
    lack, other = needs[wanted], needs[source]
    of_wanted, of_source = tables[wanted].cost, tables[source].cost
    least = (of_wanted[lack] if lack > 0 else 0) + (of_source[other] if other > 0 else 0)
    found = [Fill(least, 0)]
    for pieces in _points(swap, lack, other, tables):
        asked, left = other + pieces, lack - pieces
        cost = each * pieces + (of_source[asked] if asked > 0 else 0)
        if cost > least + slack and each >= 0:
            break
        cost += of_wanted[left] if left > 0 else 0
        if cost <= least + slack:
            least = min(least, cost)
            found.append(Fill(cost, pieces))
    return [fill for fill in found if fill.cost <= least + slack]


def _points(swap: Swap, lack: int, other: int, tables: Tables) -> Iterator[int]:
    """Numbers of pieces beyond nought, among which is the best one, rising."""
    if swap.cost >= 0:
        unit = tables[swap.wanted].unit
        return iter(range(lack % unit or unit, min(swap.most, lack) + 1, unit))
    unit = tables[swap.source].unit
    first = -other if other < 0 else -other % unit or unit
    return itertools.chain(range(first, swap.most, unit), (swap.most,))
