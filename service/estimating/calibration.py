"""What finished jobs teach: how the shop's hours, balloons and drives compare with its price book.

Hours. With y the logarithm of actual over planned hours of task t in job j on supports S,

    y = all + task[t] + mean over s in S of support[t, s] + job[j] + rest[j, t],

every term Gaussian about 0. What a shop does in general, by task and by task and support is shrunk
towards the book by exact Gaussian conditioning (Lindley & Smith 1972, J. R. Stat. Soc. B 34, 1):
one job moves it about half way, ten that agree nearly all the way. A job's own good or bad day is
shared by its tasks, so that nine tasks of one day do not count as nine days. The variances of
`job` and `rest` start at the book's spread and are updated as inverse gammas, their prior worth a
stated number of jobs; means and variances take turns, a fixed number of times.

A day or task more than 2.5 standard deviations off counts as if it had been measured less well, by
the square of how far it lies beyond, as the tail of a Student's t has it. What it moves grows no
more, the further off it lies the less, and ordinary jobs keep their full weight.

Packing (balloons used over planned) and driving are the same with one term. The odds that a balloon
breaks start at the book's as a Beta and take what burst as binomial counts. Balloons of one job
share its heat and its bag, so n of them count as n / (1 + (n - 1) r) independent ones
(Kish 1965, the design effect).

Everything is summed in the order of the jobs' names: equal observations, in whatever order, give an
equal calibration.
"""

import math
from collections import Counter
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from itertools import combinations
from operator import mul

from service.estimating.errors import BookError, EstimatingError, Faults

PACKING = "packing"
DRIVING = "drive"

SHARED_PART, OWN_PART = 0.9, 1.0
"""How the book's spread of hours is split between the job's day, which all tasks share, and each
task's own: so a job of five or six tasks scatters as a whole by about the book's spread."""

_MOST_HOURS = 1000.0
_ROUNDS = 12
"""By then a round changes means and variances by under 0.01 %, in all shops simulated."""
_Z90 = 1.2815515655446004
"""The standard normal's 90 % quantile."""
_FAR, _FAR_COUNT = 2.5, 4.0
"""Standard deviations beyond which a value counts less; counts of rare bursts are skewed, and a
nearer limit would take honest ones for outliers and the odds for too low."""

_Label = tuple[str, ...]
"""() the shop, (task,) a task, (task, support) a task on a support."""


class ObservationError(EstimatingError):
    """What was noted of a finished job cannot be right."""


@dataclass(frozen=True, kw_only=True, slots=True)
class Hours:
    """Planned and actual hours [h] of one task of one job, each above 0."""

    planned_h: float
    actual_h: float

    def __post_init__(self) -> None:
        faults = Faults()
        for name in ("planned_h", "actual_h"):
            hours = getattr(self, name)
            detail = f"{hours:g} h: give hours above 0 and up to {_MOST_HOURS:.0f}, or leave it out"
            faults.check(0 < hours <= _MOST_HOURS, name, detail)
        faults.raise_as(ObservationError)

    @property
    def log_ratio(self) -> float:
        """Logarithm of actual over planned."""
        return math.log(self.actual_h / self.planned_h)


@dataclass(frozen=True, kw_only=True, slots=True)
class Packing:
    """Balloons planned and used for the garlands of one job."""

    planned: int
    used: int

    def __post_init__(self) -> None:
        faults = Faults()
        for name in ("planned", "used"):
            count = getattr(self, name)
            faults.check(count > 0, name, f"{count}: give at least 1 balloon, or leave it out")
        faults.raise_as(ObservationError)

    @property
    def log_ratio(self) -> float:
        """Logarithm of used over planned."""
        return math.log(self.used / self.planned)


@dataclass(frozen=True, kw_only=True, slots=True)
class Taken:
    """Balloons of one size class that a job took along, and how many of them burst."""

    taken: int
    burst: int

    def __post_init__(self) -> None:
        faults = Faults()
        faults.check(self.taken > 0, "taken", f"{self.taken}: give at least 1, or leave it out")
        detail = f"{self.burst}: give 0 to {self.taken}, the number taken"
        faults.check(0 <= self.burst <= max(self.taken, 0), "burst", detail)
        faults.raise_as(ObservationError)


