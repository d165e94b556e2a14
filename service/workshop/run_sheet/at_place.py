"""What a crew does at the place: setting up until all is ready, and taking down."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from itertools import accumulate, pairwise
from zoneinfo import ZoneInfo

from service.estimating import Estimate, PriceBook, Task
from service.leads import words
from service.leads.agenda import Block, Part, event_of
from service.leads.lead import Quote
from service.workshop.bench_time import FIVE_MINUTES
from service.workshop.fitted import how_many
from service.workshop.floats import by_label
from service.workshop.run_sheet.trips import Stint
from service.workshop.run_sheet.values import Step, StepKind

_NONE = timedelta(0)
_COMES_BACK = ("wear", "weights", "covers")


@dataclass(frozen=True, kw_only=True, slots=True)
class Worked:
    """A stint with what was agreed, as its steps go by it; `book` knows the shop's time."""

    stint: Stint
    quote: Quote
    book: PriceBook
    zone: ZoneInfo

    @property
    def estimate(self) -> Estimate:
        """What it takes."""
        return self.quote.estimate

    @property
    def number(self) -> str:
        """The job's number."""
        return self.stint.job.lead.number

    @property
    def first_bags(self) -> int:
        """How many bags of balloons go into the car at first."""
        return -(-self.estimate.load.bags // self.estimate.load.car_loads)

    def by_the_clock(self, *tasks: Task) -> timedelta:
        """How long the crew is at these tasks."""
        hours = sum(self.estimate.hours.get(task, 0.0) for task in tasks)
        return timedelta(hours=hours / self.estimate.plan.crew)

    def step(
        self, kind: StepKind, starts_at: datetime, ends_at: datetime, text: str, *notes: str
    ) -> Step:
        """A step of this job."""
        return Step(
            kind=kind,
            starts_at=starts_at,
            ends_at=ends_at,
            text=text,
            numbers=(self.number,),
            notes=tuple(filter(None, notes)),
        )


@dataclass(frozen=True, kw_only=True, slots=True)
class _Due:
    """Something that is to be done, and how long it takes."""

    kind: StepKind
    takes: timedelta
    text: str
    notes: tuple[str, ...] = ()


def steps_of(worked: Worked) -> Iterator[Step]:
    """Everything that is done there, one after the other."""
    if worked.stint.sets_up:
        yield from _setting_up(worked)
    else:
        yield _taking_down(worked)


def guests(worked: Worked) -> Iterator[Step]:
    """When the guests are there, where that is known."""
    for block in worked.stint.job.blocks:
        if block.part is Part.EVENT:
            until = "when it ends is not known" if block.open_end else ""
            yield worked.step(
                StepKind.GUESTS, block.starts_at, block.ends_at, "The guests are there", until
            )


def _setting_up(worked: Worked) -> Iterator[Step]:
    stint = worked.stint
    due = [
        *_bringing(worked),
        _Due(kind=StepKind.SET_UP, takes=worked.by_the_clock(Task.INSTALL), text="Setting up"),
        *_filling(worked),
        _Due(
            kind=StepKind.FINISH,
            takes=worked.by_the_clock(Task.FINISH),
            text="Finishing touches: fill gaps, turn seams away, clean up",
            notes=("every broken balloon and scrap is picked up at once",),
        ),
    ]
    window = stint.ends_at.astimezone(UTC) - stint.starts_at.astimezone(UTC)
    hurried = sum((each.takes for each in due), _NONE) > window
    for each, (since, until) in zip(due, _times(due, window), strict=True):
        short = "it is reckoned longer than the time that is kept" if hurried else ""
        notes = (*each.notes, short if each.kind is StepKind.SET_UP else "")
        begins, ends = (stint.starts_at.astimezone(UTC) + at for at in (since, until))
        yield worked.step(each.kind, begins, ends, each.text, *notes)
    yield worked.step(
        StepKind.PICTURES,
        stint.ends_at,
        stint.ends_at,
        "Ready. Take pictures before the guests come, then leave",
    )


def _times(due: Sequence[_Due], window: timedelta) -> Iterator[tuple[timedelta, timedelta]]:
    """From and to when each goes on, within the window and to five minutes.

    What the window has over is spent on setting up; where it is too short all have to hurry.
    """
    needed = sum((each.takes for each in due), _NONE)
    over = max(_NONE, window - needed)
    hurry = min(1.0, window / needed) if needed else 1.0
    spent = [each.takes * hurry + (over if each.kind is StepKind.SET_UP else _NONE) for each in due]
    marks = [round(mark / FIVE_MINUTES) * FIVE_MINUTES for mark in accumulate(spent, initial=_NONE)]
    yield from pairwise((*marks[:-1], window))


def _bringing(worked: Worked) -> Iterator[_Due]:
    loads = worked.estimate.load.car_loads
    # Half of the time that a load takes is unloading.
    unloading = worked.by_the_clock(Task.LOAD) / 2 / loads
    yield _Due(kind=StepKind.UNLOAD, takes=unloading, text="Unload; look where the exits are")
    for number in range(2, loads + 1):
        yield _Due(
            kind=StepKind.FETCH,
            takes=2 * worked.stint.drive + unloading,
            text=f"Fetch car load {number} of {loads} from the workshop, and unload it",
        )


def _filling(worked: Worked) -> Iterator[_Due]:
    plan, helium = worked.estimate.plan, worked.estimate.helium
    if plan.helium_ahead_h is None:
        return
    count = sum(line.count for line in helium.balloons)
    job = worked.stint.job
    starts, _ = event_of(job.lead, job.hold, worked.book)
    earliest = starts.astimezone(UTC) - timedelta(hours=plan.helium_ahead_h)
    yield _Due(
        kind=StepKind.HELIUM,
        takes=timedelta(hours=plan.helium_h),
        text=f"Fill {count} balloon{'' if count == 1 else 's'} with helium, each on its weight",
        notes=(
            *_floating(worked),
            f"at their best when filled after {words.clock(earliest, worked.zone)}: as late as you"
            " can",
            "cylinder upright and tied, doors or windows open, and nobody breathes it",
        ),
    )


def _floating(worked: Worked) -> Iterator[str]:
    for label, colours in by_label(worked.estimate.helium).items():
        yield f"{label.removesuffix(' for helium')}: {colours}"


def _taking_down(worked: Worked) -> Step:
    stint, estimate = worked.stint, worked.estimate
    block: Block | None = stint.job.first(Part.STRIKE)
    assumed = block.assumed_over if block else None
    keeps = worked.quote.brief.client_keeps
    return worked.step(
        StepKind.STRIKE,
        stint.starts_at,
        stint.ends_at,
        "Fetch what is yours; the balloons stay" if keeps else "Taking down",
        f"the end is not known: {words.clock(assumed, worked.zone)} assumed" if assumed else "",
        "" if keeps else "every balloon is cut open and taken along; none flies off",
        *_coming_back(estimate),
    )


def _coming_back(estimate: Estimate) -> Iterator[str]:
    hired = [each for each in estimate.fittings if each.label.endswith("hired")]
    own = [each for each in estimate.fittings if each.code in _COMES_BACK and each not in hired]
    for told, found in (("count what comes back", own), ("goes back to the hire", hired)):
        if found:
            things = words.listed(how_many(each.label, each.unit, each.count) for each in found)
            yield f"{told}: {things}"
