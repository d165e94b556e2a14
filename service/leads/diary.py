"""What stands in the shop's calendar, and whether another job has room in it."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from enum import StrEnum

from service.estimating import PriceBook
from service.leads.lead import Hold, HoldState, Stay, Window
from service.leads.stays import Job, drive_between, over_at, owned, slots, stay_of
from service.leads.windows import Openings, strikes


class Lacking(StrEnum):
    """What there is too little of for a window."""

    CREW = "crew"
    TRAVEL = "travel"
    EQUIPMENT = "equipment"


@dataclass(frozen=True, kw_only=True, slots=True)
class Short:
    """Why a window is not free; `items` are the equipment that is out, by label."""

    lacking: Lacking
    items: tuple[str, ...] = ()


@dataclass(frozen=True, kw_only=True, slots=True)
class Room:
    """Where a job fits in: its stay, the crew that does it, the units of equipment it takes."""

    stay: Stay
    crew: int
    units: tuple[tuple[str, int], ...]


@dataclass(frozen=True, kw_only=True, slots=True)
class Diary:
    """What others keep in some days. `units` names what a hold has out, by its id."""

    holds: Sequence[Hold]
    units: Mapping[str, Sequence[tuple[str, int]]]

    def room(
        self, job: Job, window: Window, *, day: date, hours: Openings, book: PriceBook
    ) -> Room | Short:
        """Room for the job in that window, or what there is too little of."""
        shorts = []
        for crew in range(book.calendar.jobs_at_once):
            found = self._with_crew(crew, job, window, day=day, hours=hours, book=book)
            if isinstance(found, Room):
                return found
            shorts.append(found)
        # What comes closest to a window is what a client or the owner can do something about.
        order = (Lacking.EQUIPMENT, Lacking.TRAVEL, Lacking.CREW)
        return min(shorts, key=lambda short: order.index(short.lacking))

    def _with_crew(
        self, crew: int, job: Job, window: Window, *, day: date, hours: Openings, book: PriceBook
    ) -> Room | Short:
        lacking = self._clash(crew, job, (window.starts_at, window.ends_at), book)
        if lacking is not None:
            return Short(lacking=lacking)
        strikes_at = self._strike(crew, job, window, day=day, hours=hours, book=book)
        if strikes_at is None:
            return Short(lacking=Lacking.CREW)
        stay = stay_of(job, window, strikes_at)
        free = {item: self._free(item, stay, book) for item in job.kit}
        out = tuple(item for item, count in job.kit.items() if len(free[item]) < count)
        if out:
            return Short(lacking=Lacking.EQUIPMENT, items=out)
        units = ((item, unit) for item, count in job.kit.items() for unit in free[item][:count])
        return Room(stay=stay, crew=crew, units=tuple(units))

    def _strike(
        self, crew: int, job: Job, window: Window, *, day: date, hours: Openings, book: PriceBook
    ) -> datetime | None:
        """The first time after the guests have gone at which the crew can come back."""
        if not job.comes_back:
            return window.ends_at
        over = over_at(job.event, day, window.ends_at, book)
        for begins in strikes(job, hours, over):
            if self._clash(crew, job, (begins, begins + job.strike), book) is None:
                return begins
        return None

    def _clash(
        self, crew: int, job: Job, at_work: tuple[datetime, datetime], book: PriceBook
    ) -> Lacking | None:
        begins, ends = at_work
        worst: Lacking | None = None
        for hold in self.holds:
            if hold.crew != crew:
                continue
            for since, until in working(hold):
                between = max(begins - until, since - ends) - book.calendar.buffer
                if between < timedelta(0):
                    return Lacking.CREW
                # By way of the workshop is the longest: whoever has time for that has time enough.
                home = hold.stay.returns_at - hold.stay.struck_at
                if between < home + job.drive and between < _drive(hold, job, home, book):
                    worst = Lacking.TRAVEL
        return worst

    def _free(self, item: str, stay: Stay, book: PriceBook) -> list[int]:
        away = slots(stay.leaves_at, stay.returns_at)
        taken = {
            unit
            for hold in self.holds
            for each, unit in self.units.get(hold.id, ())
            if each == item and _overlap(away, slots(hold.stay.leaves_at, hold.stay.returns_at))
        }
        return [unit for unit in range(owned(book).get(item, 0)) if unit not in taken]


def working(hold: Hold) -> Iterator[tuple[datetime, datetime]]:
    """When the crew of a hold is at work there: setting up, and taking down."""
    yield hold.window.starts_at, hold.window.ends_at
    if hold.stay.strikes_at < hold.stay.struck_at:
        yield hold.stay.strikes_at, hold.stay.struck_at


def runs(hold: Hold, now: datetime) -> bool:
    """Whether the hold is kept for its client at that moment."""
    return hold.state is HoldState.BOOKED or (
        hold.state is HoldState.ACTIVE and hold.expires_at > now
    )


def reach(stay: Stay, book: PriceBook) -> tuple[datetime, datetime]:
    """The time around a stay in which another job can be in its way.

    Two jobs that come too near one another for the drive between them both reach some common
    moment, since no drive is longer than the two drives by way of the workshop.
    """
    return stay.leaves_at - book.calendar.buffer, stay.returns_at + book.calendar.buffer


def _drive(hold: Hold, job: Job, home: timedelta, book: PriceBook) -> timedelta:
    return drive_between(hold.position, job.position, home=(home, job.drive), book=book)


def _overlap(one: range, other: range) -> bool:
    return one.start < other.stop and other.start < one.stop
