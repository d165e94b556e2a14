"""The same question as `covering`, put to a general solver: a mixed-integer linear program.

For n packs p and bundles b, pieces f that fill wanted items w from sources s, and for every vendor
v with terms whether it is used (u) and whether its delivery is paid (q):

    least   sum (100 cost - value size) n + sum (penalty + value_s - value_w) f + sum 100 delivery q
    where   held_i + stock_i + sum f_i<-s - sum f_w<-i >= demand_i      and  sum f_w<-s <= demand_w
            n <= most u,   spend_v >= minimum u,   spend_v + free_from q >= free_from u

The solver computes in floating point; what it says to buy is counted again in integers, and its
bound decides whether that is proven. One thread and a fixed seed: equal questions, equal plans.
"""

import math
from collections.abc import Hashable, Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Generic

from service.estimating.covering.market import Market
from service.estimating.covering.offers import (
    FREE,
    RATE,
    Conditions,
    Item,
    Pack,
    Substitution,
    Terms,
    Uncoverable,
)
from service.estimating.covering.plans import Basket, Plan, Wants, settle

if TYPE_CHECKING:
    import highspy

SEED = 1


def optimum(
    market: Market[Item],
    demands: Mapping[Item, int],
    packs: Mapping[Item, tuple[Pack, ...]],
    *,
    stock: Mapping[Item, int] | None = None,
    time_limit_s: float = 10.0,
) -> Plan[Item]:
    """The cheapest plan, or the best one found within `time_limit_s` [s] with its gap.

    Raises Uncoverable where no plan covers the demands, OffersError where a leftover is worth what
    a pack asks for it, and TimeoutError where there was no time to find any plan.
    """
    conditions = market.conditions
    for item, offered in packs.items():
        conditions.refuse(item, offered)
    wants = Wants.of(demands, packs, stock)
    program = _Program(conditions, wants)
    numbers, bound = program.model.solve(time_limit_s)
    return settle(conditions, wants, program.basket(numbers), bound=bound)


@dataclass(slots=True)
class _Model:
    """Columns and rows, as the solver takes them; objective in cents, to keep it well scaled."""

    costs: list[float] = field(default_factory=list)
    most: list[float] = field(default_factory=list)
    lower: list[float] = field(default_factory=list)
    starts: list[int] = field(default_factory=lambda: [0])
    indices: list[int] = field(default_factory=list)
    values: list[float] = field(default_factory=list)
    constant: float = 0.0

    def column(self, cost: int, most: int) -> int:
        """A whole number from 0 to `most` that adds `cost` [1/100 cent] each; its index."""
        self.costs.append(cost / RATE)
        self.most.append(most)
        return len(self.costs) - 1

    def row(self, lower: int, terms: Mapping[int, int]) -> None:
        """The sum of the columns times their factors is at least `lower`."""
        self.lower.append(lower)
        self.indices.extend(terms)
        self.values.extend(terms.values())
        self.starts.append(len(self.indices))

    def solve(self, time_limit_s: float) -> tuple[list[int], float]:
        """The numbers of the best solution, and what no objective is below [1/100 cent]."""
        import highspy  # takes a quarter of a second: only who asks for it waits

        # The bare solver: its wrapper announces itself on standard output.
        solver = highspy._core._Highs()
        options = {
            "output_flag": False,
            "threads": 1,
            "random_seed": SEED,
            "time_limit": time_limit_s,
            "mip_rel_gap": 0.0,
            "mip_abs_gap": 0.5 / RATE,
        }
        for name, value in options.items():
            solver.setOptionValue(name, value)
        solver.passModel(self._program())
        solver.run()
        status = solver.getModelStatus()
        if status == highspy.HighsModelStatus.kInfeasible:
            raise Uncoverable("nothing on offer covers what is wanted")
        info = solver.getInfo()
        if math.isinf(info.objective_function_value):
            raise TimeoutError(f"no plan was found within {time_limit_s} s")
        numbers = [round(value) for value in solver.getSolution().col_value]
        return numbers, info.mip_dual_bound * RATE

    def _program(self) -> "highspy.HighsLp":
        import highspy

        program = highspy.HighsLp()
        program.num_col_, program.num_row_ = len(self.costs), len(self.lower)
        program.col_cost_ = self.costs
        program.offset_ = self.constant
        program.col_lower_ = [0.0] * len(self.costs)
        program.col_upper_ = self.most
        program.row_lower_ = self.lower
        program.row_upper_ = [highspy.kHighsInf] * len(self.lower)
        program.integrality_ = [highspy.HighsVarType.kInteger] * len(self.costs)
        program.a_matrix_.format_ = highspy.MatrixFormat.kRowwise
        program.a_matrix_.start_ = self.starts
        program.a_matrix_.index_ = self.indices
        program.a_matrix_.value_ = self.values
        return program


