"""How near estimates came: real costs against the ranges that were told, and which tasks miss."""

import datetime as dt
import math
from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from statistics import fmean, stdev

from service.estimating.scoring import pinball_loss
from service.leads.actuals import Finished
from service.leads.expectations import Range

TARGET = 0.8
"""The share of real costs that P10 to P90 is meant to hold."""

ENOUGH = 10
"""With fewer jobs than these a share or a ratio says next to nothing."""

_DRIVE = "drive"
_Z95 = 1.959964
_LEVELS = (0.1, 0.5, 0.9)


@dataclass(frozen=True, kw_only=True, slots=True)
class Month:
    """Jobs done in one month, in the shop's currency: likely beforehand, and real."""

    month: dt.date
    jobs: int
    likely: Decimal
    real: Decimal
    within: int


@dataclass(frozen=True, kw_only=True, slots=True)
class Coverage:
    """How many real costs fell within their range.

    `low` and `high` are the shares between which the shop's own share lies, with a confidence of
    95 % (Wilson 1927, J. Am. Stat. Assoc. 22, 209).
    """

    within: int
    below: int
    above: int
    low: float
    high: float

    @property
    def jobs(self) -> int:
        """All of them."""
        return self.within + self.below + self.above

    @property
    def share(self) -> float | None:
        """The part that fell within."""
        return self.within / self.jobs if self.jobs else None

    @property
    def as_meant(self) -> bool:
        """Whether the target is among the shares that may be the shop's own."""
        return self.low <= TARGET <= self.high


@dataclass(frozen=True, kw_only=True, slots=True)
class Losses:
    """Pinball losses at P10, P50 and P90, each job's as a part of what the book told; mean.

    Of `jobs` jobs that were quoted with lessons in use: what was quoted, and what the book alone
    would have said. The lower the better. `sure` where the difference, job by job, is beyond what
    chance does in nineteen of twenty records.
    """

    jobs: int
    quoted: float
    by_book: float
    sure: bool

    @property
    def ratio(self) -> float | None:
        """The loss of what was quoted over the book's: below one, the lessons helped."""
        return self.quoted / self.by_book if self.by_book else None


@dataclass(frozen=True, kw_only=True, slots=True)
class Miss:
    """One task in `jobs` jobs, real over quoted: factor in the middle, and how it scatters.

    `hours` [h] is how far off it is in a job (root mean square), `scatter` the sd of the factor's
    logarithm, None for one job.
    """

    task: str
    jobs: int
    factor: float
    scatter: float | None
    hours: float


@dataclass(frozen=True, kw_only=True, slots=True)
class Balloons:
    """Balloons in the work over the recipe's, and those that burst of those blown up.

    `packed` and `counted` are the jobs that either is known of.
    """

    factor: float | None
    packed: int
    taken: int
    burst: int
    counted: int


@dataclass(frozen=True, kw_only=True, slots=True)
class Accuracy:
    """All of it. `elsewhere` are jobs in another currency than `currency`, not in `months`.

    `unmeasured` went as planned by the owner's word, or of them only words are known: they are left
    out, for each would look like an estimate that was met.
    """

    currency: str
    months: tuple[Month, ...]
    elsewhere: int
    unmeasured: int
    coverage: Coverage
    losses: Losses
    misses: tuple[Miss, ...]
    balloons: Balloons

    @property
    def enough(self) -> bool:
        """Whether there are jobs enough to say anything."""
        return self.coverage.jobs >= ENOUGH


def accuracy(finished: Sequence[Finished], *, currency: str) -> Accuracy:
    """How near these jobs' estimates came."""
    measured = [job for job in finished if job.actuals.measured]
    own = [job for job in measured if job.currency == currency]
    return Accuracy(
        currency=currency,
        months=tuple(_months(own)),
        elsewhere=len(measured) - len(own),
        unmeasured=len(finished) - len(measured),
        coverage=_coverage(measured),
        losses=_losses([job for job in measured if job.told.calibration is not None]),
        misses=tuple(sorted(_misses(measured), key=lambda each: (-each.hours, each.task))),
        balloons=_balloons(measured),
    )


