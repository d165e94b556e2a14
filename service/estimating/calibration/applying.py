"""What finished jobs taught, applied to the figures of the price book as far as it is accepted."""

import math
from collections.abc import Collection
from dataclasses import dataclass, field, replace

from service.estimating.calibration.lessons import AS_BOOKED, Change, Lessons, breakage_of
from service.estimating.calibration.observations import DRIVING, PACKING
from service.estimating.shrinkage import Belief

SHARED_PART, OWN_PART = 0.9, 1.0
"""How the book's spread of hours is split between the job's day, which all tasks share, and each
task's own: so a job of five or six tasks scatters as a whole by about the book's spread."""


@dataclass(frozen=True, kw_only=True, slots=True)
class Widths:
    """Sds of the logarithm of a coming job's hours: shared by all its tasks, and a task's own."""

    shared: float
    own: float


@dataclass(frozen=True, kw_only=True, slots=True)
class Calibration:
    """What `jobs` finished jobs have taught, but for the subjects that are refused.

    `version` names it once it is in use; None for the book's own word.
    """

    jobs: int = 0
    lessons: Lessons = field(default_factory=Lessons)
    refused: frozenset[str] = frozenset()
    version: str | None = None

    def pace(self, task: str, supports: Collection[str]) -> Belief:
        """Hours of `task` over the book's, in a job on these supports, each counting alike."""
        if task in self.refused:
            return AS_BOOKED
        learnt = self.lessons.paces.get(task)
        return learnt.on(supports) if learnt else self.lessons.any_task

    def widths(self, task: str, supports: Collection[str], book_sd: float) -> Widths:
        """How far a coming job's hours of `task` may lie from planned × pace.

        `book_sd` is the book's spread of hours. Day to day and what is not yet known of the mean
        are added as variances.
        """
        learnt = self.lessons.paces.get(task)
        doubt = self.pace(task, supports).sd
        common = min(doubt, self.lessons.common_sd)
        own = OWN_PART * book_sd * (learnt.scale if learnt else 1.0)
        return Widths(
            shared=math.hypot(SHARED_PART * book_sd * self.lessons.shared_scale, common),
            own=math.sqrt(own * own + doubt * doubt - common * common),
        )

    @property
    def packing(self) -> Belief:
        """Balloons in a garland over those of the recipe."""
        return AS_BOOKED if PACKING in self.refused else self.lessons.packing.belief

    def packing_width(self, book_sd: float) -> float:
        """How far a coming job's balloons may lie from planned × packing, as an sd."""
        return math.hypot(book_sd * self.lessons.packing.scale, self.packing.sd)

    @property
    def driving(self) -> Belief:
        """Hours of driving over the book's."""
        return AS_BOOKED if DRIVING in self.refused else self.lessons.driving.belief

    def driving_width(self, book_sd: float) -> float:
        """How far a coming job's drive may lie from planned × driving, as an sd."""
        return math.hypot(book_sd * self.lessons.driving.scale, self.driving.sd)

    def breakage(self, size_class: int, book_odds: float) -> float:
        """The odds that a balloon of this size class breaks."""
        learnt = self.lessons.bursts.get(size_class)
        if learnt is None or breakage_of(size_class) in self.refused:
            return book_odds
        return learnt.odds(book_odds)

    def changes(self) -> tuple[Change, ...]:
        """What is applied, by subject, the largest first; refused changes are left out."""
        found = [
            change
            for change in self.lessons.changes()
            if change.jobs and change.subject not in self.refused
        ]
        return tuple(sorted(found, key=lambda one: (-abs(math.log(one.factor)), one.subject)))

    def without(self, *subjects: str) -> "Calibration":
        """These changes refused: there the book stands. Subjects never seen are no error."""
        return replace(self, refused=self.refused.union(subjects))

    def only(self, *subjects: str) -> "Calibration":
        """Every change refused but these; a task not seen yet is as booked, too."""
        others = {change.subject for change in self.lessons.changes()}.difference(subjects)
        return replace(self.without(*others), lessons=replace(self.lessons, any_task=AS_BOOKED))


UNCALIBRATED = Calibration()
"""Takes the price book at its word: no figure moves and no spread but the book's."""
