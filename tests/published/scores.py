"""Scores of forecasts, and how well a width is known: against what statistics libraries say."""

import math
from collections.abc import Sequence
from functools import partial
from typing import Any

from scipy import special, stats

from service.estimating.calibration import Lessons, Prior, scatter
from service.estimating.scoring import coverage, crps, pinball_loss, quantile
from tests.published.row import Disagreement, Row, derived, published


def even(distribution: Any) -> Sequence[float]:
    """2,000 values that stand evenly in a distribution of scipy.stats."""
    return [float(distribution.ppf((i + 0.5) / 2000)) for i in range(2000)]


def crps_of(distribution: Any, actual: float) -> float:
    """CRPS of that distribution."""
    return crps(even(distribution), actual)


_PINBALL = "scikit-learn reference, mean_pinball_loss"
_SKTIME = "sktime reference, PinballLoss, three quantiles"
_CRPS = "tests of the R package scoringRules"
_SEEN = (3.0, -0.5, 2.0, 7.0, 2.0)

SCORES = (
    *(
        published(
            id=f"pinball loss of {forecasts} at {share}",
            source=f"{_PINBALL}: {said}",
            expected=expected,
            tolerance=1e-9,
            answer=partial(pinball_loss, share, forecasts, (1, 2, 3)),
        )
        for share, forecasts, expected, said in (
            (0.1, (0, 2, 3), 1 / 30, "0.03..."),
            (0.1, (1, 2, 4), 0.3, "0.3..."),
            (0.9, (0, 2, 3), 0.3, "0.3..."),
            (0.9, (1, 2, 4), 1 / 30, "0.03..."),
        )
    ),
    *(
        published(
            id=f"pinball loss of five forecasts at {share}",
            source=f"{_SKTIME}: {expected}",
            expected=expected,
            tolerance=1e-9,
            answer=partial(pinball_loss, share, forecasts, _SEEN),
        )
        for share, forecasts, expected in (
            (0.05, (1.25, 0, 1, 4, 0.625), 0.16625),
            (0.5, (2.5, 0, 2, 8, 1.25), 0.275),
            (0.95, (3.75, 0, 3, 12, 1.875), 0.09625),
        )
    ),
    *(
        published(
            id=f"CRPS of the {name}",
            source=f"{_CRPS}: {expected}",
            expected=expected,
            tolerance=0.001,
            answer=partial(crps_of, distribution, actual),
        )
        for name, distribution, actual, expected in (
            ("standard normal at -3", stats.norm(), -3.0, 2.43657473),
            ("lognormal at 3", stats.lognorm(0.9, scale=math.exp(0.1)), 3.0, 1.13552645),
            ("exponential at 3", stats.expon(scale=1 / 0.7), 3.0, 1.20701837),
            ("beta at 0.3", stats.beta(0.7, 1.1), 0.3, 0.0850102437),
            ("Laplace at -3", stats.laplace(), -3.0, 2.29978707),
            ("logistic at -3", stats.logistic(), -3.0, 2.0971747),
            ("uniform at 0.3", stats.uniform(), 0.3, 0.123333333),
        )
    ),
    derived(
        id="CRPS of the standard normal at its middle",
        source="Gneiting & Raftery 2007, closed form at 0: (sqrt(2) - 1) / sqrt(pi)",
        expected=(math.sqrt(2) - 1) / math.sqrt(math.pi),
        tolerance=1e-4,
        answer=lambda: crps_of(stats.norm(), 0.0),
    ),
    *(
        published(
            id=f"quantile at {share} of {sample}",
            source=f"pandas reference, DataFrame.quantile: {expected}",
            expected=expected,
            tolerance=1e-9,
            answer=partial(quantile, sample, share),
        )
        for share, sample, expected in (
            (0.1, (1, 2, 3, 4), 1.3),
            (0.1, (1, 10, 100, 100), 3.7),
            (0.5, (1, 2, 3, 4), 2.5),
            (0.5, (1, 10, 100, 100), 55.0),
        )
    ),
    *(
        published(
            id=f"within {sds} standard deviations",
            source=f"three-point estimating (paprika.graq.co.uk): about {share:.1%}",
            expected=share,
            tolerance=0.005,
            answer=partial(coverage, [(-sds, sds)] * 2000, even(stats.norm())),
        )
        for sds, share in ((1, 0.68), (2, 0.95), (3, 0.997))
    ),
)


def doubt_of_the_width(jobs: int) -> float:
    """How well the width of ranges is known by so many jobs: the sd of its logarithm."""
    believed = Prior(hours_sd=0.2, packing_sd=0.1, driving_sd=0.1, breakage={})
    return scatter(Lessons(), believed, jobs - int(believed.jobs)).sd


WIDTHS = (
    derived(
        id="sd of the logarithm of an sd from 40 jobs",
        source="half the root of trigamma(20), scipy.special.polygamma",
        expected=math.sqrt(float(special.polygamma(1, 20))) / 2,
        tolerance=0.001,
        answer=partial(doubt_of_the_width, 40),
        disagrees=Disagreement(by=-0.012, because="ours is of first order in 1/n: 1 / sqrt(2 n)"),
    ),
)

ROWS: tuple[Row, ...] = (*SCORES, *WIDTHS)
