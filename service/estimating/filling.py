"""Wanted pieces of one item filled from another's packs: how many pay.

The cost of a fill changes evenly between the points where a pack more or a pack less is needed,
so that only those points need to be tried.
"""

import itertools
from collections.abc import Iterator, Sequence
from typing import NamedTuple

from service.estimating.choices import Choice, Filled, Ways
from service.estimating.covers import Least, undominated

MOST_ORDERED = 4
"""Swaps of a group that are tried in every order, which makes sure of the best."""


class Swap(NamedTuple):
    """At most `most` wanted pieces of one item filled from another, at `cost` [1/1000 cent] each."""

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

    __slots__ = ("items", "sure", "swaps")

    def __init__(self, swaps: Sequence[Swap]) -> None:
        self.swaps = tuple(swaps)
        self.sure = len(self.swaps) <= MOST_ORDERED
        self.items = tuple(sorted({i for swap in swaps for i in (swap.wanted, swap.source)}))

    def fills(self, tables: Sequence[Least], needs: Sequence[int], slack: int) -> list[Fill]:
        """Fills that are dearer than the least by `slack` [1/1000 cent] at the most."""
        if len(self.swaps) == 1:
            return _of_one(self.swaps[0], tables, needs, slack)
        return _Spread(self, tables, needs, slack).found()

    def doubt(self, tables: Sequence[Least], needs: Sequence[int], least: int) -> int:
        """What the least cost that `fills` finds could be too high by [1/1000 cent].

        The bound behind it: a source costs no less than each of its swaps alone would make it,
        and pieces that are filled save no more than they would cost in packs of their own.
        """
        bound = sum(tables[i].cost[needs[i]] for i in self.items if needs[i] > 0)
        for swap in self.swaps:
            sharing = sum(other.source == swap.source for other in self.swaps)
            bound += min(_gains(swap, tables, needs, sharing))
        return max(0, least - bound)

    def left(self, needs: Sequence[int], fill: Fill) -> dict[int, int]:
        """What every item's own packs have to cover after `fill`."""
        left = {item: needs[item] for item in self.items}
        for swap, pieces in zip(self.swaps, fill.pieces, strict=True):
            left[swap.wanted] -= pieces
            left[swap.source] += pieces
        return left

    def choices(self, ways: Ways, needs: Sequence[int], slack: int) -> list[Choice]:
        """Every undominated choice that is dearer by `slack` [1/1000 cent] at the most."""
        fills = self.fills(ways.tables, needs, slack)
        least = min(fill.cost for fill in fills)
        found: list[Choice] = []
        for fill in fills:
            found += self._filled(fill, fill.cost - least, ways, needs, slack)
        return undominated(found, ways.lanes)

    def _filled(
        self, fill: Fill, extra: int, ways: Ways, needs: Sequence[int], slack: int
    ) -> list[Choice]:
        cost, trace = 0, None
        for swap, pieces in zip(self.swaps, fill.pieces, strict=True):
            if pieces:
                cost += pieces * swap.cost
                trace = trace, Filled(swap.wanted, swap.source, pieces)
        choices = [Choice(cost, 0, extra, trace)]
        for item, need in self.left(needs, fill).items():
            choices = ways.combined(choices, ways.of(item, need, slack), slack)
        return choices


def _of_one(
    swap: Swap, tables: Sequence[Least], needs: Sequence[int], slack: int
) -> list[Fill]:
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


def _points(swap: Swap, lack: int, other: int, tables: Sequence[Least]) -> Iterator[int]:
    """Numbers of pieces beyond nought, among which is the best one, rising."""
    if swap.cost >= 0:
        unit = tables[swap.wanted].unit
        return iter(range(lack % unit or unit, min(swap.most, lack) + 1, unit))
    unit = tables[swap.source].unit
    first = -other if other < 0 else -other % unit or unit
    return itertools.chain(range(first, swap.most, unit), (swap.most,))


def _gains(
    swap: Swap, tables: Sequence[Least], needs: Sequence[int], sharing: int
) -> Iterator[float]:
    of_wanted, of_source = tables[swap.wanted].cost, tables[swap.source].cost
    other = needs[swap.source]
    now = of_source[other] if other > 0 else 0
    for pieces in range(swap.most + 1):
        then = of_source[other + pieces] if other + pieces > 0 else 0
        yield (then - now) / sharing + swap.cost * pieces - of_wanted[pieces]


class _Spread:
    """Several swaps of a group, depth first, each undecided one at any time.

    Given the packs of each item, the best fills are a flow, and some best flow is made up one swap
    after another, in some order, each as large or as small as one pack allows.
    """

    def __init__(
        self, group: Group, tables: Sequence[Least], needs: Sequence[int], slack: int
    ) -> None:
        self._swaps, self._slack = group.swaps, slack
        self._tables = {item: tables[item] for item in group.items}
        self._needs = {item: needs[item] for item in group.items}
        self._rooms = {swap.wanted: swap.most for swap in group.swaps}
        # What a wanted piece filled costs at the least.
        self._rates = {
            wanted: min(tables[s.source].rate + s.cost for s in self._swaps if s.wanted == wanted)
            for wanted in self._rooms
        }
        self._sure = group.sure
        self._pieces = [0] * len(group.swaps)
        self._seen: set[tuple[int, ...]] = set()
        self._known: dict[tuple[int, ...], int] = {}
        self._least = self._bound(0, ())
        self._visit(tuple(range(len(group.swaps))), 0)

    def found(self) -> list[Fill]:
        """Fills within the slack of the least."""
        limit = self._least + self._slack
        return sorted(Fill(cost, pieces) for pieces, cost in self._known.items() if cost <= limit)

    def _visit(self, undecided: tuple[int, ...], paid: int) -> None:
        cost = self._bound(paid, undecided)
        if cost > self._least + self._slack:
            return
        if not undecided:
            self._known[tuple(self._pieces)] = cost
            self._least = min(self._least, cost)
            return
        key = *undecided, -1, *self._pieces
        if key in self._seen:
            return
        self._seen.add(key)
        plain = next((p for p in undecided if self._saves(p, undecided)), None)
        if plain is not None:
            self._decide(plain, undecided, paid)
            return
        for place in undecided if self._sure else undecided[:1]:
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
        for pieces in sorted(self._steps(place, undecided)):
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
        lack, other, most = self._needs[swap.wanted], self._needs[swap.source], self._rooms[swap.wanted]
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
        wanted, sources = {s.wanted for s in swaps}, {s.source for s in swaps}
        for item, need in self._needs.items():
            table = self._tables[item]
            if item in wanted:
                rate, room = self._rates[item], self._rooms[item]
                if item in sources:
                    paid += table.rate * need + min(0, rate - table.rate) * room
                else:
                    paid += rate * need + table.over(rate)[need] if need > 0 else 0
                    paid += min(0, rate) * room
            elif item in sources:
                rooms = sum(self._rooms[s.wanted] for s in swaps if s.source == item)
                paid += table.rate * max(need, -rooms)
            elif need > 0:
                paid += table.cost[need]
        return paid
