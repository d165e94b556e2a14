"""What jobs could really come to: seeded draws from the model behind the ranges.

Here a range can be held against thousands of outcomes, and a shop whose truth is known against what
calibration makes of its finished jobs.
"""

import math
import random
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from service.estimating.calibration import DRIVING, PACKING, Hours, Observation, Packing, Taken
from service.estimating.errors import EstimatingError, Faults
from service.estimating.uncertainty import Weights


class PlanError(EstimatingError):
    """The plan cannot be simulated as it stands."""


@dataclass(frozen=True, kw_only=True, slots=True)
class Batch:
    """Balloons of one size class that are taken along, and the odds that one of them bursts."""

    taken: int
    breakage: float


@dataclass(frozen=True, kw_only=True, slots=True)
class Plan:
    """A job as the price book has it, all figures medians.

    `amounts` by group of cost, in money; `hours` [h] by task, without `drive_h` [h]; balloons in
    the garlands, and those taken along by size class. `weights` has an entry for every group and
    task, and for "drive" and "packing" where those are planned. A group of cost that bears a task's
    name moves with that task's hours.
    """

    amounts: Mapping[str, float]
    hours: Mapping[str, float]
    weights: Weights
    supports: frozenset[str]
    drive_h: float = 0.0
    garland_balloons: int = 0
    balloons: Mapping[int, Batch] = field(default_factory=dict)

    def __post_init__(self) -> None:
        faults = Faults()
        for name, median in self.medians.items():
            faults.check(0 <= median < math.inf, name, f"{median:g}: give 0 or more")
            faults.check(name in self.weights, f"weights.{name}", "say how far it may be off")
        for size, batch in self.balloons.items():
            fits = batch.taken >= 0 and 0 <= batch.breakage < 1
            faults.check(fits, f"balloons.{size}", "give 0 or more balloons and odds from 0 to 1")
        faults.raise_as(PlanError)

    @property
    def medians(self) -> Mapping[str, float]:
        """Everything that is drawn, by name; a task for its hours."""
        drive = {DRIVING: self.drive_h} if self.drive_h else {}
        packing = {PACKING: float(self.garland_balloons)} if self.garland_balloons else {}
        return {**self.amounts, **self.hours, **drive, **packing}


@dataclass(frozen=True, kw_only=True, slots=True)
class Truth:
    """How a shop really works: factors on the plan's medians by name, its own odds by size."""

    factors: Mapping[str, float] = field(default_factory=dict)
    breakage: Mapping[int, float] = field(default_factory=dict)


AS_PLANNED = Truth()


@dataclass(frozen=True, kw_only=True, slots=True)
class Actual:
    """What one drawn job came to: its cost, hours by task, drive, balloons used and burst."""

    total: float
    hours: Mapping[str, float]
    drive_h: float
    garland_balloons: int
    burst: Mapping[int, int]


def simulate(plan: Plan, *, seed: int, draws: int, truth: Truth = AS_PLANNED) -> tuple[Actual, ...]:
    """`draws` outcomes of `plan` in a shop for which `truth` holds.

    The lognormal factors are those of `uncertainty.outcome`; bursts are binomial. Deterministic:
    equal arguments give equal draws.
    """
    seeded = random.Random(seed)  # noqa: S311 - drawn for statistics, not for secrets
    names = sorted(plan.medians)
    factors = sorted({factor for name in names for factor in plan.weights[name]})
    rows = {name: [plan.weights[name].get(factor, 0.0) for factor in factors] for name in names}
    return tuple(_drawn(plan, truth, rows, len(factors), seeded) for _ in range(draws))


def _drawn(
    plan: Plan,
    truth: Truth,
    rows: Mapping[str, Sequence[float]],
    factors: int,
    seeded: random.Random,
) -> Actual:
    normals = [seeded.gauss(0.0, 1.0) for _ in range(factors)]
    moved = {
        name: truth.factors.get(name, 1.0)
        * math.exp(sum(w * z for w, z in zip(row, normals, strict=True)))
        for name, row in rows.items()
    }
    return Actual(
        total=sum(amount * moved[name] for name, amount in plan.amounts.items()),
        hours={task: hours * moved[task] for task, hours in plan.hours.items()},
        drive_h=plan.drive_h * moved.get(DRIVING, 1.0),
        garland_balloons=round(plan.garland_balloons * moved.get(PACKING, 1.0)),
        burst={
            size: _binomial(seeded, batch.taken, truth.breakage.get(size, batch.breakage))
            for size, batch in sorted(plan.balloons.items())
        },
    )


def _binomial(seeded: random.Random, trials: int, odds: float) -> int:
    """A binomial count, from one success to the next: the gaps are geometric (Devroye 1986)."""
    if not odds:
        return 0
    count, place, log_miss = 0, 0, math.log1p(-odds)
    while True:
        place += 1 + int(math.log(1.0 - seeded.random()) / log_miss)
        if place > trials:
            return count
        count += 1


def observed(plan: Plan, actual: Actual, *, job: str) -> Observation:
    """A drawn job as the owner would note it when it is done."""
    return Observation(
        job=job,
        supports=plan.supports,
        hours={
            task: Hours(planned_h=hours, actual_h=actual.hours[task])
            for task, hours in plan.hours.items()
            if hours
        },
        drive=Hours(planned_h=plan.drive_h, actual_h=actual.drive_h) if plan.drive_h else None,
        packing=Packing(planned=plan.garland_balloons, used=actual.garland_balloons)
        if plan.garland_balloons
        else None,
        balloons={
            size: Taken(taken=batch.taken, burst=actual.burst[size])
            for size, batch in plan.balloons.items()
            if batch.taken
        },
    )
