"""The cheapest plan that covers what is wanted, exactly, and fast enough to be asked all day.

It knows no trade. Packs of one item are a small knapsack, tabled once; bundles and substitutions
tie some items together; vendors who charge for delivery or ask for a minimum tie them all. Ways
to use the vendors are opened with the lowest bound first, and bounds are made as they are needed:
at first the covering without such terms; then with the spend that is asked for priced into the
packs; at last every undominated choice within what is left between bound and best plan. What the
best plan is not below closes the search, and proves the plan.
"""

import heapq
from collections.abc import Hashable, Iterator, Mapping, Sequence
from typing import Generic, NamedTuple

from service.estimating.covering.choices import Trace
from service.estimating.covering.covers import HOPELESS, NEVER, Pricing
from service.estimating.covering.effort import CutShort, Effort
from service.estimating.covering.offers import (
    Bundle,
    Conditions,
    Item,
    Pack,
    Substitution,
    Terms,
    Uncoverable,
)
from service.estimating.covering.plans import Basket, Plan, Wants, settle
from service.estimating.covering.purchases import Purchases
from service.estimating.covering.question import FINER, Catalogue, Question, Weighed
from service.estimating.covering.reaching import Reaching
from service.estimating.covering.spends import LANE, LANE_MASK
from service.estimating.covering.vendors import Lifting, Mode, modes

DISCOUNTS = (0, 5, 10, 20, 30, 45, 60, 80, 100, 130, 170, 250, 450)
"""Discounts to try [per mille], closer where prices differ by so much; few, to be tabled."""

FIRST_STEP = 10_000
STEP_GROWS = 3
"""How far above its bound a mode's best plan is looked for at first [1/1000 cent], and then."""

MOST_CHOICES = 30_000
"""Choices looked at for one question, before the best plan so far must do."""


class Market(Generic[Item]):
    """What holds whatever is wanted, with the tables that answers have needed so far.

    Keep one for as long as the prices stand: a question is answered faster when another has had
    the tables made. Threads may share it. Raises OffersError with every fault of what it is
    made from.
    """

    def __init__(
        self,
        *,
        bundles: Sequence[Bundle[Item]] = (),
        vendors: Mapping[Hashable, Terms] | None = None,
        substitutions: Sequence[Substitution[Item]] = (),
        leftover_values: Mapping[Item, int] | None = None,
    ) -> None:
        self.conditions = Conditions(
            bundles=tuple(bundles),
            vendors=vendors or {},
            substitutions=tuple(substitutions),
            leftover_values=leftover_values or {},
        )
        self._catalogue = Catalogue(self.conditions)

    def quickly(
        self,
        demands: Mapping[Item, int],
        packs: Mapping[Item, tuple[Pack, ...]],
        *,
        stock: Mapping[Item, int] | None = None,
        most_choices: int = MOST_CHOICES,
    ) -> Plan[Item]:
        """The cheapest plan that covers `demands` from `stock` and by `packs` and bundles.

        It goes by the structure of the question alone: Tangled is raised where stand-ins hang
        together in more than pairs.

        `packs` names what may be bought, sources of substitutions among it. Of the bundles only
        those are bought that hold something wanted or a source of it. Raises Uncoverable where
        nothing on offer covers a demand, and OffersError where a leftover is worth what a pack
        asks for it. `most_choices` bounds what is looked at; where that is too little to be sure,
        the plan says so, and CutShort is raised where it is too little to find any.
        """
        wants = Wants.of(demands, packs, stock)
        search = _Search(Question(self._catalogue, wants, Effort(most_choices)))
        search.run()
        worths = (self.conditions.value(item) * n for item, n in wants.demands.items())
        bound = search.low / FINER + sum(worths)
        return settle(self.conditions, wants, search.basket(), bound=bound)


class _Open(NamedTuple):
    """A mode not settled yet: what no plan in it is below, and how far it has been looked into."""

    low: int
    stage: int
    number: int
    mode: Mode
    lanes: tuple[int, ...]
    pricing: Pricing
    step: int = FIRST_STEP


class _Best(NamedTuple):
    """The best plan so far: its cost, what it is made of, and what orders are lifted by."""

    cost: int
    parts: "Weighed | Trace"
    lifts: tuple[tuple[int, int], ...]


