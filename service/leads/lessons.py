"""What finished jobs teach, by subject, beside what the shop goes by and what it refused."""

import hashlib
import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from enum import StrEnum

from service.estimating import Calibration, Prior
from service.estimating.calibration import AS_BOOKED, PACKING, Belief, Change, Pace, scatter
from service.leads.calibrations import CalibrationVersion, Verdict

_WORTH = math.log(1.03)
"""What moves less than three in a hundred is not worth a decision."""

SURE = 1.96
"""Nineteen in twenty accidents are nearer than so many standard deviations."""

_FEWEST = 3
"""Of fewer jobs than these nothing is offered, however far off they were."""

_SETTLED = math.log(1.15)
"""What can hardly be further off than that is said to be as the book has it."""


class Stands(StrEnum):
    """How a lesson stands: to be decided, in use, refused, too little known yet, as in the book."""

    OFFERED = "offered"
    IN_USE = "in_use"
    LEFT = "left"
    TOO_EARLY = "too_early"
    AS_BOOKED = "as_booked"


@dataclass(frozen=True, kw_only=True, slots=True)
class Lesson:
    """One subject: what jobs say of it now, what is in use, and what was refused last.

    Factors are those on the book's figures. `learnt` has the ones on single supports in
    `by_support`, where a task is done on several; `used_on` those that are in use there.
    """

    subject: str
    learnt: Change
    in_use: float = 1.0
    refused: float | None = None
    by_support: Mapping[str, Belief] = field(default_factory=dict)
    used_on: Mapping[str, float] = field(default_factory=dict)

    @property
    def stands(self) -> Stands:
        """What is to be done with it."""
        if self._says_something_new:
            asked_before = self.refused is not None and not _apart(_of(self.learnt), self.refused)
            return Stands.LEFT if asked_before else Stands.OFFERED
        if self.in_use != 1.0:
            return Stands.IN_USE
        furthest = abs(math.log(self.learnt.factor)) + SURE * self.learnt.sd
        known = self.learnt.jobs >= _FEWEST and furthest <= _SETTLED
        return Stands.AS_BOOKED if known else Stands.TOO_EARLY

    @property
    def key(self) -> str:
        """Names what was looked at: another one where anything of it has changed."""
        said = (self.subject, self.learnt.jobs, *self._figures)
        return hashlib.sha256(repr(said).encode()).hexdigest()[:16]

    @property
    def _figures(self) -> tuple[float | None, ...]:
        refused = None if self.refused is None else round(self.refused, 6)
        return round(self.learnt.factor, 6), round(self.in_use, 6), refused

    @property
    def _says_something_new(self) -> bool:
        if self.learnt.jobs < _FEWEST:
            return False
        return _apart(_of(self.learnt), self.in_use) or any(
            _apart(belief, self.used_on.get(support, 1.0))
            for support, belief in self.by_support.items()
        )


def lessons_of_shop(
    learnt: Calibration,
    applied: Calibration,
    versions: Sequence[CalibrationVersion],
    prior: Prior,
) -> tuple[Lesson, ...]:
    """Every subject of which something was learnt or is in use, the largest change first."""
    fresh, in_use = _changes(learnt, prior), _changes(applied, prior)
    refused = refused_in(versions)
    found = [
        Lesson(
            subject=subject,
            learnt=fresh.get(subject) or _nothing(subject),
            in_use=in_use[subject].factor if subject in in_use else 1.0,
            refused=refused.get(subject),
            by_support=_by_support(learnt.lessons.paces.get(subject)),
            used_on=_used_on(learnt, applied, subject),
        )
        for subject in fresh.keys() | in_use.keys()
    ]
    return tuple(sorted(found, key=lambda one: (-abs(math.log(one.learnt.factor)), one.subject)))


def refused_in(versions: Sequence[CalibrationVersion]) -> Mapping[str, float]:
    """The factors that the owner would not have, by subject, unless taken since.

    `versions` are the newest first. What was stopped or taken back was refused, too.
    """
    refused: dict[str, float] = {}
    decided: set[str] = set()
    for version in versions:
        verdict = version.decision.verdict
        for moved in version.decision.moves:
            if moved.subject not in decided and verdict is not Verdict.USE:
                left = verdict is Verdict.LEAVE
                refused[moved.subject] = moved.after if left else moved.before
            decided.add(moved.subject)
    return refused


def factors_of(calibration: Calibration, prior: Prior) -> Mapping[str, float]:
    """The factor of every subject that is not as booked."""
    return {subject: change.factor for subject, change in _changes(calibration, prior).items()}


def _changes(calibration: Calibration, prior: Prior) -> Mapping[str, Change]:
    return {change.subject: change for change in _each(calibration, prior)}


def _each(calibration: Calibration, prior: Prior) -> Iterator[Change]:
    for change in calibration.changes():
        # A shop that packs looser still lays the recipe's clusters.
        packs_looser = change.subject == PACKING and change.factor < 1
        yield replace(change, factor=1.0) if packs_looser else change
    spread = scatter(calibration.lessons, prior, calibration.jobs)
    if calibration.lessons.paces and spread.factor != 1.0:
        yield spread


def _nothing(subject: str) -> Change:
    return Change(subject=subject, factor=1.0, sd=0.0, jobs=0)


def _by_support(pace: Pace | None) -> Mapping[str, Belief]:
    return {} if pace is None or len(pace.by_support) < 2 else pace.by_support


def _used_on(learnt: Calibration, applied: Calibration, subject: str) -> Mapping[str, float]:
    pace, used = learnt.lessons.paces.get(subject), applied.lessons.paces.get(subject)
    known = {} if pace is None else pace.by_support
    return {name: (used.on((name,)) if used else AS_BOOKED).factor for name in known}


def _of(change: Change) -> Belief:
    return Belief(factor=change.factor, sd=change.sd)


def _apart(belief: Belief, factor: float) -> bool:
    """Whether they differ by what is worth it, and by no accident."""
    off = abs(math.log(belief.factor / factor))
    return off >= _WORTH and off >= SURE * belief.sd
