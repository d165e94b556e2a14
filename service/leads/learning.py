"""The shop learns from its finished jobs: what they teach is offered, and taken as the owner says.

What is in use is a version of its own. Nothing of it moves but by a decision, and every decision
can be taken back.
"""

import hashlib
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from functools import lru_cache

from service.estimating import UNCALIBRATED, Calibration, Observation, Prior, calibrate, prior_of
from service.estimating.calibration import Lessons, merge
from service.leads.calibrations import CalibrationVersion, Decision, Moved, Verdict
from service.leads.lead import NotFound, StaleDecision
from service.leads.lessons import Lesson, Stands, factors_of, lessons_of_shop
from service.leads.ports import Ports, UnitOfWork
from service.leads.rebasing import rebased

_STALE = "This was decided, or a job was added, in the meantime. Look at it afresh."
_NO_SUBJECT = "Nothing was learnt of that."
_NO_VERSION = "There is no such decision."


@dataclass(frozen=True, kw_only=True, slots=True)
class Record:
    """All finished jobs as today's book sees them, and what that book believes before them.

    Told by `digest`, so that what was worked out once need not be again.
    """

    digest: str
    observations: tuple[Observation, ...] = field(compare=False)
    prior: Prior = field(compare=False)

    @classmethod
    def of(cls, observations: Iterable[Observation], prior: Prior) -> "Record":
        """The record of these jobs."""
        jobs = tuple(observations)
        digest = hashlib.sha256(repr((prior, jobs)).encode()).hexdigest()
        return cls(digest=digest, observations=jobs, prior=prior)


@dataclass(frozen=True, kw_only=True, slots=True)
class Learning:
    """What was learnt from `jobs` jobs, what of it is in use, and every decision, newest first."""

    jobs: int
    learnt: Calibration
    applied: Calibration
    lessons: tuple[Lesson, ...]
    versions: tuple[CalibrationVersion, ...]
    prior: Prior

    @property
    def seq(self) -> int:
        """The number of the newest decision, 0 before the first."""
        return self.versions[0].seq if self.versions else 0

    def standing(self, *stands: Stands) -> tuple[Lesson, ...]:
        """The lessons that stand so."""
        return tuple(each for each in self.lessons if each.stands in stands)

    def with_lesson(self, subject: str) -> Calibration:
        """What would be in use if this lesson were taken as it is now."""
        return _taken(self.applied, self.learnt, subject)

    def without_lesson(self, subject: str) -> Calibration:
        """What would be in use if the book's word stood there."""
        return _taken(self.applied, UNCALIBRATED, subject)

    def before(self, seq: int) -> Calibration:
        """What was in use before a decision. Raises NotFound for one that there was not."""
        numbers = [version.seq for version in self.versions]
        if seq not in numbers:
            raise NotFound(_NO_VERSION)
        earlier = self.versions[numbers.index(seq) + 1 :]
        return earlier[0].calibration if earlier else UNCALIBRATED

    def moves_to(self, calibration: Calibration) -> tuple[Moved, ...]:
        """Every subject that another calibration has otherwise than the one in use."""
        now, then = factors_of(self.applied, self.prior), factors_of(calibration, self.prior)
        return tuple(
            Moved(subject=subject, before=now.get(subject, 1.0), after=then.get(subject, 1.0))
            for subject in sorted(now.keys() | then.keys())
            if now.get(subject, 1.0) != then.get(subject, 1.0)
        )


def learning(work: UnitOfWork, ports: Ports) -> Learning:
    """How everything stands. It works out what the jobs teach, once for every change of them."""
    record = Record.of(
        rebased(work.actuals.all_observations(), ports.price_books),
        prior_of(ports.price_books.current()),
    )
    return _standing(record, work.calibrations.every())


def learn_ahead(ports: Ports) -> None:
    """Work out what the jobs teach before a transaction begins: then it is known in it."""
    with ports.read() as work:
        learning(work, ports)


def decide(
    work: UnitOfWork,
    ports: Ports,
    *,
    subject: str,
    verdict: Verdict,
    seen: str,
    who: str,
    now: datetime,
) -> CalibrationVersion:
    """Take a lesson, leave it, or go by the book there again; dated, and in effect at once.

    `seen` is the key of the lesson that was looked at: StaleDecision where it has changed, NotFound
    where nothing was learnt of the subject. Call `learn_ahead` before the transaction begins.
    """
    work.calibrations.newest(lock=True)
    now_known = learning(work, ports)
    lesson = next((each for each in now_known.lessons if each.subject == subject), None)
    if lesson is None:
        raise NotFound(_NO_SUBJECT)
    if lesson.key != seen or not _possible(lesson, verdict):
        raise StaleDecision(_STALE)
    calibration, after = _decided(now_known, lesson, verdict)
    moved = Moved(subject=subject, before=lesson.in_use, after=after)
    decision = Decision(verdict=verdict, moves=(moved,))
    return work.calibrations.add(calibration, decision, by=who, at=now)


def take_back(
    work: UnitOfWork, ports: Ports, seq: int, *, seen: int, who: str, now: datetime
) -> CalibrationVersion:
    """Have everything as it was before decision `seq`, as a new decision.

    `seen` is the number of the newest decision that was looked at: StaleDecision where there is a
    newer one, or where nothing would change. Call `learn_ahead` first, as with `decide`.
    """
    work.calibrations.newest(lock=True)
    known = learning(work, ports)
    calibration = known.before(seq)
    moves = known.moves_to(calibration)
    if known.seq != seen or not moves:
        raise StaleDecision(_STALE)
    decision = Decision(verdict=Verdict.GO_BACK, moves=moves)
    return work.calibrations.add(calibration, decision, by=who, at=now)


def _standing(record: Record, versions: Sequence[CalibrationVersion]) -> Learning:
    learnt = _learnt(record)
    applied = versions[0].calibration if versions else UNCALIBRATED
    return Learning(
        jobs=len(record.observations),
        learnt=learnt,
        applied=applied,
        lessons=lessons_of_shop(learnt, applied, versions, record.prior),
        versions=tuple(versions),
        prior=record.prior,
    )


@lru_cache(maxsize=4)
def _learnt(record: Record) -> Calibration:
    return calibrate(record.prior, record.observations)


def _possible(lesson: Lesson, verdict: Verdict) -> bool:
    if verdict is Verdict.STOP:
        return lesson.in_use != 1.0
    if verdict is Verdict.LEAVE:
        return lesson.stands is Stands.OFFERED
    return verdict is Verdict.USE and lesson.stands in (Stands.OFFERED, Stands.LEFT)


def _decided(known: Learning, lesson: Lesson, verdict: Verdict) -> tuple[Calibration, float]:
    """What is in use then, and the factor that the decision is about."""
    if verdict is Verdict.USE:
        return known.with_lesson(lesson.subject), lesson.learnt.factor
    if verdict is Verdict.STOP:
        return known.without_lesson(lesson.subject), 1.0
    return known.applied, lesson.learnt.factor


def _taken(applied: Calibration, learnt: Calibration, subject: str) -> Calibration:
    lessons = merge(applied.lessons, learnt.lessons, subject)
    if lessons == Lessons():
        return UNCALIBRATED
    return Calibration(jobs=max(learnt.jobs, applied.jobs), lessons=lessons)
