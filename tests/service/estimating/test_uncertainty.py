import math
import random

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.estimating.uncertainty import outcome

ESTIMATES = {"materials": 80.0, "labour": 120.0, "driving": 30.0}
WEIGHTS = {
    "materials": {"packing": 0.10, "prices": 0.05},
    "labour": {"packing": 0.10, "pace": 0.18},
    "driving": {"traffic": 0.2, "distance": 0.4},
}


def test_quantiles_match_a_large_seeded_sample() -> None:
    seeded = random.Random(11)
    factors = sorted({factor for weights in WEIGHTS.values() for factor in weights})

    def drawn() -> float:
        normal = {factor: seeded.gauss(0, 1) for factor in factors}
        return sum(
            estimate * math.exp(sum(w * normal[f] for f, w in WEIGHTS[group].items()))
            for group, estimate in ESTIMATES.items()
        )

    sample = sorted(drawn() for _ in range(40_000))
    computed = outcome(ESTIMATES, WEIGHTS)
    whole = sum(ESTIMATES.values())
    for share, multiple in ((0.1, computed.low), (0.5, computed.likely), (0.9, computed.high)):
        assert multiple * whole == pytest.approx(sample[int(share * len(sample))], rel=0.01)
    inside = sum(computed.low * whole <= value <= computed.high * whole for value in sample)
    assert inside / len(sample) == pytest.approx(0.8, abs=0.01)


@given(more=st.floats(0.01, 0.5))
def test_one_more_doubt_widens_the_range(more: float) -> None:
    doubted = {group: {**weights, "doubt": more} for group, weights in WEIGHTS.items()}
    before, after = outcome(ESTIMATES, WEIGHTS), outcome(ESTIMATES, doubted)
    assert after.high / after.low > before.high / before.low


def test_drivers_are_ranked_and_add_up_to_all_of_the_spread() -> None:
    drivers = outcome(ESTIMATES, WEIGHTS).drivers
    assert next(iter(drivers)) == "pace"
    assert list(drivers.values()) == sorted(drivers.values(), reverse=True)
    assert sum(drivers.values()) == pytest.approx(1)


def test_a_group_that_costs_nothing_changes_nothing() -> None:
    more = {**ESTIMATES, "support": 0.0}
    assert outcome(more, {**WEIGHTS, "support": {"wear": 9.0}}) == outcome(ESTIMATES, WEIGHTS)
