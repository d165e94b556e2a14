"""What is noted of finished jobs."""

import math
from collections.abc import Mapping
from dataclasses import dataclass, field

from service.estimating.errors import EstimatingError, Faults

PACKING = "packing"
DRIVING = "drive"

_MOST_HOURS = 1000.0


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
    price book before any calibration: what has been learnt must not be learnt again. `book` is that
    book's version, where it is known.
    """

    job: str
    supports: frozenset[str]
    hours: Mapping[str, Hours]
    drive: Hours | None = None
    packing: Packing | None = None
    balloons: Mapping[int, Taken] = field(default_factory=dict)
    book: str = ""

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
