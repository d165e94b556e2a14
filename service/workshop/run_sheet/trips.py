"""Where a crew drives: out from the workshop, from one place to the next, and home again."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from itertools import groupby, pairwise
from operator import attrgetter

from service.estimating import PriceBook
from service.leads.agenda import Job
from service.leads.stays import drive_between


@dataclass(frozen=True, kw_only=True, slots=True)
class Stint:
    """A crew's work at one place: setting up, or taking down.

    `drive` is the way there from the workshop, `slack` what is kept free on it.
    """

    job: Job
    sets_up: bool
    starts_at: datetime
    ends_at: datetime
    drive: timedelta
    slack: timedelta = timedelta(0)

    @property
    def leaves_at(self) -> datetime:
        """When it is left for, from the workshop."""
        return self.starts_at - self.slack - self.drive

    @property
    def home_at(self) -> datetime:
        """When the crew is back at the workshop after it."""
        return self.ends_at + self.drive


@dataclass(frozen=True, kw_only=True, slots=True)
class Trip:
    """Stints one after the other without coming home in between; at least one."""

    stints: tuple[Stint, ...]

    @property
    def crew(self) -> int:
        """Which crew it is."""
        return self.stints[0].job.hold.crew

    @property
    def starts_at(self) -> datetime:
        """When the workshop is left."""
        return self.stints[0].leaves_at

    @property
    def ends_at(self) -> datetime:
        """When the crew is back."""
        return self.stints[-1].home_at

    @property
    def carried(self) -> tuple[Stint, ...]:
        """What is set up on the way: all of it is in the car when it leaves."""
        return tuple(stint for stint in self.stints if stint.sets_up)


def trips(jobs: Iterable[Job]) -> list[Trip]:
    """Every crew's trips, by when they begin."""
    stints = [stint for job in jobs for stint in stints_of(job)]
    by_crew = groupby(sorted(stints, key=_crew_then_time), key=lambda each: each.job.hold.crew)
    found = [trip for _, own in by_crew for trip in _chained(tuple(own))]
    return sorted(found, key=attrgetter("starts_at"))


def stints_of(job: Job) -> Iterator[Stint]:
    """Setting up, and taking down where somebody comes back for it."""
    hold = job.hold
    stay, window = hold.stay, hold.window
    drive = stay.returns_at - stay.struck_at
    yield Stint(
        job=job,
        sets_up=True,
        starts_at=window.starts_at,
        ends_at=window.ends_at,
        drive=drive,
        slack=max(timedelta(0), window.starts_at - stay.leaves_at - drive),
    )
    if stay.struck_at > stay.strikes_at:
        yield Stint(
            job=job,
            sets_up=False,
            starts_at=stay.strikes_at,
            ends_at=stay.struck_at,
            drive=drive,
        )


def way(here: Stint, there: Stint, book: PriceBook) -> timedelta:
    """How long the drive from one place to the next is."""
    if here.job.hold.id == there.job.hold.id:
        return timedelta(0)
    return drive_between(
        here.job.hold.position,
        there.job.hold.position,
        home=(here.drive, there.drive),
        book=book,
    )


def _chained(stints: Sequence[Stint]) -> Iterator[Trip]:
    """Home in between wherever there is time for it: the balloons of the next job are there."""
    chain = [stints[0]]
    for before, after in pairwise(stints):
        if after.leaves_at < before.home_at:
            chain.append(after)
        else:
            yield Trip(stints=tuple(chain))
            chain = [after]
    yield Trip(stints=tuple(chain))


def _crew_then_time(stint: Stint) -> tuple[int, datetime]:
    return stint.job.hold.crew, stint.starts_at
