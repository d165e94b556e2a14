"""Wanted pieces of one item filled from another's packs: how many pay.

The cost of a fill changes evenly between the points where a pack more or a pack less is needed,
so that only those points need to be tried.
"""

import itertools
from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import NamedTuple

from service.estimating.covering.choices import Choice, Filled, Trace, Ways
from service.estimating.covering.covers import Least
from service.estimating.covering.effort import CutShort, Effort
from service.estimating.covering.spends import undominated

STEP_COUNTS = 4
"""Choices that a step of a spread counts for, by the time it takes."""

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
    """What a group costs [1/1000 cent] with so many pieces filled by each swap."""

    cost: int
    pieces: tuple[int, ...]


class Group:
    """Items that fill in for each other, directly or by way of others."""

    __slots__ = ("_lone", "items", "swaps")

    def __init__(self, swaps: Sequence[Swap]) -> None:
        self.swaps = tuple(swaps)
        ends = [end for swap in swaps for end in (swap.wanted, swap.source)]
        self.items = tuple(sorted(set(ends)))
        self._lone = [ends.count(swap.source) == 1 for swap in swaps]

    def least(self, tables: Tables, needs: Needs, effort: Effort) -> tuple[Fill, int]:
        """The best fills, and what none cost less than: less only if too many were to be tried."""
        live = [place for place, swap in enumerate(self.swaps) if self._pays(place, tables, needs)]
        if len(live) > 1:
            spread = Spread(self, live, tables, needs, BETTER, effort)
            return min(spread.found()), spread.low
        pieces = [0] * len(self.swaps)
        cost, rest = 0, self.items
        if live:
            swap = self.swaps[live[0]]
            cost, (pieces[live[0]],) = min(_of_one(swap, tables, needs, 0))
            rest = tuple(item for item in rest if item not in swap[:2])
        for item in rest:
            cost += tables[item].cost[needs[item]] if needs[item] > 0 else 0
        return Fill(cost, tuple(pieces)), cost

    def choices(self, ways: Ways, needs: Sequence[int], slack: int) -> list[Choice]:
        """Every undominated choice that is dearer by `slack` [1/1000 cent] at the most.

        Raises CutShort where too many fills were to be tried.
        """
        fills = self._fills(ways, needs, slack)
        least = min(fill.cost for fill in fills)
        found: list[Choice] = []
        for fill in fills:
            found += self._filled(fill, fill.cost - least, ways, needs, slack)
        return undominated(found, ways.lanes)

    def _fills(self, ways: Ways, needs: Sequence[int], slack: int) -> list[Fill]:
        tables = ways.tables
        if len(self.swaps) == 1:
            return _of_one(self.swaps[0], tables, needs, slack)
        spread = Spread(self, range(len(self.swaps)), tables, needs, slack, ways.effort)
        fills = spread.found()
        if spread.low < min(fills).cost:
            raise CutShort
        return fills

    def _pays(self, place: int, tables: Tables, needs: Needs) -> bool:
        swap = self.swaps[place]
        if swap.cost < 0 or needs[swap.source] or not self._lone[place]:
            return True
        return tables[swap.wanted].outlasts(tables[swap.source], swap.cost) < swap.most

    def left(self, needs: Sequence[int], fill: Fill) -> dict[int, int]:
        """What every item's own packs have to cover after `fill`."""
        left = {item: needs[item] for item in self.items}
        for swap, pieces in zip(self.swaps, fill.pieces, strict=True):
            left[swap.wanted] -= pieces
            left[swap.source] += pieces
        return left

    def _filled(
        self, fill: Fill, extra: int, ways: Ways, needs: Sequence[int], slack: int
    ) -> list[Choice]:
        cost = 0
        trace: Trace = None
        for swap, pieces in zip(self.swaps, fill.pieces, strict=True):
            if pieces:
                cost += pieces * swap.cost
                trace = trace, Filled(swap.wanted, swap.source, pieces)
        choices = [Choice(cost, 0, extra, trace)]
        for item, need in self.left(needs, fill).items():
            choices = ways.combined(choices, ways.of(item, need, slack), slack)
        return choices


def _of_one(swap: Swap, tables: Tables, needs: Needs, slack: int) -> list[Fill]:
    wanted, source, each, _ = swap
    lack, other = needs[wanted], needs[source]
    of_wanted, of_source = tables[wanted].cost, tables[source].cost
    least = (of_wanted[lack] if lack > 0 else 0) + (of_source[other] if other > 0 else 0)
    found = [Fill(least, (0,))]
    for pieces in _points(swap, lack, other, tables):
        asked, left = other + pieces, lack - pieces
        cost = each * pieces + (of_source[asked] if asked > 0 else 0)
        if cost > least + slack and each >= 0:
            break
        cost += of_wanted[left] if left > 0 else 0
        if cost <= least + slack:
            least = min(least, cost)
            found.append(Fill(cost, (pieces,)))
    return [fill for fill in found if fill.cost <= least + slack]


def _points(swap: Swap, lack: int, other: int, tables: Tables) -> Iterator[int]:
    """Numbers of pieces beyond nought, among which is the best one, rising."""
    if swap.cost >= 0:
        unit = tables[swap.wanted].unit
        return iter(range(lack % unit or unit, min(swap.most, lack) + 1, unit))
    unit = tables[swap.source].unit
    first = -other if other < 0 else -other % unit or unit
    return itertools.chain(range(first, swap.most, unit), (swap.most,))


