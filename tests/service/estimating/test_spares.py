from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from service.estimating.spares import enough_of, shortage

breakages = st.floats(0.001, 0.3)


@given(good=st.integers(1, 400), breakage=breakages, level=st.floats(0.5, 0.9999))
def test_enough_is_the_fewest_that_reaches_the_service_level(
    good: int, breakage: float, level: float
) -> None:
    taken, odds = enough_of(good, breakage, level)
    assert stats.binom.sf(good - 1, taken, 1 - breakage) >= level - 1e-9
    assert abs(odds - stats.binom.sf(good - 1, taken, 1 - breakage)) < 1e-9
    if taken > good:
        assert stats.binom.sf(good - 1, taken - 1, 1 - breakage) < level + 1e-9


@given(good=st.integers(1, 200), breakage=breakages, extra=st.integers(0, 20))
def test_one_more_spare_never_raises_the_odds_of_a_shortage(
    good: int, breakage: float, extra: int
) -> None:
    fewer = shortage(good + extra, good, breakage)
    assert shortage(good + extra + 1, good, breakage) <= fewer + 1e-12


@given(good=st.integers(1, 500), breakage=breakages)
def test_more_balloons_never_take_fewer(good: int, breakage: float) -> None:
    assert enough_of(good + 1, breakage, 0.99)[0] > enough_of(good, breakage, 0.99)[0]


def test_many_thousands_do_not_underflow() -> None:
    taken, _ = enough_of(50_000, 0.04, 0.99)
    assert taken == 50_000 + stats.nbinom.ppf(0.99, 50_000, 0.96)


def test_a_level_within_rounding_of_certainty_ends() -> None:
    taken, odds = enough_of(5000, 0.02, 1 - 1e-15)
    assert 5150 < taken < 5300
    assert odds == 1.0 or 1 - odds < 1e-9
