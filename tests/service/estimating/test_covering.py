import itertools

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import Bounds, LinearConstraint, milp

from service.estimating.covering import Bundle, Covers, Pack, Plan, Uncoverable, cheapest

packs = st.lists(
    st.builds(Pack, size=st.integers(1, 12), cost=st.integers(1, 30)), min_size=1, max_size=4
)
items = st.sampled_from("abc")
bundles = st.lists(
    st.builds(
        Bundle,
        contents=st.dictionaries(items, st.integers(1, 9), min_size=1),
        cost=st.integers(1, 40),
    ),
    max_size=3,
)


def covers_demand(
    plan: Plan[str],
    demands: dict[str, int],
    offers: dict[str, list[Pack]],
    bundled: list[Bundle[str]],
) -> bool:
    def held(item: str) -> int:
        singles = zip(plan.packs[item], offers[item], strict=True)
        mixed = zip(plan.bundles, bundled, strict=True)
        return sum(n * pack.size for n, pack in singles) + sum(
            n * bundle.contents.get(item, 0) for n, bundle in mixed
        )

    return all(held(item) >= demand for item, demand in demands.items())


def least_cost(
    demands: dict[str, int], offers: dict[str, list[Pack]], bundled: list[Bundle[str]]
) -> int:
    """The optimum by a general mixed-integer solver."""
    columns = [(pack.cost, {item: pack.size}) for item in demands for pack in offers[item]]
    columns += [(bundle.cost, dict(bundle.contents)) for bundle in bundled]
    held = np.array([[contents.get(item, 0) for _, contents in columns] for item in demands])
    answer = milp(
        np.array([cost for cost, _ in columns]),
        integrality=np.ones(len(columns)),
        bounds=Bounds(0, np.inf),
        constraints=LinearConstraint(held, lb=np.array(list(demands.values()))),
        options={"mip_rel_gap": 0},
    )
    return round(float(answer.fun))


@given(packs=packs, demand=st.integers(0, 40))
def test_packs_of_one_item_cost_as_little_as_every_combination_tried(
    packs: list[Pack], demand: int
) -> None:
    most = [-(-demand // pack.size) for pack in packs]
    tried = min(
        sum(n * pack.cost for n, pack in zip(numbers, packs, strict=True))
        for numbers in itertools.product(*(range(n + 1) for n in most))
        if sum(n * pack.size for n, pack in zip(numbers, packs, strict=True)) >= demand
    ) if len(packs) < 3 else least_cost({"a": demand}, {"a": packs}, [])  # fmt: skip
    covers = Covers(packs)
    numbers = covers.numbers(demand)
    assert covers.cost(demand) == tried
    assert sum(n * pack.cost for n, pack in zip(numbers, packs, strict=True)) == tried
    assert sum(n * pack.size for n, pack in zip(numbers, packs, strict=True)) >= demand


@settings(deadline=None)
@given(
    demands=st.fixed_dictionaries({item: st.integers(0, 40) for item in "abc"}),
    offers=st.fixed_dictionaries(dict.fromkeys("abc", packs)),
    bundled=bundles,
)
def test_the_plan_costs_what_a_general_solver_finds(
    demands: dict[str, int], offers: dict[str, list[Pack]], bundled: list[Bundle[str]]
) -> None:
    plan = cheapest(demands, offers, bundled)
    assert plan.proven
    assert covers_demand(plan, demands, offers, bundled)
    assert plan.cost == least_cost(demands, offers, bundled)


@given(packs=packs, demand=st.integers(500, 3000))
def test_a_large_demand_is_met_beyond_the_table(packs: list[Pack], demand: int) -> None:
    long_way = [0]
    for wanted in range(1, demand + 1):
        long_way.append(min(long_way[max(0, wanted - p.size)] + p.cost for p in packs))
    assert Covers(packs).cost(demand) == long_way[demand]


@settings(deadline=None)
@given(
    demands=st.fixed_dictionaries({item: st.integers(1, 60) for item in "abc"}),
    offers=st.fixed_dictionaries(dict.fromkeys("abc", packs)),
    bundled=bundles,
)
def test_it_is_never_dearer_than_buying_the_best_rate_only(
    demands: dict[str, int], offers: dict[str, list[Pack]], bundled: list[Bundle[str]]
) -> None:
    greedy = 0
    for item, demand in demands.items():
        best = min(offers[item], key=lambda pack: pack.cost / pack.size)
        greedy += -(-demand // best.size) * best.cost
    assert cheapest(demands, offers, bundled).cost <= greedy


def test_a_dozen_items_and_five_bundles_are_proven_as_a_general_solver_finds_them() -> None:
    random = np.random.default_rng(7)
    names = [f"item {i}" for i in range(12)]
    for _ in range(6):
        demands = {name: int(random.integers(10, 160)) for name in names}
        offers = {
            name: [
                Pack(size=size, cost=int(size * rate * random.uniform(0.9, 1.1)))
                for size, rate in ((20, 22), (50, 19), (100, 16))
            ]
            for name in names
        }
        bundled = [
            Bundle(
                contents={str(n): int(random.integers(10, 31)) for n in
                          random.choice(names, size=4, replace=False)},
                cost=int(random.integers(900, 1500)),
            )
            for _ in range(5)
        ]  # fmt: skip
        plan = cheapest(demands, offers, bundled)
        assert plan.proven
        assert plan.cost == least_cost(demands, offers, bundled)


def test_a_search_cut_short_says_so() -> None:
    demands = {"a": 90, "b": 90}
    offers = {"a": [Pack(size=10, cost=20)], "b": [Pack(size=10, cost=20)]}
    bundled = [
        Bundle(contents={"a": 7, "b": 5}, cost=15),
        Bundle(contents={"a": 5, "b": 8}, cost=16),
    ]
    assert cheapest(demands, offers, bundled).proven
    assert not cheapest(demands, offers, bundled, most_nodes=3).proven


def test_a_bundle_alone_can_cover_what_no_pack_holds() -> None:
    plan = cheapest({"a": 3}, {}, [Bundle(contents={"a": 2}, cost=5)])
    assert (plan.bundles, plan.cost) == ((2,), 10)


def test_what_nothing_holds_is_named() -> None:
    with pytest.raises(Uncoverable, match="nothing on offer holds b"):
        cheapest({"a": 1, "b": 1}, {"a": [Pack(size=1, cost=1)]})
