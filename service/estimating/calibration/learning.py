"""Learning from finished jobs: what they teach a shop that believed its price book."""

import math
from collections import Counter
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import combinations

from service.estimating.calibration.applying import (
    OWN_PART,
    SHARED_PART,
    UNCALIBRATED,
    Calibration,
)
from service.estimating.calibration.lessons import Bursts, Lessons, Pace, Ratio
from service.estimating.calibration.observations import Observation, ObservationError, Taken
from service.estimating.errors import BookError, Faults
from service.estimating.shrinkage import COMMON, ROUNDS, Fit, Item, Label, Terms, beyond, shrink
from service.estimating.uncertainty import Z90

_FAR_COUNT = 4.0
"""Standard deviations beyond which bursts count less; counts of rare bursts are skewed, and a
nearer limit would take honest ones for outliers and the odds for too low."""


@dataclass(frozen=True, kw_only=True, slots=True)
class Prior:
    """What is believed before the first job; standard deviations are of logarithms.

    `hours_sd`, `packing_sd`, `driving_sd` and the `breakage` odds by size class are the price
    book's. The others are how far a shop is thought to lie off its book and how many jobs the
    book's spread is worth:

    `all_sd`: reviews of effort estimates find 30 to 40 % overrun on average (Moløkken-Østvold &
    Jørgensen 2005, IEEE Trans. Softw. Eng. 31, 754), and ln 1.3 = 0.26. `task_sd`, `support_sd`,
    `packing_mean_sd`, `driving_mean_sd`: common practice, no source; a task may lie 15 % off the
    shop's other tasks, a support 10 % off the others. `jobs`: a spread seen in ten jobs weighs as
    much as the book's. `balloons`: 200 at odds of 2 % are four bursts, which leaves the odds open
    by half. `alike`: the correlation of two balloons of one job, from 0 to under 1; no source.

    Raises BookError with every fault.
    """

    hours_sd: float
    packing_sd: float
    driving_sd: float
    breakage: Mapping[int, float]
    all_sd: float = 0.25
    task_sd: float = 0.15
    support_sd: float = 0.10
    packing_mean_sd: float = 0.10
    driving_mean_sd: float = 0.20
    jobs: float = 10.0
    balloons: float = 200.0
    alike: float = 0.01

    def __post_init__(self) -> None:
        faults = Faults()
        for name in self.__slots__:
            value = getattr(self, name)
            if name != "breakage":
                fits = 0 <= value < 1 if name == "alike" else 0 < value < math.inf
                faults.check(fits, name, f"{value:g}: give a number above 0")
        for size, odds in self.breakage.items():
            faults.check(0 <= odds < 1, f"breakage.{size}", f"{odds:g}: give odds from 0 to 1")
        faults.raise_as(BookError)


def calibrate(prior: Prior, observations: Iterable[Observation]) -> Calibration:
    """What these jobs teach a shop that believed `prior`; UNCALIBRATED where there are none.

    A size class that the prior does not name is passed over, for the shop no longer stocks it, and
    so is one at odds of 0, for that is the owner's word and no estimate. Raises ObservationError
    for two observations of one job.
    """
    jobs = sorted(observations, key=lambda one: one.job)
    _refuse_twice(jobs)
    if not jobs:
        return UNCALIBRATED
    return Calibration(jobs=len(jobs), lessons=_learn(jobs, prior))


def _refuse_twice(jobs: Sequence[Observation]) -> None:
    faults = Faults()
    for job, times in Counter(one.job for one in jobs).items():
        faults.check(times == 1, "job", f"{job} is noted {times} times; keep one of them")
    faults.raise_as(ObservationError)


def _learn(jobs: Sequence[Observation], prior: Prior) -> Lessons:
    return replace(
        _of_hours(jobs, prior),
        packing=_ratio(
            [job.packing.log_ratio for job in jobs if job.packing],
            prior.packing_mean_sd,
            prior.packing_sd,
            prior.jobs,
        ),
        driving=_ratio(
            [job.drive.log_ratio for job in jobs if job.drive],
            prior.driving_mean_sd,
            prior.driving_sd,
            prior.jobs,
        ),
        bursts={
            size: _counted(
                odds, [job.balloons[size] for job in jobs if size in job.balloons], prior
            )
            for size, odds in prior.breakage.items()
            if odds and any(size in job.balloons for job in jobs)
        },
    )


