"""What finished jobs taught, figure by figure of the price book, applied or not."""

import math
from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass, field

from service.estimating.calibration.observations import DRIVING, PACKING
from service.estimating.shrinkage import Belief

AS_BOOKED = Belief(factor=1.0, sd=0.0)


@dataclass(frozen=True, kw_only=True, slots=True)
class Change:
    """One thing learnt: `subject` takes `factor` times what the book says, known to within `sd`
    of its logarithm, after `jobs` jobs in which it was noted."""

    subject: str
    factor: float
    sd: float
    jobs: int


@dataclass(frozen=True, kw_only=True, slots=True)
class Pace:
    """What was learnt of one task: on the supports as they came, on each, and on any other.

    `scale` is that of the book's spread, here and below.
    """

    seen: Belief
    jobs: int
    by_support: Mapping[str, Belief]
    elsewhere: Belief
    scale: float

    def on(self, supports: Collection[str]) -> Belief:
        """On these supports, each counting alike.

        The sd is the mean over the supports, which is what it is if they err together.
        """
        found = [self.by_support.get(name, self.elsewhere) for name in supports]
        if not found:
            return self.elsewhere
        mean = math.fsum(math.log(belief.factor) for belief in found) / len(found)
        return Belief(
            factor=math.exp(mean), sd=math.fsum(belief.sd for belief in found) / len(found)
        )


@dataclass(frozen=True, kw_only=True, slots=True)
class Ratio:
    """What was learnt of one figure of the book."""

    belief: Belief = AS_BOOKED
    scale: float = 1.0
    jobs: int = 0


@dataclass(frozen=True, kw_only=True, slots=True)
class Bursts:
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

    @property
    def belief(self) -> Belief:
        """The odds over the book's."""
        odds = self.odds(self.book_odds)
        seen = self.book_balloons + self.taken
        return Belief(factor=odds / self.book_odds, sd=math.sqrt((1 - odds) / odds / seen))


@dataclass(frozen=True, kw_only=True, slots=True)
class Lessons:
    """All that was learnt.

    `common_sd` is that part of the doubt about the paces which all tasks share, `shared_scale`
    that of the job's day.
    """

    paces: Mapping[str, Pace] = field(default_factory=dict)
    any_task: Belief = AS_BOOKED
    common_sd: float = 0.0
    shared_scale: float = 1.0
    packing: Ratio = Ratio()
    driving: Ratio = Ratio()
    bursts: Mapping[int, Bursts] = field(default_factory=dict)

    def changes(self) -> Iterator[Change]:
        """Everything by its subject, also what no job noted."""
        for task, pace in self.paces.items():
            yield _change(task, pace.seen, pace.jobs)
        yield _change(PACKING, self.packing.belief, self.packing.jobs)
        yield _change(DRIVING, self.driving.belief, self.driving.jobs)
        for size, bursts in self.bursts.items():
            yield _change(breakage_of(size), bursts.belief, bursts.jobs)


def breakage_of(size_class: int) -> str:
    """The subject under which the breakage of a size class is told of, accepted and refused."""
    return f"breakage_{size_class}"


def _change(subject: str, belief: Belief, jobs: int) -> Change:
    return Change(subject=subject, factor=belief.factor, sd=belief.sd, jobs=jobs)
