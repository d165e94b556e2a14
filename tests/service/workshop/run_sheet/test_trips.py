"""Where a crew drives: home in between where there is time, straight on where there is none."""

from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import timedelta

import pytest

from service.estimating import PriceBook, Task
from service.leads import agenda
from service.leads.agenda import Job
from service.leads.lead import Quote
from service.workshop.run_sheet.at_place import Worked
from service.workshop.run_sheet.bench import at_the_bench
from service.workshop.run_sheet.on_the_road import steps_of_trip, too_much
from service.workshop.run_sheet.trips import Stint, Trip, trips
from service.workshop.run_sheet.values import Step, StepKind
from tests.service.building import build_shop
from tests.service.leads.keeping_dates import BOSTON, a_wall, at
from tests.service.workshop.a_day import booked

HOUR = timedelta(hours=1)
HERE, THERE = (42.36, -71.18), (42.41, -71.30)


@dataclass(frozen=True, kw_only=True)
class Known:
    """A job in the calendar, half an hour from the workshop; what was agreed; the book."""

    job: Job
    quote: Quote
    book: PriceBook

    def worked(self, stint: Stint) -> Worked:
        return Worked(stint=stint, quote=self.quote, book=self.book, zone=BOSTON)

    def steps(self, trip: Trip) -> list[Step]:
        return list(steps_of_trip(trip, self.worked, self.book))


@pytest.fixture(scope="module")
def known(tmp_path_factory: pytest.TempPathFactory) -> Known:
    shop = build_shop(tmp_path_factory.mktemp("shop"))
    booked(shop, a_wall(), at(9))
    book = shop.price_books.current()
    with shop.ports.read() as work:
        (job,) = agenda.jobs(work, book, at(0), at(23), shop.now)
        quote = work.quotes.latest(job.lead.id)
    assert quote is not None
    return Known(job=_far(job), quote=quote, book=book)


def _far(job: Job) -> Job:
    """The job half an hour away: it is left for sooner, and its equipment is back later."""
    stay, half = job.hold.stay, HOUR / 2
    stay = replace(
        stay,
        leaves_at=job.hold.window.starts_at - half - HOUR / 3,
        returns_at=stay.struck_at + half,
    )
    return replace(job, hold=replace(job.hold, stay=stay, position=HERE))


@pytest.fixture
def another(known: Known) -> Callable[..., Job]:
    """The job once more, for somebody else, so long after the first is set up."""

    def made(after: timedelta, *, crew: int = 0) -> Job:
        job = known.job
        by = job.hold.window.ends_at + after - job.hold.window.starts_at
        window, stay = job.hold.window, job.hold.stay
        names = ("leaves_at", "free_at", "strikes_at", "struck_at", "returns_at")
        hold = replace(
            job.hold,
            id="another",
            crew=crew,
            position=THERE,
            window=replace(window, starts_at=window.starts_at + by, ends_at=window.ends_at + by),
            stay=replace(stay, **{name: getattr(stay, name) + by for name in names}),
        )
        return replace(job, hold=hold, lead=replace(job.lead, id="another", number="G9999"))

    return made


def test_with_time_in_between_a_crew_comes_home_for_the_next_balloons(
    known: Known, another: Callable[..., Job]
) -> None:
    found = trips([known.job, another(3 * HOUR)])
    assert [[stint.sets_up for stint in trip.stints] for trip in found] == [
        [True],
        [True],
        [False],
        [False],
    ]
    first = known.steps(found[0])
    assert (first[0].kind, first[-1].kind) == (StepKind.LOAD, StepKind.HOME)
    assert first[-1].ends_at - first[-1].starts_at == HOUR / 2


