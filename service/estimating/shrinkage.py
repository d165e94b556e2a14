"""What groups of noisy measurements say of the terms that they share.

With y the value of measurement i in group g,

    y = sum of its terms, each by its part + common[g] + rest[g, i],

everything is Gaussian about 0. Terms are shrunk towards 0 by exact conditioning (Lindley & Smith
1972, J. R. Stat. Soc. B 34, 1). The variances of `common` and of each kind of rest are updated as
inverse gammas, their prior worth a stated number of groups; means and variances take turns, a
fixed number of times.

What lies more than 2.5 standard deviations off counts as if it had been measured less well, by the
square of how far it lies beyond, as the tail of a Student's t has it.
"""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from operator import mul

ROUNDS = 12
"""By then a round changes means and variances by under 0.01 % in all records simulated."""

COMMON = ""
"""The kind of what a group's measurements have in common."""

Label = tuple[str, ...]
"""A term's name; terms with labels of one length are believed to be as large as one another."""

Terms = Mapping[Label, float]
"""A sum of terms, each by its part."""

_FAR = 2.5
_Vector = Mapping[int, float]
_Noise = Mapping[str, float]
"""Of one group, by kind: the variance, or square, or doubt, of what is common and of each rest."""


@dataclass(frozen=True, kw_only=True, slots=True)
class Belief:
    """A factor, known to within `sd` of its logarithm."""

    factor: float
    sd: float


@dataclass(frozen=True, kw_only=True, slots=True)
class Item:
    """One measured logarithm, the terms that it is the sum of, and the kind of its rest."""

    kind: str
    at: Terms
    value: float


@dataclass(frozen=True, kw_only=True, slots=True)
class _Placed:
    """An item whose terms are known by their positions."""

    kind: str
    row: _Vector
    value: float


@dataclass(frozen=True, kw_only=True, slots=True)
class Fit:
    """Prior sds of terms by length of label and variances by kind; means, covariance of terms.

    With sds and variances alone it is what is believed before anything is measured.
    """

    sds: Sequence[float]
    spread: _Noise
    index: Mapping[Label, int] = field(default_factory=dict)
    mean: Sequence[float] = ()
    matrix: Sequence[Sequence[float]] = ()

    def belief(self, at: Terms) -> Belief:
        """Exp of the sum of these terms; one never seen lies about 0 by its prior sd."""
        mean = math.fsum(part * self.mean[i] for i, part in self.vector(at).items())
        unseen = [(label, part) for label, part in at.items() if label not in self.index]
        prior = math.fsum((part * self.sds[len(label)]) ** 2 for label, part in unseen)
        return Belief(factor=math.exp(mean), sd=math.sqrt(prior + self.covariance(at, at)))

    def covariance(self, one: Terms, other: Terms) -> float:
        """Of two sums, over the terms that were seen."""
        return _form(self.vector(one), self.vector(other), self.matrix)

    def vector(self, at: Terms) -> _Vector:
        """The terms that were seen, by position."""
        return {self.index[label]: part for label, part in at.items() if label in self.index}


def shrink(start: Fit, groups: Sequence[Sequence[Item]], strength: float) -> Fit:
    """Terms and variances after `groups`; the variances of `start` are worth `strength` groups.

    The items of a group are of different kinds.
    """
    labels = sorted({label for group in groups for item in group for label in item.at})
    fit = replace(start, index={label: i for i, label in enumerate(labels)})
    common = [COMMON] if COMMON in start.spread else []
    placed = [[_placed(fit, item) for item in group] for group in groups]
    doubts = [dict.fromkeys([*common, *(item.kind for item in group)], 1.0) for group in placed]
    for _ in range(ROUNDS):
        noises = [{kind: fit.spread[kind] * d for kind, d in each.items()} for each in doubts]
        fit = _conditioned(fit, placed, noises)
        squares = [_squares(fit, group, noise) for group, noise in zip(placed, noises, strict=True)]
        spread, doubts = _respread(start.spread, strength, squares, doubts)
        fit = replace(fit, spread=spread)
    return fit


def _placed(fit: Fit, item: Item) -> _Placed:
    return _Placed(kind=item.kind, row=fit.vector(item.at), value=item.value)


def beyond(square: float, limit: float) -> float:
    """By how much to widen the variance of a value that lies the root of `square` sds off."""
    return max(1.0, square / limit**2)