def _months(finished: Iterable[Finished]) -> Iterator[Month]:
    by_month: dict[dt.date, list[Finished]] = defaultdict(list)
    for job in finished:
        by_month[job.done_on.replace(day=1)].append(job)
    for month, jobs in sorted(by_month.items()):
        yield Month(
            month=month,
            jobs=len(jobs),
            likely=sum((job.told.quoted.likely for job in jobs), Decimal(0)),
            real=sum((job.real_cost for job in jobs), Decimal(0)),
            within=sum(_side(job) == 0 for job in jobs),
        )


def _side(job: Finished) -> int:
    """Below its range -1, within 0, above 1."""
    told = job.told.quoted
    return (job.real_cost > told.high) - (job.real_cost < told.low)


def _coverage(finished: Iterable[Finished]) -> Coverage:
    sides = [_side(job) for job in finished]
    low, high = wilson(sides.count(0), len(sides))
    return Coverage(
        within=sides.count(0), below=sides.count(-1), above=sides.count(1), low=low, high=high
    )


def wilson(hits: int, trials: int) -> tuple[float, float]:
    """Between which shares the true one lies, with a confidence of 95 %."""
    if not trials:
        return 0.0, 1.0
    square = _Z95**2 / trials
    middle = (hits / trials + square / 2) / (1 + square)
    seen = hits / trials * (1 - hits / trials)
    half = _Z95 / (1 + square) * math.sqrt(seen / trials + square / (4 * trials))
    return max(0.0, middle - half), min(1.0, middle + half)


def _losses(finished: Sequence[Finished]) -> Losses:
    if not finished:
        return Losses(jobs=0, quoted=0.0, by_book=0.0, sure=False)
    quoted = [_loss(job.told.quoted, job) for job in finished]
    by_book = [_loss(job.told.by_book, job) for job in finished]
    return Losses(
        jobs=len(finished),
        quoted=fmean(quoted),
        by_book=fmean(by_book),
        sure=_differ(quoted, by_book),
    )


def _loss(said: Range, job: Finished) -> float:
    # Over what its book told, so that one large job does not decide it alone.
    real, unit = float(job.real_cost), float(job.told.by_book.likely)
    levels = zip(_LEVELS, (said.low, said.likely, said.high), strict=True)
    return fmean(pinball_loss(share, [float(level)], [real]) for share, level in levels) / unit


def _differ(some: Sequence[float], others: Sequence[float]) -> bool:
    apart = [one - other for one, other in zip(some, others, strict=True)]
    return len(apart) > 1 and abs(fmean(apart)) > _Z95 * stdev(apart) / math.sqrt(len(apart))


def _misses(finished: Iterable[Finished]) -> Iterator[Miss]:
    pairs: dict[str, list[tuple[float, float]]] = defaultdict(list)
    for job in finished:
        for task, real in _real(job).items():
            if task in job.told.hours:
                pairs[task].append((job.told.hours[task], real))
    for task, each in pairs.items():
        yield _miss(task, each)


def _real(job: Finished) -> Mapping[str, float]:
    seen = job.observation
    hours = {task: noted.actual_h for task, noted in seen.hours.items()}
    return hours | {_DRIVE: seen.drive.actual_h} if seen.drive else hours


def _miss(task: str, pairs: Sequence[tuple[float, float]]) -> Miss:
    logs = [math.log(real / told) for told, real in pairs]
    return Miss(
        task=task,
        jobs=len(pairs),
        factor=math.exp(fmean(logs)),
        scatter=stdev(logs) if len(logs) > 1 else None,
        hours=math.sqrt(fmean((real - told) ** 2 for told, real in pairs)),
    )


def _balloons(finished: Iterable[Finished]) -> Balloons:
    seen = [job.observation for job in finished]
    packed = [each.packing for each in seen if each.packing]
    counted = [one for one in seen if one.balloons]
    taken = [each for one in counted for each in one.balloons.values()]
    planned = sum(each.planned for each in packed)
    return Balloons(
        factor=sum(each.used for each in packed) / planned if planned else None,
        packed=len(packed),
        taken=sum(each.taken for each in taken),
        burst=sum(each.burst for each in taken),
        counted=len(counted),
    )
