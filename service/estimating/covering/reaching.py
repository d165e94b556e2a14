"""Every choice for a whole plan that could be better than the best one, where spends are asked.

Discounts price the spends into the packs, which leaves a gap between what bounds all plans and the
best plan so far. A better plan can be dearer than the least in each of its parts by no more than
that gap, and in all of them together. Few choices are; part by part they are put together, and
those that another beats in cost and in every spend are dropped.
"""

from collections.abc import Sequence
from typing import Generic

from service.estimating.covering.bundling import Bundling, Cluster
from service.estimating.covering.choices import Choice, Ways
from service.estimating.covering.covers import Pricing
from service.estimating.covering.effort import CutShort
from service.estimating.covering.offers import Item
from service.estimating.covering.question import Question
from service.estimating.covering.spends import LANE, LANE_MASK, undominated
from service.estimating.covering.vendors import Lifting, Mode


class Reaching(Generic[Item]):
    """The choices in one mode that meet what is asked in `lanes`, by goods lifted if need be.

    `cut` says that some could not be looked at.
    """

    def __init__(
        self,
        question: Question[Item],
        lifting: Lifting[Item],
        mode: Mode,
        lanes: tuple[int, ...],
    ) -> None:
        self._question, self._lifting, self._mode = question, lifting, mode
        self._lanes = lanes
        self._asked = [
            (lane, lane * LANE, mode.asked[lane], lifting.least_share[lane]) for lane in lanes
        ]
        self.cut = False

    def choices(self, pricing: Pricing, limit: int) -> list[Choice]:
        """Choices that may make a plan below `limit` [1/1000 cent], bounded by `pricing`."""
        weighed = self._question.weigh(pricing)
        self.cut = weighed.low < weighed.cost
        back = sum(pricing[lane] * asked for lane, _, asked, _ in self._asked)
        slack = limit - 1 - (self._mode.charges + weighed.cost + back)
        if slack < 0:
            return []
        question, effort = self._question, self._question.effort
        ways = Ways(question.kinds, weighed.tables, question.reach, pricing, self._lanes, effort)
        try:
            parts = [ways.of(item, question.needs[item], slack) for item in question.singles]
            parts += [self._tied(cluster, ways, pricing, slack) for cluster in question.clusters]
            return self._together(sorted(parts, key=len), ways, slack, limit)
        except CutShort:
            self.cut = True
            return []

    def total(self, choice: Choice) -> int:
        """The cost in this mode, lifted to what is asked [1/1000 cent]."""
        lifts = (
            self._lifting.lift(lane).cost(asked - (choice.spent >> shift & LANE_MASK))
            for lane, shift, asked, _ in self._asked
        )
        return self._mode.charges + choice.cost + sum(lifts)

    def _tied(self, cluster: Cluster, ways: Ways, pricing: Pricing, slack: int) -> list[Choice]:
        needs = self._question.needs
        paying = cluster.paying(ways.tables, pricing)
        search = Bundling(cluster, ways.tables, needs, paying, slack, ways.effort)
        self.cut |= search.low < search.best.cost
        found: list[Choice] = []
        nodes = list(search.near)
        for node in nodes:
            extra = node.cost - search.best.cost
            found += cluster.choices(node, extra, ways, needs, slack)
        return undominated(found, self._lanes) if len(nodes) > 1 else found

    def _together(
        self, parts: Sequence[list[Choice]], ways: Ways, slack: int, limit: int
    ) -> list[Choice]:
        choices = [Choice(0, 0, 0, None)]
        rests = self._rests(parts)
        for part, (cost, spends) in zip(parts, rests, strict=True):
            choices = ways.combined(choices, part, slack)
            if len(choices) > 1:
                choices = [c for c in choices if self._floor(c, cost, spends) < limit]
        return choices

    def _rests(self, parts: Sequence[list[Choice]]) -> list[tuple[int, list[int]]]:
        """After each part: the least cost of those to come, and the most spends by lane."""
        cost, spends, rests = 0, [0] * len(self._asked), []
        for part in reversed(parts):
            rests.append((cost, spends))
            cost += min((choice.cost for choice in part), default=0)
            spends = [
                spend + max((c.spent >> shift & LANE_MASK for c in part), default=0)
                for spend, (_, shift, _, _) in zip(spends, self._asked, strict=True)
            ]
        return rests[::-1]

    def _floor(self, choice: Choice, cost: int, spends: Sequence[int]) -> int:
        """What no plan with this choice is below, the rest at its least."""
        floor = self._mode.charges + choice.cost + cost
        for (_, shift, asked, share), most in zip(self._asked, spends, strict=True):
            short = asked - most - (choice.spent >> shift & LANE_MASK)
            floor += share * short if short > 0 else 0
        return floor