@dataclass(frozen=True, kw_only=True, slots=True)
class Observation:
    """One finished job; what was not noted is left out.

    `hours` by task, without the drive; `balloons` by size class. Planned figures are those of the
    price book before any calibration: what has been learnt must not be learnt again.
    """

    job: str
    supports: frozenset[str]
    hours: Mapping[str, Hours]
    drive: Hours | None = None
    packing: Packing | None = None
    balloons: Mapping[int, Taken] = field(default_factory=dict)

    def __post_init__(self) -> None:
        faults = Faults()
        faults.check(bool(self.job), "job", "name the job")
        faults.check(bool(self.supports), "supports", "name at least one support")
        faults.check(all(self.hours), "hours", "name every task")
        for task in (DRIVING, PACKING):
            faults.check(
                task not in self.hours, f"hours.{task}", f"give it as {task}, not as hours"
            )
        faults.raise_as(ObservationError)


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


@dataclass(frozen=True, kw_only=True, slots=True)
class Belief:
    """What to multiply the book's figure by, and the sd of that factor's logarithm."""

    factor: float
    sd: float


@dataclass(frozen=True, kw_only=True, slots=True)
class Widths:
    """Sds of the logarithm of a coming job's hours: shared by all its tasks, and a task's own."""

    shared: float
    own: float


@dataclass(frozen=True, kw_only=True, slots=True)
class Change:
    """One thing learnt: `subject` takes `factor` times what the book says, known to within `sd`
    of its logarithm, after `jobs` jobs in which it was noted."""

    subject: str
    factor: float
    sd: float
    jobs: int


AS_BOOKED = Belief(factor=1.0, sd=0.0)


@dataclass(frozen=True, kw_only=True, slots=True)
class _Pace:
    """What was learnt of one task: on the supports as they came, on each, and on any other."""

    seen: Belief
    jobs: int
    by_support: Mapping[str, Belief]
    elsewhere: Belief
    scale: float


@dataclass(frozen=True, kw_only=True, slots=True)
class _Ratio:
    """What was learnt of one figure of the book; `scale` is that of the book's spread."""

    belief: Belief = AS_BOOKED
    scale: float = 1.0
    jobs: int = 0


@dataclass(frozen=True, kw_only=True, slots=True)
class _Bursts:
    """Balloons of one size class, as many as are independent, and the book they add to."""

    taken: float
    burst: float
    jobs: int
    book_odds: float
    book_balloons: float

    def odds(self, book_odds: float) -> float:
        """Mean of the Beta that starts at `book_odds`."""
        weight = self.book_balloons + self.taken
        return (self.book_balloons * book_odds + self.burst) / weight


@dataclass(frozen=True, kw_only=True, slots=True)
class Calibration:
    """What finished jobs have taught, to be applied to the figures of the price book."""

    jobs: int = 0
    _tasks: Mapping[str, _Pace] = field(default_factory=dict)
    _any_task: Belief = AS_BOOKED
    _common_sd: float = 0.0
    _shared_scale: float = 1.0
    _packing: _Ratio = _Ratio()
    _driving: _Ratio = _Ratio()
    _bursts: Mapping[int, _Bursts] = field(default_factory=dict)
    _refused: frozenset[str] = frozenset()

    def pace(self, task: str, supports: Collection[str]) -> Belief:
        """Hours of `task` over the book's, in a job on these supports, each counting alike.

        The sd is the mean over the supports, which is what it is if they err together.
        """
        if task in self._refused:
            return AS_BOOKED
        learnt = self._tasks.get(task)
        if learnt is None:
            return self._any_task
        found = [learnt.by_support.get(name, learnt.elsewhere) for name in supports]
        if not found:
            return learnt.elsewhere
        mean = math.fsum(math.log(belief.factor) for belief in found) / len(found)
        return Belief(
            factor=math.exp(mean), sd=math.fsum(belief.sd for belief in found) / len(found)
        )

    def widths(self, task: str, supports: Collection[str], book_sd: float) -> Widths:
        """How far a coming job's hours of `task` may lie from planned × pace.

        `book_sd` is the book's spread of hours. Day to day and what is not yet known of the mean
        are added as variances.
        """
        learnt = self._tasks.get(task)
        doubt = self.pace(task, supports).sd
        common = min(doubt, self._common_sd)
        own = OWN_PART * book_sd * (learnt.scale if learnt else 1.0)
        return Widths(
            shared=math.hypot(SHARED_PART * book_sd * self._shared_scale, common),
            own=math.sqrt(own * own + doubt * doubt - common * common),
        )

    @property
    def packing(self) -> Belief:
        """Balloons in a garland over those of the recipe."""
        return AS_BOOKED if PACKING in self._refused else self._packing.belief

    def packing_width(self, book_sd: float) -> float:
        """How far a coming job's balloons may lie from planned × packing, as an sd."""
        return math.hypot(book_sd * self._packing.scale, self.packing.sd)

    @property
    def driving(self) -> Belief:
        """Hours of driving over the book's."""
        return AS_BOOKED if DRIVING in self._refused else self._driving.belief

    def driving_width(self, book_sd: float) -> float:
        """How far a coming job's drive may lie from planned × driving, as an sd."""
        return math.hypot(book_sd * self._driving.scale, self.driving.sd)

    def breakage(self, size_class: int, book_odds: float) -> float:
        """The odds that a balloon of this size class breaks."""
        learnt = self._bursts.get(size_class)
        if learnt is None or breakage_of(size_class) in self._refused:
            return book_odds
        return learnt.odds(book_odds)

    def changes(self) -> tuple[Change, ...]:
        """What is applied, by subject, the largest first; refused changes are left out."""
        found = [
            Change(subject=subject, factor=belief.factor, sd=belief.sd, jobs=jobs)
            for subject, belief, jobs in self._learnt()
            if jobs and subject not in self._refused
        ]
        return tuple(sorted(found, key=lambda one: (-abs(math.log(one.factor)), one.subject)))

    def without(self, *subjects: str) -> "Calibration":
        """These changes refused: there the book stands. Subjects never seen are no error."""
        return replace(self, _refused=self._refused.union(subjects))

    def only(self, *subjects: str) -> "Calibration":
        """Every change refused but these; a task not seen yet is as booked, too."""
        others = {subject for subject, _, _ in self._learnt()}.difference(subjects)
        return replace(self.without(*others), _any_task=AS_BOOKED)

    def _learnt(self) -> Iterator[tuple[str, Belief, int]]:
        for task, pace in self._tasks.items():
            yield task, pace.seen, pace.jobs
        yield PACKING, self._packing.belief, self._packing.jobs
        yield DRIVING, self._driving.belief, self._driving.jobs
        for size, bursts in self._bursts.items():
            odds = bursts.odds(bursts.book_odds)
            seen = bursts.book_balloons + bursts.taken
            belief = Belief(factor=odds / bursts.book_odds, sd=math.sqrt((1 - odds) / odds / seen))
            yield breakage_of(size), belief, bursts.jobs


