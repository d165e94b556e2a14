import random

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.estimating.uncertainty import Band, Outcome, Weights, band, outcome

ESTIMATES = {"materials": 80.0, "labour": 120.0, "driving": 30.0}
WEIGHTS = {
    "materials": {"packing": 0.10, "prices": 0.05},
    "labour": {"packing": 0.10, "pace": 0.18},
    "driving": {"traffic": 0.2, "distance": 0.4},
}

# Groups that scatter from 0.05 to 0.6: steady beside doubtful, alone and together, few and many.
SUMS: dict[str, tuple[dict[str, float], Weights]] = {
    "a job": (ESTIMATES, WEIGHTS),
    "a long drive of unknown length": (
        {"materials": 100.0, "driving": 100.0},
        {"materials": {"packing": 0.05}, "driving": {"traffic": 0.15, "distance": 0.58}},
    ),
    "two strangers": (
        {"one": 100.0, "other": 100.0},
        {"one": {"this": 0.6}, "other": {"that": 0.6}},
    ),
    "a steady one and a wild one": (
        {"steady": 100.0, "wild": 30.0},
        {"steady": {"this": 0.2}, "wild": {"that": 0.6}},
    ),
    "fifteen strangers": (
        {f"group {i}": 10.0 + i for i in range(15)},
        {f"group {i}": {f"own {i}": 0.6} for i in range(15)},
    ),
    "ten tasks on one day": (
        {f"task {i}": 5.0 + 3 * i for i in range(10)},
        {f"task {i}": {"day": 0.2, f"own {i}": 0.22, "packing": 0.1 * (i % 2)} for i in range(10)},
    ),
    "three and three": (
        {f"group {i}": 20.0 for i in range(6)},
        {f"group {i}": {"left" if i < 3 else "right": 0.5, f"own {i}": 0.3} for i in range(6)},
    ),
    "one factor weighs on all, unequally": (
        {"a": 50.0, "b": 70.0, "c": 20.0, "d": 5.0},
        {"a": {"size": 0.2}, "b": {"size": 0.4}, "c": {"size": 0.05, "x": 0.2}, "d": {"y": 0.6}},
    ),
}


def drawn_quantiles(estimates: dict[str, float], weights: Weights) -> list[float]:
    """P10, P50 and P90 of half a million draws and their mirror images."""
    factors = sorted({factor for row in weights.values() for factor in row})
    rows = np.array([[weights[name].get(f, 0.0) for f in factors] for name in estimates])
    half = np.random.default_rng(11).standard_normal((500_000, len(factors)))
    amounts = np.array(list(estimates.values()))
    totals = np.concatenate([np.exp(sign * half @ rows.T) @ amounts for sign in (1, -1)])
    return [float(q) for q in np.quantile(totals / amounts.sum(), [0.1, 0.5, 0.9])]


@pytest.mark.parametrize("name", SUMS)
def test_quantiles_are_within_one_percent_of_a_million_draws(name: str) -> None:
    computed = outcome(*SUMS[name])
    drawn = drawn_quantiles(*SUMS[name])
    assert [computed.low, computed.likely, computed.high] == pytest.approx(drawn, rel=0.01)


def test_one_group_gives_the_lognormals_own_quantiles() -> None:
    # exp(+/- 1.28155 x sqrt(0.3^2 + 0.4^2)) = exp(+/- 0.640776) = 0.526883 and 1.897953
    alone = outcome({"labour": 120.0}, {"labour": {"pace": 0.3, "packing": 0.4}})
    assert alone.low == pytest.approx(0.526883, abs=1e-6)
    assert alone.likely == pytest.approx(1, abs=1e-12)
    assert alone.high == pytest.approx(1.897953, abs=1e-6)


weight = st.floats(0, 0.6)
factors = st.sampled_from(("pace", "packing", "prices", "size", "traffic"))
groups = st.sampled_from(("materials", "support", "install", "tying", "driving"))
sums = st.dictionaries(groups, st.floats(1, 500), min_size=1).flatmap(
    lambda estimates: st.tuples(
        st.just(estimates),
        st.fixed_dictionaries({name: st.dictionaries(factors, weight) for name in estimates}),
    )
)


@given(whole=sums)
def test_low_likely_and_high_come_in_that_order(
    whole: tuple[dict[str, float], dict[str, dict[str, float]]],
) -> None:
    computed = outcome(*whole)
    assert 0 < computed.low <= computed.likely <= computed.high


@given(whole=sums, times=st.floats(0.01, 100))
def test_another_currency_changes_nothing(
    whole: tuple[dict[str, float], dict[str, dict[str, float]]], times: float
) -> None:
    estimates, weights = whole
    here = outcome(estimates, weights)
    there = outcome({name: amount * times for name, amount in estimates.items()}, weights)
    for one, other in zip(
        (here.low, here.likely, here.high), (there.low, there.likely, there.high), strict=True
    ):
        assert one == pytest.approx(other, rel=1e-9)