def test_without_it_everything_is_loaded_at_once_and_the_crew_drives_straight_on(
    known: Known, another: Callable[..., Job]
) -> None:
    trip = trips([known.job, another(HOUR)])[0]
    assert [stint.sets_up for stint in trip.stints] == [True, True]
    steps = known.steps(trip)
    load, on = steps[0], next(step for step in steps if step.text.startswith("Drive straight on"))
    assert load.numbers == (known.job.lead.number, "G9999")
    assert any("all of it at once" in note for note in load.notes)
    here, there = trip.stints
    assert here.ends_at <= on.starts_at
    assert on.ends_at == there.starts_at
    kinds = [step.kind for step in steps]
    assert kinds.count(StepKind.LOAD) == kinds.count(StepKind.HOME) == 1


def test_bags_of_both_that_do_not_go_into_the_car_are_told(
    known: Known, another: Callable[..., Job]
) -> None:
    trip = trips([known.job, another(HOUR)])[0]
    assert too_much(trip, known.worked) is None
    estimate = known.quote.estimate
    many = replace(estimate, load=replace(estimate.load, bags=8))
    full = replace(known, quote=replace(known.quote, estimate=many))
    told = too_much(trip, full.worked)
    assert told is not None
    assert "16 bags do not go into the car at once: it takes about 10." in told


def test_a_short_event_is_waited_for_at_the_place(known: Known) -> None:
    stay = known.job.hold.stay
    soon = known.job.hold.window.ends_at + HOUR / 2
    strike = stay.struck_at - stay.strikes_at
    short = replace(
        stay, strikes_at=soon, struck_at=soon + strike, returns_at=soon + strike + HOUR / 2
    )
    job = replace(known.job, hold=replace(known.job.hold, stay=short))
    (trip,) = trips([job])
    kinds = [step.kind for step in known.steps(trip)]
    assert kinds.count(StepKind.DRIVE) == kinds.count(StepKind.HOME) == 1
    assert kinds[-2:] == [StepKind.STRIKE, StepKind.HOME]


def test_every_crew_drives_for_itself(known: Known, another: Callable[..., Job]) -> None:
    found = trips([known.job, another(HOUR, crew=1)])
    assert {(trip.crew, len(trip.stints)) for trip in found} == {(0, 1), (1, 1)}


@pytest.fixture
def by_two(known: Known) -> Known:
    """The job for a crew of two, with hours of all hands that are easily reckoned."""
    hours = {
        Task.SIZING_AND_INFLATING: 3.0,
        Task.TYING: 1.0,
        Task.CLUSTERING: 1.5,
        Task.LINE_BUILD: 0.5,
        Task.FOILS: 1.25,
        Task.ACCENTS: 0.75,
        Task.LOAD: 1.0,
        Task.INSTALL: 1.0,
        Task.FINISH: 0.5,
    }
    estimate = known.quote.estimate
    estimate = replace(
        estimate,
        hours={task.value: taken for task, taken in hours.items()},
        plan=replace(estimate.plan, crew=2),
    )
    return replace(known, quote=replace(known.quote, estimate=estimate))


def test_loading_unloading_and_finishing_take_the_crew_what_the_hours_say(by_two: Known) -> None:
    takes = {
        step.kind: (step.ends_at - step.starts_at) / timedelta(minutes=1)
        for step in by_two.steps(trips([by_two.job])[0])
    }
    # An hour for two is half an hour by the clock: half of it at the workshop, half at the place.
    assert (takes[StepKind.LOAD], takes[StepKind.UNLOAD]) == (15, 15)
    assert takes[StepKind.FINISH] == 15


def test_the_time_at_the_bench_is_shared_out_as_the_hours_are(by_two: Known) -> None:
    steps = at_the_bench(by_two.job, by_two.quote.estimate, BOSTON)
    kinds = [StepKind.INFLATE, StepKind.CLUSTER, StepKind.DRESS]
    takes = [
        sum((s.ends_at - s.starts_at for s in steps if s.kind is kind), timedelta())
        for kind in kinds
    ]
    whole = sum(takes, timedelta())
    for taken, share in zip(takes, (4 / 8, 2 / 8, 2 / 8), strict=True):
        # To five minutes.
        assert abs(taken - share * whole) <= timedelta(minutes=5) < whole / 8
