"""Ranges, classes of estimates, and odds that are learnt from finished jobs."""

import math
from collections.abc import Sequence
from functools import cache, partial
from typing import Any

from scipy import stats

from service.estimating.calibration import Observation, Prior, Taken, calibrate
from service.estimating.simulation import Batch, Plan, simulate
from service.estimating.uncertainty import Band, Outcome, band, outcome
from service.leads.accuracy import wilson
from tests.published.demo import frame
from tests.published.row import Between, Disagreement, Row, derived, published, remembered

Z90 = 1.2815515655446004


def pert(*tasks: tuple[float, float, float]) -> Outcome:
    """The total of tasks that know nothing of each other, over the sum of their PERT means.

    Each is optimistic, most likely, pessimistic, taken as the lognormal with the mean (o + 4m + p)
    / 6 and the standard deviation (p - o) / 6.
    """
    medians, weights = {}, {}
    for i, (low, likely, high) in enumerate(tasks):
        mean, sd = (low + 4 * likely + high) / 6, (high - low) / 6
        variance = math.log1p((sd / mean) ** 2)
        medians[str(i)] = mean * math.exp(-variance / 2)
        weights[str(i)] = {f"task {i}": math.sqrt(variance)}
    chances, whole = outcome(medians, weights), sum(medians.values())
    return Outcome(
        low=chances.low * whole,
        likely=chances.likely * whole,
        high=chances.high * whole,
        drivers=chances.drivers,
        groups=chances.groups,
    )


def sd_of(chances: Outcome) -> float:
    """Half of P10 to P90, in the standard deviations of a normal."""
    return (chances.high - chances.low) / (2 * Z90)


# Means 3.17, 8.5, 4.17 and 2, standard deviations 0.5, 1.5, 0.5 and 0.33.
CHAIN = ((2, 3, 5), (5, 8, 14), (3, 4, 6), (1, 2, 3))
# Means 3, 8, 6, standard deviations 1, 2, 2.
THREE = ((0, 3, 6), (2, 8, 14), (0, 6, 12))

_CHAIN = "schematex.js.org, 'PERT three-point estimation': chain of 17.83 with sd 1.69"
_THREE = "curioustab.com, PERT network of three activities: mean 17, sd 3"


def grown_apart() -> Outcome:
    """Three lognormals of medians 110, 100, 80, correlated 1, 0.4, 0.1 along their row."""
    one, two, three = (math.log(sigma) for sigma in (1.2, 1.5, 1.1))
    # The Cholesky root of the correlations: each group's own row of independent factors.
    second = math.sqrt(1 - 0.4**2)
    across = (0.4 - 0.1 * 0.4) / second
    return outcome(
        {"one": 110.0, "two": 100.0, "three": 80.0},
        {
            "one": {"a": one},
            "two": {"a": 0.4 * two, "b": second * two},
            "three": {
                "a": 0.1 * three,
                "b": across * three,
                "c": math.sqrt(1 - 0.1**2 - across**2) * three,
            },
        },
    )


_SUM = "documentation of DistributionVectors.jl, sum of lognormals: LogNormal(5.68740, 0.19476)"

RANGES = (
    published(
        id="P90 of one lognormal",
        source="NIST/SEMATECH e-Handbook, t table, infinite degrees of freedom: 1.282",
        expected=1.282,
        tolerance=0.0005,
        answer=lambda: math.log(outcome({"labour": 1.0}, {"labour": {"pace": 0.2}}).high) / 0.2,
    ),
    published(
        id="chain of four tasks",
        source=_CHAIN,
        expected=1.69,
        tolerance=0.02,
        answer=lambda: sd_of(pert(*CHAIN)),
    ),
    published(
        id="chain of four tasks, the middle",
        source=_CHAIN,
        expected=17.83,
        tolerance=0.15,
        answer=lambda: pert(*CHAIN).likely,
    ),
    published(
        id="chain if standard deviations added",
        source=f"{_CHAIN}: not 0.5 + 1.5 + 0.5 + 0.33, which it warns of",
        expected=2.83,
        tolerance=0.1,
        answer=lambda: sd_of(pert(*CHAIN)),
        disagrees=Disagreement(
            by=-0.407, because="the tasks are independent: their variances add, not their sds"
        ),
    ),
    published(
        id="three wide activities",
        source=_THREE,
        expected=3.0,
        tolerance=0.1,
        answer=lambda: sd_of(pert(*THREE)),
    ),
    published(
        id="P84 of three wide activities",
        source=f"{_THREE}: 84 % within 20 days",
        expected=20.0,
        tolerance=0.3,
        answer=lambda: pert(*THREE).likely + sd_of(pert(*THREE)),
        disagrees=Disagreement(
            by=-0.016,
            because="theirs is a normal about the mean, 17; our middle is 16.7",
        ),
    ),
    published(
        id="the task that the spread comes from",
        source=f"{_CHAIN}: 1.5^2 of 0.5^2 + 1.5^2 + 0.5^2 + 0.33^2, 79 %",
        expected=0.787,
        tolerance=0.03,
        answer=lambda: pert(*CHAIN).drivers["task 1"],
    ),
    published(
        id="spread of three correlated lognormals",
        source=_SUM,
        expected=0.19476,
        tolerance=0.001,
        answer=lambda: math.log(grown_apart().high / grown_apart().low) / (2 * Z90),
        disagrees=Disagreement(
            by=-0.0215, because="theirs adds variances to first order; a million draws give 0.1904"
        ),
    ),
    published(
        id="median of three correlated lognormals",
        source=_SUM,
        expected=math.exp(5.68740),
        tolerance=1.0,
        answer=lambda: 290 * grown_apart().likely,
        disagrees=Disagreement(
            by=-0.0095, because="theirs keeps the mean exact and lets the median follow"
        ),
    ),
)