@given(whole=sums, seed=st.integers(0, 1000))
def test_the_order_in_which_things_are_named_changes_no_bit(
    whole: tuple[dict[str, float], dict[str, dict[str, float]]], seed: int
) -> None:
    def shuffled(mapping: dict[str, float]) -> dict[str, float]:
        return dict(random.Random(seed).sample(sorted(mapping.items()), len(mapping)))

    estimates, weights = whole
    rearranged = {name: shuffled(row) for name, row in reversed(weights.items())}
    one, other = outcome(estimates, weights), outcome(shuffled(estimates), rearranged)
    assert repr(one) == repr(other)


@given(more=st.floats(0.01, 0.5))
def test_one_more_doubt_widens_the_range(more: float) -> None:
    doubted = {group: {**weights, "doubt": more} for group, weights in WEIGHTS.items()}
    before, after = outcome(ESTIMATES, WEIGHTS), outcome(ESTIMATES, doubted)
    assert after.high / after.low > before.high / before.low


def test_doubts_that_weigh_on_everything_alike_add_as_variances() -> None:
    # sqrt(0.09^2 + 0.12^2) = 0.15
    two = {name: {**row, "size": 0.09, "date": 0.12} for name, row in WEIGHTS.items()}
    one = {name: {**row, "both": 0.15} for name, row in WEIGHTS.items()}
    apart, together = outcome(ESTIMATES, two), outcome(ESTIMATES, one)
    assert apart.low == pytest.approx(together.low, rel=1e-12)
    assert apart.high == pytest.approx(together.high, rel=1e-12)


def test_drivers_are_ranked_and_add_up_to_all_of_the_spread() -> None:
    drivers = outcome(ESTIMATES, WEIGHTS).drivers
    assert next(iter(drivers)) == "pace"
    assert list(drivers.values()) == sorted(drivers.values(), reverse=True)
    assert sum(drivers.values()) == pytest.approx(1)


def test_drivers_share_out_the_variance_by_hand() -> None:
    # Half each: the shared factor pulls 0.5 x 0.3 + 0.5 x 0.3 = 0.3, the own one 0.5 x 0.4 = 0.2.
    # Squares 0.09 and 0.04: 9/13 and 4/13. By group: one 0.5 (0.3 x 0.3 + 0.4 x 0.2) = 0.085,
    # other 0.5 x 0.3 x 0.3 = 0.045, of 0.13.
    both = outcome(
        {"one": 10.0, "other": 10.0}, {"one": {"day": 0.3, "own": 0.4}, "other": {"day": 0.3}}
    )
    assert both.drivers == pytest.approx({"day": 9 / 13, "own": 4 / 13})
    assert both.groups == pytest.approx({"one": 0.085 / 0.13, "other": 0.045 / 0.13})


def test_the_group_that_most_of_the_spread_comes_from_stands_first() -> None:
    parts = outcome(ESTIMATES, WEIGHTS).groups
    assert next(iter(parts)) == "labour"
    assert sum(parts.values()) == pytest.approx(1)


def test_a_group_that_costs_nothing_changes_nothing() -> None:
    more = {**ESTIMATES, "support": 0.0}
    assert outcome(more, {**WEIGHTS, "support": {"wear": 9.0}}) == outcome(ESTIMATES, WEIGHTS)


def test_without_any_doubt_the_estimate_is_the_range() -> None:
    sure = Outcome(low=1.0, likely=1.0, high=1.0, drivers={}, groups={})
    assert outcome(ESTIMATES, {name: {"pace": 0.0} for name in ESTIMATES}) == sure
    assert outcome({}, {}) == sure
    assert outcome({"support": 0.0}, {"support": {"wear": 0.3}}) == sure


@pytest.mark.parametrize(
    ("completeness", "name"),
    [
        (0.0, Band.IDEA),
        (1 / 7, Band.SKETCH),
        (2 / 7, Band.OUTLINE),
        (5 / 7, Band.DETAILED),
        (6 / 7, Band.COMPLETE),
        (1.0, Band.COMPLETE),
    ],
)
def test_the_more_is_known_the_higher_the_band(completeness: float, name: Band) -> None:
    assert band(completeness) is name
    assert name.words


@given(less=st.floats(0, 1), more=st.floats(0, 1))
def test_bands_never_fall_as_more_is_known(less: float, more: float) -> None:
    order = list(Band)
    low, high = sorted((less, more))
    assert order.index(band(low)) <= order.index(band(high))