def _of_hours(jobs: Sequence[Observation], prior: Prior) -> Lessons:
    noted = [_items(job) for job in jobs if job.hours]
    if not noted:
        return Lessons()
    tasks = sorted({item.kind for job in noted for item in job})
    shared, own = SHARED_PART * prior.hours_sd, OWN_PART * prior.hours_sd
    start = Fit(
        sds=(prior.all_sd, prior.task_sd, prior.support_sd),
        spread={COMMON: shared**2, **dict.fromkeys(tasks, own**2)},
    )
    fit = shrink(start, noted, prior.jobs)
    return Lessons(
        paces={task: _pace(task, jobs, fit, own, prior.jobs) for task in tasks},
        any_task=fit.belief(_at("", ("",))),
        common_sd=_common(tasks, fit),
        shared_scale=_scale(fit.spread[COMMON], shared, prior.jobs + len(noted)),
    )


def _items(job: Observation) -> list[Item]:
    return [
        Item(kind=task, at=_at(task, job.supports), value=hours.log_ratio)
        for task, hours in sorted(job.hours.items())
    ]


def _at(task: str, supports: Collection[str]) -> Terms:
    part = 1 / len(supports)
    return {(): 1.0, (task,): 1.0} | {(task, name): part for name in sorted(supports)}


def _pace(task: str, jobs: Sequence[Observation], fit: Fit, own_sd: float, strength: float) -> Pace:
    seen = [job.supports for job in jobs if task in job.hours]
    mix: dict[Label, float] = {}
    for supports in seen:
        for label, part in _at(task, supports).items():
            mix[label] = mix.get(label, 0.0) + part / len(seen)
    each = sorted(frozenset().union(*seen))
    return Pace(
        seen=fit.belief(mix),
        jobs=len(seen),
        by_support={name: fit.belief(_at(task, (name,))) for name in each},
        elsewhere=fit.belief(_at(task, ("",))),
        scale=_scale(fit.spread[task], own_sd, strength + len(seen)),
    )


def _scale(variance: float, book_sd: float, weight: float) -> float:
    """The scatter over the book's, `weight` the jobs that the variance rests on.

    A variance that is itself estimated makes the next job a Student's t with `weight` degrees of
    freedom. Its P90 lies 1 + (z^2 + 1) / (4 weight) further out than the normal's, to first order
    (Abramowitz & Stegun 26.7.5).
    """
    return math.sqrt(variance) / book_sd * (1 + (Z90**2 + 1) / (4 * weight))


def _common(tasks: Sequence[str], fit: Fit) -> float:
    """The sd of that part of the doubt about the paces which all tasks share."""
    pairs = list(combinations(tasks, 2)) or [(tasks[0], "")]
    shared = math.fsum(fit.covariance({(): 1.0, (a,): 1.0}, {(): 1.0, (b,): 1.0}) for a, b in pairs)
    return math.sqrt(max(0.0, shared / len(pairs)))


def _ratio(values: Sequence[float], mean_sd: float, book_sd: float, strength: float) -> Ratio:
    if not values:
        return Ratio()
    start = Fit(sds=(mean_sd,), spread={"rest": book_sd**2})
    fit = shrink(start, [[Item(kind="rest", at={(): 1.0}, value=v)] for v in values], strength)
    scale = _scale(fit.spread["rest"], book_sd, strength + len(values))
    return Ratio(belief=fit.belief({(): 1.0}), scale=scale, jobs=len(values))


def _counted(odds: float, jobs: Sequence[Taken], prior: Prior) -> Bursts:
    independent = [1 / (1 + (job.taken - 1) * prior.alike) for job in jobs]
    weights = independent
    for _ in range(ROUNDS):
        taken = [w * job.taken for w, job in zip(weights, jobs, strict=True)]
        burst = [w * job.burst for w, job in zip(weights, jobs, strict=True)]
        counted = Bursts(
            taken=sum(taken),
            burst=sum(burst),
            jobs=len(jobs),
            book_odds=odds,
            book_balloons=prior.balloons,
        )
        others = [
            replace(counted, taken=counted.taken - n, burst=counted.burst - b).odds(odds)
            for n, b in zip(taken, burst, strict=True)
        ]
        weights = [
            w / beyond(w * _off(job, usual), _FAR_COUNT)
            for w, job, usual in zip(independent, jobs, others, strict=True)
        ]
    return counted


def _off(job: Taken, odds: float) -> float:
    """Square of the standard deviations by which a job's bursts lie off the odds."""
    expected = job.taken * odds
    return (job.burst - expected) ** 2 / (expected * (1 - odds))
