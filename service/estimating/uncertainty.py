"""How far the cost may come out from the estimate: quantiles of a sum of lognormals.

Each group of costs is its estimate times exp of a weighted sum of independent standard normals,
one for each thing that may come out differently; groups that share one move together. The sum is
matched by its exact mean and variance to one lognormal (Fenton & Wilkinson), whose quantiles need
no sampling: equal input, equal output.
"""

import math
from collections.abc import Mapping
from dataclasses import dataclass

Z90 = 1.2815515655446004
"""The standard normal's 90 % quantile."""

Weights = Mapping[str, Mapping[str, float]]
"""By group, by factor: the standard deviation that the factor gives to the group's logarithm."""


@dataclass(frozen=True, kw_only=True, slots=True)
class Outcome:
    """P10, P50 and P90 of the total as multiples of its estimate; factors by share of variance."""

    low: float
    likely: float
    high: float
    drivers: Mapping[str, float]


def outcome(estimates: Mapping[str, float], weights: Weights) -> Outcome:
    """Quantiles of the sum of all groups; `estimates` are the groups' medians."""
    groups = [name for name, amount in estimates.items() if amount > 0]
    means = {
        name: estimates[name] * math.exp(0.5 * sum(w * w for w in weights[name].values()))
        for name in groups
    }
    mean = math.fsum(means.values())
    variance = math.fsum(
        means[one] * means[other] * math.expm1(_shared(weights[one], weights[other]))
        for one in groups
        for other in groups
    )
    scatter = math.log1p(variance / mean**2)
    median = mean * math.exp(-scatter / 2) / math.fsum(estimates[name] for name in groups)
    reach = math.exp(Z90 * math.sqrt(scatter))
    return Outcome(
        low=median / reach,
        likely=median,
        high=median * reach,
        drivers=_drivers(means, {name: weights[name] for name in groups}),
    )


def _shared(one: Mapping[str, float], other: Mapping[str, float]) -> float:
    return sum(weight * other.get(factor, 0.0) for factor, weight in one.items())


def _drivers(means: Mapping[str, float], weights: Weights) -> Mapping[str, float]:
    # To first order the total's variance is the sum over factors of (sum of mean x weight)^2.
    pulls: dict[str, float] = {}
    for name, mean in means.items():
        for factor, weight in weights[name].items():
            pulls[factor] = pulls.get(factor, 0.0) + mean * weight
    whole = math.fsum(pull**2 for pull in pulls.values())
    ranked = sorted(pulls.items(), key=lambda item: -item[1])
    return {factor: pull**2 / whole for factor, pull in ranked if pull > 0}