UNCALIBRATED = Calibration()
"""Takes the price book at its word: no figure moves and no spread but the book's."""


def breakage_of(size_class: int) -> str:
    """The subject under which the breakage of a size class is told of, accepted and refused."""
    return f"breakage_{size_class}"


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
    return replace(
        _of_hours(jobs, prior),
        jobs=len(jobs),
        _packing=_ratio(
            [job.packing.log_ratio for job in jobs if job.packing],
            prior.packing_mean_sd,
            prior.packing_sd,
            prior.jobs,
        ),
        _driving=_ratio(
            [job.drive.log_ratio for job in jobs if job.drive],
            prior.driving_mean_sd,
            prior.driving_sd,
            prior.jobs,
        ),
        _bursts={
            size: _counted(
                odds, [job.balloons[size] for job in jobs if size in job.balloons], prior
            )
            for size, odds in prior.breakage.items()
            if odds and any(size in job.balloons for job in jobs)
        },
    )


def _refuse_twice(jobs: Sequence[Observation]) -> None:
    faults = Faults()
    for job, times in Counter(one.job for one in jobs).items():
        faults.check(times == 1, "job", f"{job} is noted {times} times; keep one of them")
    faults.raise_as(ObservationError)


def _of_hours(jobs: Sequence[Observation], prior: Prior) -> Calibration:
    noted = [_items(job) for job in jobs if job.hours]
    if not noted:
        return UNCALIBRATED
    tasks = sorted({item.kind for job in noted for item in job})
    shared, own = SHARED_PART * prior.hours_sd, OWN_PART * prior.hours_sd
    start = _Fit(
        sds=(prior.all_sd, prior.task_sd, prior.support_sd),
        spread={_DAY: shared**2, **dict.fromkeys(tasks, own**2)},
    )
    fit = _fit(start, noted, prior.jobs)
    return Calibration(
        _tasks={task: _pace(task, jobs, fit, own, prior.jobs) for task in tasks},
        _any_task=fit.belief(_at("", ("",))),
        _common_sd=_common(tasks, fit),
        _shared_scale=_scale(fit.spread[_DAY], shared, prior.jobs + len(noted)),
    )


def _items(job: Observation) -> list["_Item"]:
    return [
        _Item(kind=task, at=_at(task, job.supports), value=hours.log_ratio)
        for task, hours in sorted(job.hours.items())
    ]


def _at(task: str, supports: Collection[str]) -> Mapping[_Label, float]:
    part = 1 / len(supports)
    return {(): 1.0, (task,): 1.0} | {(task, name): part for name in sorted(supports)}


