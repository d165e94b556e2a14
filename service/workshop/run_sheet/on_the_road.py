"""A crew's trip by the clock: loading, driving, what is done at each place, and home again."""

from collections.abc import Callable, Iterator, Sequence
from datetime import datetime, timedelta

from service.estimating import PriceBook, Task
from service.leads.conflicts import spent
from service.workshop.fitted import how_many
from service.workshop.run_sheet.at_place import Worked, steps_of
from service.workshop.run_sheet.trips import Stint, Trip, way
from service.workshop.run_sheet.values import Step, StepKind

_NONE = timedelta(0)


def steps_of_trip(
    trip: Trip, work_of: Callable[[Stint], Worked], book: PriceBook
) -> Iterator[Step]:
    """Everything of a trip, in order."""
    worked = [work_of(stint) for stint in trip.stints]
    yield from _loading(trip, [each for each in worked if each.stint.sets_up])
    yield _leaving(trip, worked[0])
    for place, each in enumerate(worked):
        if place:
            yield from _between(worked[place - 1], each, book)
        yield from steps_of(each)
    yield _home(trip, worked[-1])


def too_much(trip: Trip, work_of: Callable[[Stint], Worked]) -> str | None:
    """Where the bags of several jobs have to be in the car at once and do not go in."""
    if len(trip.carried) < 2:
        return None
    carried = [work_of(stint) for stint in trip.carried]
    book = carried[0].book
    takes = int(book.car.usable_m3 / book.car.bag_m3 + 1e-9)
    bags = sum(each.first_bags for each in carried)
    if bags <= takes:
        return None
    numbers = " and ".join(each.number for each in carried)
    return (
        f"{numbers}: there is no time to come home in between, and {bags} bags do not go into the"
        f" car at once: it takes about {takes}."
    )


def _loading(trip: Trip, carried: Sequence[Worked]) -> Iterator[Step]:
    takes = sum((each.by_the_clock(Task.LOAD) / 2 for each in carried), _NONE)
    if not carried:
        return
    first = sum(each.first_bags for each in carried)
    bags = sum(each.estimate.load.bags for each in carried)
    many = f"{first} of {bags}" if first < bags else f"{bags}"
    yield Step(
        kind=StepKind.LOAD,
        starts_at=trip.starts_at - takes,
        ends_at=trip.starts_at,
        text=f"Load the car: {many} bag{'' if bags == 1 else 's'} of balloons",
        numbers=tuple(each.number for each in carried),
        notes=tuple(_of_loading(carried)),
    )


def _of_loading(carried: Sequence[Worked]) -> Iterator[str]:
    if len(carried) > 1:
        yield "all of it at once: there is no time to come home in between"
    loads = max(each.estimate.load.car_loads for each in carried)
    if loads > 1:
        yield f"load 1 of {loads} goes in; the rest stands ready at the door"
    hired = [
        how_many(fitting.label, fitting.unit, fitting.count)
        for each in carried
        for fitting in each.estimate.fittings
        if fitting.label.endswith("hired") or fitting.unit == "cylinder"
    ]
    if hired:
        yield f"fetched by now: {', '.join(hired)}"


def _leaving(trip: Trip, first: Worked) -> Step:
    stint = first.stint
    notes = (f"{spent(stint.slack)} of it kept free",) if stint.slack else ()
    return _drive(trip.starts_at, stint.starts_at, stint.drive, first, "Leave for", *notes)


def _between(here: Worked, there: Worked, book: PriceBook) -> Iterator[Step]:
    takes = way(here.stint, there.stint, book)
    if not takes:
        return
    wanted = there.stint.starts_at - there.stint.slack - takes
    leaves = max(here.stint.ends_at, wanted)
    arrives = max(there.stint.starts_at, leaves + takes)
    yield _drive(leaves, arrives, takes, there, "Drive straight on to")


def _drive(
    leaves: datetime, arrives: datetime, takes: timedelta, there: Worked, text: str, *notes: str
) -> Step:
    site = there.stint.job.lead.brief.site
    place = site.place or site.postal_code or "the place"
    known = there.estimate.travel.distance_m is not None
    unknown = "" if known else "a usual way is reckoned with: nobody has said where it is"
    said = (f"{spent(takes)} by car", *notes, unknown)
    return there.step(StepKind.DRIVE, leaves, arrives, f"{text} {place}", *said)


def _home(trip: Trip, last: Worked) -> Step:
    stint = last.stint
    return Step(
        kind=StepKind.HOME,
        starts_at=stint.ends_at,
        ends_at=trip.ends_at,
        text="Back to the workshop",
        numbers=(last.number,),
        notes=(f"{spent(stint.drive)} by car",),
    )