def aace_class(completeness: float) -> float:
    """The class of the band, 5 to 1."""
    return 5 - list(Band).index(band(completeness))


_AACE = "AACE 18R-97, as a glossary for estimators gives it"

CLASSES = (
    *(
        published(
            id=f"class {number}, up to {definition:.0%} defined",
            source=f"{_AACE}: {span}",
            expected=number,
            tolerance=0,
            answer=partial(aace_class, definition),
        )
        for number, definition, span in (
            (5, 0.02, "0 to 2 %"),
            (4, 0.15, "1 to 15 %"),
            (3, 0.40, "10 to 40 %"),
            (2, 0.75, "30 to 75 %"),
            (1, 1.00, "50 to 100 %"),
        )
    ),
    remembered(
        id="low of a garland fully described",
        source="AACE 18R-97, class 2: 5 to 15 % below",
        expected=Between(low=-15, high=-5),
        unit="%",
        answer=lambda: 100 * float(frame().price.low / frame().price.likely - 1),
    ),
    remembered(
        id="high of a garland fully described",
        source="AACE 18R-97, class 2: 5 to 20 % above",
        expected=Between(low=5, high=20),
        unit="%",
        answer=lambda: 100 * float(frame().price.high / frame().price.likely - 1),
    ),
)


def learnt_odds(odds: float, worth: float, taken: int, burst: int) -> float:
    """The odds after one job whose balloons are independent."""
    prior: dict[str, Any] = {"hours_sd": 0.2, "packing_sd": 0.1, "driving_sd": 0.1}
    job = Observation(
        job="one",
        supports=frozenset({"wall"}),
        hours={},
        balloons={10: Taken(taken=taken, burst=burst)},
    )
    believed = Prior(breakage={10: odds}, balloons=worth, alike=0.0, **prior)
    return calibrate(believed, [job]).breakage(10, odds)


@cache
def bursts(taken: int, odds: float) -> Sequence[int]:
    """Bursts in 20,000 seeded jobs."""
    plan = Plan(
        amounts={},
        hours={},
        weights={},
        supports=frozenset({"wall"}),
        balloons={10: Batch(taken=taken, breakage=odds)},
    )
    return [actual.burst[10] for actual in simulate(plan, seed=3, draws=20_000)]


ODDS = (
    published(
        id="seven of ten from even odds worth two",
        source="aprender, 'Beta-Binomial Bayesian Inference': Beta(1, 1) to 8 / 12 = 0.6667",
        expected=0.6667,
        tolerance=5e-5,
        answer=lambda: learnt_odds(0.5, 2, 10, 7),
    ),
    published(
        id="300 hits of 1,000 from Beta(81, 219)",
        source="'Visualizing beta distribution and Bayesian updating': Beta(381, 919)",
        expected=381 / 1300,
        tolerance=1e-9,
        answer=lambda: learnt_odds(0.27, 300, 1000, 300),
    ),
    derived(
        id="jobs of 120 with no burst at 2 %",
        source="scipy.stats.binom; 20,000 seeded draws, 3 standard errors",
        expected=float(stats.binom.pmf(0, 120, 0.02)),
        tolerance=0.006,
        answer=lambda: sum(n == 0 for n in bursts(120, 0.02)) / 20_000,
    ),
    derived(
        id="jobs of 120 with over five bursts at 2 %",
        source="scipy.stats.binom; 20,000 seeded draws, 3 standard errors",
        expected=float(stats.binom.sf(5, 120, 0.02)),
        tolerance=0.005,
        answer=lambda: sum(n > 5 for n in bursts(120, 0.02)) / 20_000,
    ),
)

_WILSON = "Newcombe 1998, Stat. Med. 17, 857, table I, method 3"
_BINOMTEST = stats.binomtest(8, 10).proportion_ci(method="wilson")


def end_of(end: int, hits: int, trials: int) -> float:
    """The lower or the upper end of where a share lies."""
    return wilson(hits, trials)[end]


def standard_errors_of_95() -> float:
    """Half the width of the range of a share of very many, in its standard errors."""
    many = 10**12
    low, high = wilson(many // 2, many)
    return (high - low) / 2 / math.sqrt(0.25 / many)


SHARES = (
    *(
        remembered(
            id=f"{side} end of {hits} of {trials}",
            source=f"{_WILSON}: {expected:.4f}",
            expected=expected,
            tolerance=5e-5 if expected else 0.0,
            answer=partial(end_of, end, hits, trials),
        )
        for hits, trials, ends in (
            (81, 263, (0.2553, 0.3662)),
            (15, 148, (0.0624, 0.1605)),
            (0, 20, (0.0, 0.1611)),
            (1, 29, (0.0061, 0.1718)),
        )
        for end, (side, expected) in enumerate(zip(("lower", "upper"), ends, strict=True))
    ),
    *(
        derived(
            id=f"{side} end of 8 of 10",
            source="scipy.stats.binomtest(8, 10).proportion_ci(method='wilson')",
            expected=float(expected),
            tolerance=1e-6,
            answer=partial(end_of, end, 8, 10),
        )
        for end, (side, expected) in enumerate(zip(("lower", "upper"), _BINOMTEST, strict=True))
    ),
    published(
        id="standard errors on either side of a share, at 95 %",
        source="NIST/SEMATECH e-Handbook, t table, infinite degrees of freedom: 1.960",
        expected=1.960,
        tolerance=0.0005,
        answer=standard_errors_of_95,
    ),
)

ROWS: tuple[Row, ...] = (*RANGES, *CLASSES, *ODDS, *SHARES)
