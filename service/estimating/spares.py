"""Spares from the odds that a balloon breaks."""

import math
from functools import lru_cache


@lru_cache(maxsize=4096)
def enough_of(good: int, breakage: float, service_level: float) -> tuple[int, float]:
    """The fewest balloons to take so that at least `good` stay whole, and the odds that they do.

    With n balloons of which each breaks with probability `breakage`, P(at least `good` whole) is a
    binomial tail; the losses before the `good`-th whole one follow the negative binomial, whose
    terms C(good + j - 1, j) q^good p^j are summed until they reach `service_level`.
    """
    if good == 0 or breakage == 0:
        return good, 1.0
    log_kept, log_lost = math.log1p(-breakage), math.log(breakage)
    # In logarithms, since q^good alone underflows for a few thousand balloons.
    log_term = good * log_kept
    reached, lost = math.exp(log_term), 0
    usual = good * breakage / (1 - breakage)
    while reached < service_level:
        log_term += math.log((good + lost) / (lost + 1)) + log_lost
        lost += 1
        before, reached = reached, reached + math.exp(log_term)
        # A level nearer to one than the sum's rounding is never reached: it is as good as there.
        if reached == before and lost > usual:
            break
    return good + lost, min(reached, 1.0)


def whole_of(taken: int, breakage: float, service_level: float, *, at_least: int) -> int:
    """The most that stay whole of so many at that service level: `enough_of` the other way round.

    Never fewer than `at_least`, which they were taken for.
    """
    whole = at_least
    while enough_of(whole + 1, breakage, service_level)[0] <= taken:
        whole += 1
    return whole


def shortage(taken: int, good: int, breakage: float) -> float:
    """P(fewer than `good` of `taken` balloons stay whole), by the binomial."""
    kept = 1 - breakage
    return math.fsum(
        math.comb(taken, whole) * kept**whole * breakage ** (taken - whole)
        for whole in range(min(good, taken + 1))
    )
