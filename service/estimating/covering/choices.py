"""Choices for parts of a plan, and how they add up to choices for the whole.

Where spends have to be reached, the cheapest way of each part is not enough: `Ways` lists, item by
item, all that may matter, each with how much dearer it is than the best one under the pricing.
"""

from collections.abc import Iterator, Sequence
from typing import NamedTuple, TypeAlias

from service.estimating.covering.covers import Kind, Least, Pricing, Way
from service.estimating.covering.effort import CutShort, Effort
from service.estimating.covering.spends import undominated


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

Trace: TypeAlias = "Decision | tuple[Trace, Trace] | None"
"""The decisions of a choice, in pairs of pairs: those before are shared, not copied."""


class Choice(NamedTuple):
    """Cost [1/1000 cent], spends, cost beyond the least under the pricing, and the decisions."""

    cost: int
    spent: int
    extra: int
    trace: Trace


def decisions(trace: Trace) -> Iterator[Decision]:
    """The decisions of a trace."""
    traces = [trace]
    while traces:
        each = traces.pop()
        if isinstance(each, Covered | Filled | Mixed):
            yield each
        elif each is not None:
            traces.extend(each)


class Ways:
    """Ways to cover items that are near the least under a pricing, by spends in `lanes`.

    Putting choices together is an effort; CutShort is raised where it is over.
    """

    __slots__ = ("_kinds", "_known", "_pricing", "_reach", "effort", "lanes", "tables")

    def __init__(
        self,
        kinds: Sequence[Kind],
        tables: Sequence[Least],
        reach: Sequence[int],
        pricing: Pricing,
        lanes: tuple[int, ...],
        effort: Effort,
    ) -> None:
        self._kinds, self._reach, self._pricing = kinds, reach, pricing
        self._known: dict[tuple[int, int, int], list[Choice]] = {}
        self.effort = effort
        self.tables = tables
        self.lanes = lanes

    def of(self, item: int, need: int, slack: int) -> list[Choice]:
        """Ways to cover `need` pieces that are dearer by `slack` [1/1000 cent] at the most."""
        key = item, need, slack
        found = self._known.get(key)
        if found is None:
            frontier = self._kinds[item].frontier(
                self._pricing, self.lanes, self._reach[item], slack
            )
            found = self._known[key] = [
                Choice(way.cost, way.spent, way.extra, Covered(item, way))
                for way in frontier.ways(need)
                if way.extra <= slack
            ]
        return found

    def combined(self, before: list[Choice], after: list[Choice], slack: int) -> list[Choice]:
        """One of `before` with one of `after`, together dearer by `slack` at the most."""
        # To tell which is beaten takes the longer the more spends there are.
        self.effort.spend(len(before) * len(after) * len(self.lanes))
        if self.effort.over:
            raise CutShort
        found = [
            Choice(a.cost + b.cost, a.spent + b.spent, a.extra + b.extra, (a.trace, b.trace))
            for a in before
            for b in after
            if a.extra + b.extra <= slack
        ]
        return found if len(before) == 1 or len(after) == 1 else undominated(found, self.lanes)
