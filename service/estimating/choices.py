"""Choices for parts of a plan, and how they add up to choices for the whole.

Where spends have to be reached, the cheapest way of each part is not enough: `Ways` lists, item by
item, all that may matter, each with how much dearer it is than the best one under the pricing.
"""

from collections.abc import Iterator, Sequence
from typing import Any, NamedTuple

from service.estimating.covers import LANE, LANE_MASK, Kind, Least, Pricing, Way, undominated


class Covered(NamedTuple):
    """A decision: cover an item in this way."""

    item: int
    way: Way


class Filled(NamedTuple):
    """A decision: fill so many pieces of `wanted` from `source`."""

    wanted: int
    source: int
    pieces: int


class Mixed(NamedTuple):
    """A decision: so many of the bundle at `place`."""

    place: int
    number: int


Decision = Covered | Filled | Mixed


class Choice(NamedTuple):
    """Cost [1/100 cent], spends, cost beyond the least under the pricing, and the decisions.

    `trace` is a decision, or a pair of traces, or None.
    """

    cost: int
    spent: int
    extra: int
    trace: Any


def decisions(trace: Any) -> Iterator[Decision]:
    """The decisions of a trace."""
    traces = [trace]
    while traces:
        each = traces.pop()
        if type(each) is tuple:
            traces.extend(each)
        elif each is not None:
            yield each


def combined(
    before: list[Choice], after: list[Choice], slack: int, lanes: Sequence[int]
) -> list[Choice]:
    """One of `before` with one of `after`, where both are no dearer than `slack` [1/100 cent]."""
    found = [
        Choice(a.cost + b.cost, a.spent + b.spent, a.extra + b.extra, (a.trace, b.trace))
        for a in before
        for b in after
        if a.extra + b.extra <= slack
    ]
    return found if len(before) == 1 or len(after) == 1 else undominated(found, lanes)


class Ways:
    """Ways to cover items at the prices that `pricing` leaves undiscounted, by spends in `lanes`."""

    __slots__ = ("_base", "_discounts", "_kinds", "_known", "_reach", "lanes", "tables")

    def __init__(
        self,
        kinds: Sequence[Kind],
        tables: Sequence[Least],
        reach: Sequence[int],
        pricing: Pricing,
        lanes: tuple[int, ...],
    ) -> None:
        self._kinds, self._reach = kinds, reach
        self._base = tuple(min(discount, 0) for discount in pricing)
        self._discounts = [(pricing[lane], lane * LANE) for lane in lanes if pricing[lane]]
        self._known: dict[tuple[int, int], list[Choice]] = {}
        self.tables = tables
        self.lanes = lanes

    def of(self, item: int, need: int, slack: int) -> list[Choice]:
        """Ways to cover `need` pieces that are dearer by `slack` [1/100 cent] at the most."""
        found = self._known.get((item, need))
        if found is None:
            frontier = self._kinds[item].frontier(self._base, self.lanes, self._reach[item])
            least = self.tables[item].cost[need] if need > 0 else 0
            found = [
                Choice(way.cost, way.spent, self.discounted(way) - least, Covered(item, way))
                for way in frontier.ways(need)
            ]
            self._known[item, need] = found
        return [choice for choice in found if choice.extra <= slack]

    def discounted(self, way: Way) -> int:
        """The cost of a way under the pricing [1/100 cent]."""
        cost = way.cost
        for discount, shift in self._discounts:
            cost -= discount * (way.spent >> shift & LANE_MASK)
        return cost