class Spread:
    """Several swaps of a group, depth first, each undecided one at any time.

    Given the packs of each item, the best fills are a flow, and some best flow is made up one swap
    after another, in some order, each as large or as small as one pack allows. No fills cost less
    than `low`: that is below the best of those `found` only where the effort was over too soon.
    """

    def __init__(
        self,
        group: Group,
        places: Sequence[int],
        tables: Tables,
        needs: Needs,
        slack: int,
        effort: Effort,
    ) -> None:
        self._swaps, self._slack, self._effort = group.swaps, slack, effort
        self._tables = {item: tables[item] for item in group.items}
        self._needs = {item: needs[item] for item in group.items}
        self._rooms = {swap.wanted: swap.most for swap in group.swaps}
        # What a wanted piece filled costs at the least.
        self._rates = {
            wanted: min(tables[s.source].rate + s.cost for s in self._swaps if s.wanted == wanted)
            for wanted in self._rooms
        }
        self._pieces = [0] * len(group.swaps)
        self._seen: set[tuple[int, ...]] = set()
        self._known: dict[tuple[int, ...], int] = {}
        self.low = self._least = self._at_once(places)
        self._visit(tuple(places), 0)

    def found(self) -> list[Fill]:
        """Fills within the slack of the least."""
        limit = self._least + max(0, self._slack)
        return [Fill(cost, pieces) for pieces, cost in self._known.items() if cost <= limit]

    def _at_once(self, places: Iterable[int]) -> int:
        """The cost of fills that are each the best after those before: something to beat."""
        pieces, paid = list(self._pieces), 0
        for place in places:
            swap = self._swaps[place]
            room = swap._replace(most=self._rooms[swap.wanted])
            (pieces[place],) = min(_of_one(room, self._tables, self._needs, 0)).pieces
            self._move(swap, pieces[place])
            paid += pieces[place] * swap.cost
        cost = self._known[tuple(pieces)] = self._bound(paid, ())
        for swap, number in zip(self._swaps, pieces, strict=True):
            self._move(swap, -number)
        return cost

    def _visit(self, undecided: tuple[int, ...], paid: int) -> None:
        cost = self._bound(paid, undecided)
        if cost > self._least + self._slack:
            return
        if not undecided:
            self._known[tuple(self._pieces)] = cost
            self._least = min(self._least, cost)
            self.low = min(self.low, cost)
            return
        key = *undecided, -1, *self._pieces
        if key in self._seen:
            return
        if self._effort.over:
            self.low = min(self.low, cost)
            return
        self._seen.add(key)
        plain = next((p for p in undecided if self._saves(p, undecided)), None)
        if plain is not None:
            self._decide(plain, undecided, paid)
            return
        for place in undecided:
            self._decide(place, undecided, paid)

    def _saves(self, place: int, undecided: tuple[int, ...]) -> bool:
        """Whether a fill pays only by whole packs of what is wanted, which is settled otherwise."""
        swap = self._swaps[place]
        return swap.cost >= 0 and not self._moves(swap.wanted, place, undecided)

    def _moves(self, item: int, place: int, undecided: tuple[int, ...]) -> bool:
        """Whether any other of the undecided swaps changes what `item` needs."""
        return any(item in self._swaps[other][:2] for other in undecided if other != place)

    def _decide(self, place: int, undecided: tuple[int, ...], paid: int) -> None:
        swap = self._swaps[place]
        rest = tuple(other for other in undecided if other != place)
        steps = sorted(self._steps(place, undecided))
        self._effort.spend(STEP_COUNTS * len(steps))
        for pieces in steps:
            self._move(swap, pieces)
            self._pieces[place] = pieces
            self._visit(rest, paid + pieces * swap.cost)
            self._move(swap, -pieces)
        self._pieces[place] = 0

    def _move(self, swap: Swap, pieces: int) -> None:
        self._needs[swap.wanted] -= pieces
        self._needs[swap.source] += pieces
        self._rooms[swap.wanted] -= pieces

    def _steps(self, place: int, undecided: tuple[int, ...]) -> set[int]:
        """Where an item that nothing else changes any more needs a pack more or less."""
        swap = self._swaps[place]
        lack, other, most = (
            self._needs[swap.wanted],
            self._needs[swap.source],
            self._rooms[swap.wanted],
        )
        steps = {0, most} if swap.cost < 0 else {0}
        if not self._moves(swap.wanted, place, undecided):
            unit = self._tables[swap.wanted].unit
            steps.update(range(lack % unit or unit, min(lack, most) + 1, unit))
            if swap.cost >= 0:
                return steps
        if not self._moves(swap.source, place, undecided):
            unit = self._tables[swap.source].unit
            first = -other if other < 0 else -other % unit or unit
            steps.update(range(first, most + 1, unit))
        return steps

    def _bound(self, paid: int, undecided: tuple[int, ...]) -> int:
        """What no decision on the rest is below: pieces from a source cost its best rate."""
        swaps = [self._swaps[place] for place in undecided]
        asked: dict[int, int] = {}
        for swap in swaps:
            asked[swap.source] = asked.get(swap.source, 0) + self._rooms[swap.wanted]
        wanted = {swap.wanted for swap in swaps}
        for item, need in self._needs.items():
            if item in wanted:
                paid += self._filled(item, need, asked.get(item, 0))
            elif item in asked:
                paid += self._tables[item].rate * max(need, -asked[item])
            elif need > 0:
                paid += self._tables[item].cost[need]
        return paid

    def _filled(self, item: int, need: int, asked: int) -> int:
        """The same for an item to be filled, of which up to `asked` pieces may be taken."""
        table, rate, room = self._tables[item], self._rates[item], self._rooms[item]
        if not asked:
            whole = rate * need + table.over(rate)[need] if need > 0 else 0
            return whole + min(0, rate) * room
        line = table.rate * need + min(0, rate - table.rate) * room
        most = need + asked
        if rate < 0 or most <= 0:
            return line
        step = rate * need + min(0, rate - table.rate) * asked + table.over(rate)[most]
        return max(line, step)