def _pace(
    task: str, jobs: Sequence[Observation], fit: "_Fit", own_sd: float, strength: float
) -> _Pace:
    seen = [job.supports for job in jobs if task in job.hours]
    mix: dict[_Label, float] = {}
    for supports in seen:
        for label, part in _at(task, supports).items():
            mix[label] = mix.get(label, 0.0) + part / len(seen)
    each = sorted(frozenset().union(*seen))
    return _Pace(
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
    return math.sqrt(variance) / book_sd * (1 + (_Z90**2 + 1) / (4 * weight))


def _common(tasks: Sequence[str], fit: "_Fit") -> float:
    """The sd of that part of the doubt about the paces which all tasks share."""
    pairs = list(combinations(tasks, 2)) or [(tasks[0], "")]
    shared = math.fsum(fit.covariance({(): 1.0, (a,): 1.0}, {(): 1.0, (b,): 1.0}) for a, b in pairs)
    return math.sqrt(max(0.0, shared / len(pairs)))


def _ratio(values: Sequence[float], mean_sd: float, book_sd: float, strength: float) -> _Ratio:
    if not values:
        return _Ratio()
    start = _Fit(sds=(mean_sd,), spread={"rest": book_sd**2})
    fit = _fit(start, [[_Item(kind="rest", at={(): 1.0}, value=v)] for v in values], strength)
    scale = _scale(fit.spread["rest"], book_sd, strength + len(values))
    return _Ratio(belief=fit.belief({(): 1.0}), scale=scale, jobs=len(values))


def _counted(odds: float, jobs: Sequence[Taken], prior: Prior) -> _Bursts:
    independent = [1 / (1 + (job.taken - 1) * prior.alike) for job in jobs]
    weights = independent
    for _ in range(_ROUNDS):
        taken = [w * job.taken for w, job in zip(weights, jobs, strict=True)]
        burst = [w * job.burst for w, job in zip(weights, jobs, strict=True)]
        counted = _Bursts(
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
            w / _beyond(w * _off(job, usual), _FAR_COUNT)
            for w, job, usual in zip(independent, jobs, others, strict=True)
        ]
    return counted


def _off(job: Taken, odds: float) -> float:
    """Square of the standard deviations by which a job's bursts lie off the odds."""
    expected = job.taken * odds
    return (job.burst - expected) ** 2 / (expected * (1 - odds))


def _beyond(square: float, limit: float) -> float:
    """By how much to widen the variance of a value that lies the root of `square` sds off."""
    return max(1.0, square / limit**2)


_Vector = Mapping[int, float]
_Noise = Mapping[str, float]
"""Of one job, by kind: the day's and each item's variance, or square, or doubt."""

_DAY = "the day"


@dataclass(frozen=True, kw_only=True, slots=True)
class _Item:
    """One measured logarithm, the terms that it is the sum of, and the kind of its rest."""

    kind: str
    at: Mapping[_Label, float]
    value: float


@dataclass(frozen=True, kw_only=True, slots=True)
class _Fit:
    """Prior sds of terms by length of label and variances by kind; means, covariance of terms."""

    sds: Sequence[float]
    spread: _Noise
    index: Mapping[_Label, int] = field(default_factory=dict)
    mean: Sequence[float] = ()
    matrix: Sequence[Sequence[float]] = ()

    def belief(self, at: Mapping[_Label, float]) -> Belief:
        """The sum of these terms; one that was never seen lies about 0 by its prior sd."""
        mean = math.fsum(part * self.mean[i] for i, part in self.vector(at).items())
        unseen = [(label, part) for label, part in at.items() if label not in self.index]
        prior = math.fsum((part * self.sds[len(label)]) ** 2 for label, part in unseen)
        return Belief(factor=math.exp(mean), sd=math.sqrt(prior + self.covariance(at, at)))

    def covariance(self, one: Mapping[_Label, float], other: Mapping[_Label, float]) -> float:
        """Of two sums, over the terms that were seen."""
        return _form(self.vector(one), self.vector(other), self.matrix)

    def vector(self, at: Mapping[_Label, float]) -> _Vector:
        """The terms that were seen, by position."""
        return {self.index[label]: part for label, part in at.items() if label in self.index}


def _fit(start: _Fit, jobs: Sequence[Sequence[_Item]], strength: float) -> _Fit:
    """Terms and variances after `jobs`; the variances of `start` are worth `strength` jobs."""
    labels = sorted({label for job in jobs for item in job for label in item.at})
    fit = replace(start, index={label: i for i, label in enumerate(labels)})
    day = [_DAY] if _DAY in start.spread else []
    doubts = [dict.fromkeys([*day, *(item.kind for item in job)], 1.0) for job in jobs]
    for _ in range(_ROUNDS):
        noises = [{kind: fit.spread[kind] * d for kind, d in each.items()} for each in doubts]
        fit = _conditioned(fit, jobs, noises)
        squares = [_squares(fit, job, noise) for job, noise in zip(jobs, noises, strict=True)]
        spread, doubts = _respread(start.spread, strength, squares, doubts)
        fit = replace(fit, spread=spread)
    return fit


def _conditioned(fit: _Fit, jobs: Sequence[Sequence[_Item]], noises: Sequence[_Noise]) -> _Fit:
    """The terms, given the noise: precision and pull of the prior and of every job, added up."""
    precision = [[0.0] * len(fit.index) for _ in fit.index]
    pull = [0.0] * len(fit.index)
    for label, i in fit.index.items():
        precision[i][i] = fit.sds[len(label)] ** -2
    for job, noise in zip(jobs, noises, strict=True):
        for item in job:
            _add(precision, pull, fit.vector(item.at), item.value, 1 / noise[item.kind])
        # What the items have in common may be the day: that much of their weight is not theirs.
        value = sum(item.value / noise[item.kind] for item in job)
        _add(precision, pull, _total(fit, job, noise), value, -_day_left(job, noise))
    matrix = _inverse(precision)
    return replace(fit, mean=[sum(map(mul, row, pull)) for row in matrix], matrix=matrix)


def _add(
    precision: list[list[float]], pull: list[float], row: _Vector, value: float, weight: float
) -> None:
    for i, one in row.items():
        pull[i] += weight * one * value
        for j, other in row.items():
            precision[i][j] += weight * one * other


def _total(fit: _Fit, job: Sequence[_Item], noise: _Noise) -> _Vector:
    """A job's items added up, each by its precision."""
    total: dict[int, float] = {}
    for item in job:
        for i, part in fit.vector(item.at).items():
            total[i] = total.get(i, 0.0) + part / noise[item.kind]
    return total


def _day_left(job: Sequence[_Item], noise: _Noise) -> float:
    """Variance of a job's day when terms and items are known."""
    day = noise.get(_DAY, 0.0)
    return day / (1 + day * sum(1 / noise[item.kind] for item in job))


def _squares(fit: _Fit, job: Sequence[_Item], noise: _Noise) -> _Noise:
    """Expected squares of a job's day and of each rest, by what is now believed."""
    total, left = _total(fit, job, noise), _day_left(job, noise)
    rows = {item.kind: fit.vector(item.at) for item in job}
    misses = {
        item.kind: item.value - sum(part * fit.mean[i] for i, part in rows[item.kind].items())
        for item in job
    }
    day = left * sum(miss / noise[kind] for kind, miss in misses.items())
    doubt = left + left**2 * _form(total, total, fit.matrix)
    found = {
        kind: (miss - day) ** 2
        + doubt
        + _form(rows[kind], rows[kind], fit.matrix)
        - 2 * left * _form(rows[kind], total, fit.matrix)
        for kind, miss in misses.items()
    }
    return {_DAY: day**2 + doubt, **found} if _DAY in noise else found


def _respread(
    start: _Noise, strength: float, squares: Sequence[_Noise], doubts: Sequence[_Noise]
) -> tuple[_Noise, list[dict[str, float]]]:
    """The inverse gammas' variances: prior and squares, each by how many jobs it is worth.

    A square is doubted by the spread of the book and of all other jobs: one wild job must not
    widen the measure that it is held against.
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
        {kind: _beyond(value / each[kind], _FAR) for kind, value in square.items()}
        for square, each in zip(squares, usual, strict=True)
    ]


def _form(one: _Vector, other: _Vector, matrix: Sequence[Sequence[float]]) -> float:
    return sum(a * matrix[i][j] * b for i, a in one.items() for j, b in other.items())


def _inverse(matrix: Sequence[Sequence[float]]) -> list[list[float]]:
    """Of a symmetric positive definite matrix, by Gauss–Jordan; such a one needs no pivoting."""
    rows = [list(row) for row in matrix]
    for k, pivot in enumerate(rows):
        scale, pivot[k] = 1 / pivot[k], 1.0
        pivot[:] = [value * scale for value in pivot]
        for row in rows:
            if row is not pivot:
                part, row[k] = row[k], 0.0
                row[:] = [value - part * other for value, other in zip(row, pivot, strict=True)]
    return rows