class _Program(Generic[Item]):
    """The model of one question, and which column means what."""

    def __init__(self, conditions: Conditions[Item], wants: Wants[Item]) -> None:
        self.model = _Model()
        self._conditions, self._wants = conditions, wants
        self._held: dict[Item, dict[int, int]] = {item: {} for item in wants.demands}
        self._goods: dict[Hashable, dict[int, int]] = {}
        self._most: dict[int, int] = {}
        self._useful = self._most_useful()
        self._packs = {
            item: [self._single(item, pack) for pack in offered]
            for item, offered in wants.packs.items()
        }
        self._bundles = {
            place: self._buy(bundle.contents, bundle.cost, bundle.vendor)
            for place, bundle in enumerate(conditions.bundles)
            if any(self._useful.get(item, 0) > 0 for item in bundle.contents)
        }
        self._fills = {
            (swap.wanted, swap.source): self._fill(swap)
            for swap in conditions.substitutions
            if swap.wanted in wants.demands
        }
        self._cover()
        for vendor in self._goods:
            self._deal(vendor, conditions.terms(vendor))
        worths = (conditions.value(item) * number for item, number in wants.demands.items())
        self.model.constant = sum(worths) / RATE

    def basket(self, numbers: list[int]) -> Basket[Item]:
        """What the solver's `numbers` say."""
        return Basket(
            packs={i: tuple(numbers[c] for c in columns) for i, columns in self._packs.items()},
            bundles=tuple(
                numbers[self._bundles[place]] if place in self._bundles else 0
                for place in range(len(self._conditions.bundles))
            ),
            fills={pair: numbers[column] for pair, column in self._fills.items()},
        )

    def _most_useful(self) -> dict[Item, int]:
        """Pieces of each item beyond which no more can be put to use."""
        demands = self._wants.demands
        useful = dict(demands)
        for swap in self._conditions.substitutions:
            useful[swap.source] = useful.get(swap.source, 0) + demands.get(swap.wanted, 0)
        return useful

    def _single(self, item: Item, pack: Pack) -> int:
        return self._buy({item: pack.size}, pack.cost, pack.vendor)

    def _buy(self, contents: Mapping[Item, int], cost: int, vendor: Hashable) -> int:
        terms = self._conditions.terms(vendor)
        # More than covers every item pays only where it lifts the order to what is asked of it.
        most = max(-(-self._useful.get(item, 0) // number) for item, number in contents.items())
        asked = max(terms.minimum, terms.free_from or 0)
        most += -(-asked // cost) if cost else 0
        worth = sum(self._conditions.value(item) * number for item, number in contents.items())
        column = self.model.column(RATE * cost - worth, most)
        for item, number in contents.items():
            self._held.setdefault(item, {})[column] = number
        self._goods.setdefault(vendor, {})[column] = cost
        self._most[column] = most
        return column

    def _fill(self, swap: Substitution[Item]) -> int:
        value = self._conditions.value
        cost = swap.penalty + value(swap.source) - value(swap.wanted)
        column = self.model.column(cost, self._wants.demands.get(swap.wanted, 0))
        self._held.setdefault(swap.wanted, {})[column] = 1
        self._held.setdefault(swap.source, {})[column] = -1
        return column

    def _cover(self) -> None:
        demands, stock = self._wants.demands, self._wants.stock
        for item, held in self._held.items():
            self.model.row(demands.get(item, 0) - stock.get(item, 0), held)
        for item, demand in demands.items():
            fills = (column for (wanted, _), column in self._fills.items() if wanted == item)
            self.model.row(-demand, dict.fromkeys(fills, -1))

    def _deal(self, vendor: Hashable, terms: Terms) -> None:
        goods = self._goods[vendor]
        if terms == FREE:
            return
        used = self.model.column(0, 1)
        paid = self.model.column(RATE * terms.delivery, 1)
        for column in goods:
            self.model.row(0, {used: self._most[column], column: -1})
        self.model.row(0, {**goods, used: -terms.minimum})
        if terms.free_from is None:
            self.model.row(0, {paid: 1, used: -1})
        else:
            self.model.row(0, {**goods, paid: terms.free_from, used: -terms.free_from})