def _conditioned(
    fit: Fit, groups: Sequence[Sequence[_Placed]], noises: Sequence[_Noise]
) -> Fit:
    """The terms, given the noise: precision and pull of the prior and of every group, added up."""
    precision = [[0.0] * len(fit.index) for _ in fit.index]
    pull = [0.0] * len(fit.index)
    for label, i in fit.index.items():
        precision[i][i] = fit.sds[len(label)] ** -2
    for group, noise in zip(groups, noises, strict=True):
        for item in group:
            _add(precision, pull, item.row, item.value, 1 / noise[item.kind])
        # What the items agree on may be the common part: that much of their weight is not theirs.
        value = sum(item.value / noise[item.kind] for item in group)
        _add(precision, pull, _total(group, noise), value, -_common_left(group, noise))
    matrix = _inverse(precision)
    return replace(fit, mean=[sum(map(mul, row, pull)) for row in matrix], matrix=matrix)


def _add(
    precision: list[list[float]], pull: list[float], row: _Vector, value: float, weight: float
) -> None:
    for i, one in row.items():
        pull[i] += weight * one * value
        for j, other in row.items():
            precision[i][j] += weight * one * other


def _total(group: Sequence[_Placed], noise: _Noise) -> _Vector:
    """A group's items added up, each by its precision."""
    total: dict[int, float] = {}
    for item in group:
        for i, part in item.row.items():
            total[i] = total.get(i, 0.0) + part / noise[item.kind]
    return total


def _common_left(group: Sequence[_Placed], noise: _Noise) -> float:
    """Variance of a group's common part when terms and items are known."""
    common = noise.get(COMMON, 0.0)
    return common / (1 + common * sum(1 / noise[item.kind] for item in group))


def _squares(fit: Fit, group: Sequence[_Placed], noise: _Noise) -> _Noise:
    """Expected squares of a group's common part and of each rest, by what is now believed."""
    total, left = _total(group, noise), _common_left(group, noise)
    rows = {item.kind: item.row for item in group}
    # The total's covariance with every term, once for all the items that have these terms.
    shared = {i: sum(fit.matrix[i][j] * part for j, part in total.items()) for i in total}
    misses = {
        item.kind: item.value - sum(part * fit.mean[i] for i, part in rows[item.kind].items())
        for item in group
    }
    common = left * sum(miss / noise[kind] for kind, miss in misses.items())
    doubt = left + left**2 * _dot(total, shared)
    found = {
        kind: (miss - common) ** 2
        + doubt
        + _form(rows[kind], rows[kind], fit.matrix)
        - 2 * left * _dot(rows[kind], shared)
        for kind, miss in misses.items()
    }
    return {COMMON: common**2 + doubt, **found} if COMMON in noise else found


def _respread(
    start: _Noise, strength: float, squares: Sequence[_Noise], doubts: Sequence[_Noise]
) -> tuple[_Noise, list[dict[str, float]]]:
    """The inverse gammas' variances: prior and squares, each by how many groups it is worth.

    A square is doubted by the prior and all other groups: one wild group must not widen the
    measure that it is held against.
    """
    weight, total = dict.fromkeys(start, strength), {k: strength * v for k, v in start.items()}
    for square, doubt in zip(squares, doubts, strict=True):
        for kind, value in square.items():
            weight[kind] += 1
            total[kind] += value / doubt[kind]
    usual = [
        {k: (total[k] - value / doubt[k]) / (weight[k] - 1) for k, value in square.items()}
        for square, doubt in zip(squares, doubts, strict=True)
    ]
    return {kind: total[kind] / weight[kind] for kind in start}, [
        {kind: beyond(value / each[kind], _FAR) for kind, value in square.items()}
        for square, each in zip(squares, usual, strict=True)
    ]


def _dot(one: _Vector, other: _Vector) -> float:
    return sum(part * other[i] for i, part in one.items())


def _form(one: _Vector, other: _Vector, matrix: Sequence[Sequence[float]]) -> float:
    return sum(a * matrix[i][j] * b for i, a in one.items() for j, b in other.items())


def _inverse(matrix: Sequence[Sequence[float]]) -> list[list[float]]:
    # Starting the service loads no numpy.
    import numpy as np

    inverse: list[list[float]] = np.linalg.inv(np.array(matrix)).tolist() if matrix else []
    return inverse