class _Search(Generic[Item]):
    """Best bound first over the modes of using vendors."""

    def __init__(self, question: Question[Item]) -> None:
        self._question = question
        self._lifting = Lifting(question)
        self._best = _Best(NEVER, None, ())
        self._cut = NEVER
        self._open: list[_Open] = []

    @property
    def low(self) -> int:
        """What no plan costs less than [1/1000 cent]."""
        still = self._open[0].low if self._open else NEVER
        return min(self._best.cost, self._cut, still)

    def run(self) -> None:
        """Settle modes until none is left that could hold a better plan."""
        terms = self._question.catalogue.terms
        lanes = range(len(terms))
        anyhow = self._weigh((0,) * (len(lanes) + 1))
        if anyhow.low < HOPELESS <= anyhow.cost:
            raise CutShort
        if anyhow.cost >= HOPELESS:
            raise Uncoverable(f"nothing on offer covers {', '.join(self._lacking())}")
        stages = self._compare, self._price, self._reach
        for number, mode in enumerate(modes(terms, self._lifting.met)):
            asked = sum(self._lifting.least_share[lane] * mode.asked[lane] for lane in lanes)
            low = mode.charges + max(anyhow.low, asked)
            self._open.append(_Open(low, 0, number, mode, (), mode.pricing))
        heapq.heapify(self._open)
        while self._open and self._open[0].low < self._best.cost:
            each = heapq.heappop(self._open)
            stages[each.stage](each)

    def _weigh(self, pricing: Pricing) -> Weighed:
        """The best under a pricing, and the plan that it makes at the real prices."""
        weighed = self._question.weigh(pricing)
        if weighed.cost < HOPELESS:
            back = sum(
                discount * (weighed.spent >> lane * LANE & LANE_MASK)
                for lane, discount in enumerate(pricing)
                if discount > 0
            )
            self._offer(weighed.cost + back, weighed.spent, weighed)
        return weighed

    def _offer(self, cost: int, spent: int, parts: "Weighed | Trace") -> None:
        due = self._lifting.due(spent, self._best.cost - cost)
        if due is not None:
            self._best = _Best(self._best.cost - due.room, parts, due.lifts)

    def _push(self, each: _Open) -> None:
        if each.low < self._best.cost:
            heapq.heappush(self._open, each)

    def _short(self, mode: Mode, spent: int) -> tuple[int, ...]:
        """Lanes in which less is spent than asked."""
        return tuple(
            lane
            for lane, asked in enumerate(mode.asked)
            if spent >> lane * LANE & LANE_MASK < asked
        )

    def _compare(self, each: _Open) -> None:
        """Leave out the vendors that the mode leaves out, and see whether that meets the rest."""
        weighed = self._weigh(each.pricing)
        low = max(each.low, each.mode.charges + weighed.low)
        if weighed.cost >= HOPELESS:
            # Nothing covers all: nothing at all, or nothing of what was looked at.
            self._cut = min(self._cut, low)
            return
        short = self._short(each.mode, weighed.spent)
        if short:
            self._push(each._replace(low=low, stage=1, lanes=short))
        elif weighed.low < weighed.cost:
            self._cut = min(self._cut, low)

    def _price(self, each: _Open) -> None:
        """Find discounts under which spends come near what is asked: the bound is best there."""
        mode, pricing = each.mode, each.pricing
        best = self._bound(mode, pricing)
        for lane in each.lanes * min(2, len(each.lanes)):
            for level in self._levels(mode, pricing, lane):
                if best >= self._best.cost:
                    return
                tried = (*pricing[:lane], level, *pricing[lane + 1 :])
                low = self._bound(mode, tried)
                if low > best:
                    best, pricing = low, tried
        self._push(each._replace(low=max(each.low, best), stage=2, pricing=pricing))

    def _levels(self, mode: Mode, pricing: Pricing, lane: int) -> Iterator[int]:
        """Discounts of a lane, by halving: lower where enough is spent, higher where it is not."""
        steepest = self._lifting.least_share[lane]
        levels = [*(level for level in DISCOUNTS if level < steepest), steepest]
        start, end = 0, len(levels) - 1
        while start <= end:
            middle = (start + end) // 2
            level = levels[middle]
            yield level
            spent = self._weigh((*pricing[:lane], level, *pricing[lane + 1 :])).spent
            if spent >> lane * LANE & LANE_MASK < mode.asked[lane]:
                start = middle + 1
            else:
                end = middle - 1

    def _bound(self, mode: Mode, pricing: Pricing) -> int:
        """What no plan in the mode is below, by what a pricing makes the least cost."""
        asked = zip(pricing, mode.asked, strict=False)
        back = sum(discount * value for discount, value in asked if discount > 0)
        return mode.charges + self._weigh(pricing).low + back

    def _reach(self, each: _Open) -> None:
        """Put every choice together that could make a plan not much above the bound.

        Plans get many as they get dearer, and the best is seldom far above: it is looked for step
        by step, and each step that finds none lifts the bound.
        """
        mode, best = each.mode, self._best.cost
        limit = min(best, each.low + each.step)
        reaching = Reaching(self._question, self._lifting, mode, each.lanes)
        found = limit
        short: tuple[int, ...] = ()
        for choice in reaching.choices(each.pricing, limit):
            cost = reaching.total(choice)
            if cost < found:
                found, short = cost, self._short(mode, choice.spent)
            self._offer(choice.cost, choice.spent, choice.trace)
        others = set(short) - set(each.lanes)
        if reaching.cut:
            self._cut = min(self._cut, each.low)
        elif others:
            lanes = (*each.lanes, *sorted(others))
            self._push(each._replace(low=max(each.low, found), stage=1, lanes=lanes))
        elif found == limit:
            self._push(each._replace(low=limit, step=each.step * STEP_GROWS))

    def _lacking(self) -> Iterator[str]:
        question = self._question
        for item, kind, need in zip(question.items, question.kinds, question.needs, strict=True):
            if need > 0 and not kind.packs:
                yield str(item)

    def basket(self) -> Basket[Item]:
        """What the best plan buys and fills."""
        basket = Purchases(self._question)
        if isinstance(self._best.parts, Weighed):
            basket.weighed(self._best.parts)
        else:
            basket.traced(self._best.parts)
        for lane, short in self._best.lifts:
            basket.lifted(self._lifting.lift(lane).goods(short))
        return basket.counted()
