"""Time: hours by task, their plan, the load and the way."""

from collections import Counter
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass

from service.estimating.answer import Load, Reason, Travel
from service.estimating.book import Car, Labour, PriceBook, Task
from service.estimating.brief import Build
from service.estimating.building import Built
from service.estimating.explanation.sources import BRIEF, OWN_RECORD, price_book
from service.estimating.explanation.workings import Workings
from service.estimating.hours import seconds_per_balloon, speedup
from service.estimating.paths import kind_of

Inputs = dict[str, str]

_LABOUR = price_book("labour.crew", "labour.pair_speedup")
_ROAD = "geodesic on WGS 84: Karney 2013; " + price_book(
    "travel.road_factor", "travel.speed_mph", "travel.unknown_miles"
)


@dataclass(frozen=True, kw_only=True, slots=True)
class _Explained:
    """A task's formula, what goes into it, and where its rates stand.

    Each input is a product that ends in seconds; together they are one person's time.
    """

    formula: str
    inputs: Callable[[Workings, PriceBook], Inputs]
    source: str


def of_work(workings: Workings, book: PriceBook) -> Iterator[Reason]:
    """Every figure of the hours, the plan, the load and the way."""
    yield from _hours(workings, book)
    yield from _plan(workings, book)
    yield from _load(workings.load, book.car)
    yield _travel(workings.travel, workings.load.trips, book)


def _hours(workings: Workings, book: PriceBook) -> Iterator[Reason]:
    spent, jobs = workings.hours, workings.calibration.jobs
    yield Reason(
        figure="hours",
        value=f"{sum(spent.values()):.3f} h",
        formula="sum over tasks of seconds / 3600; a task that does not occur takes none",
        inputs={"crew": str(book.labour.crew), "jobs in the shop's record": str(jobs)},
        source=f"{_LABOUR}; {OWN_RECORD}" if jobs else _LABOUR,
    )
    factors = _of_crew(book.labour)
    for task, told in _TASKS.items():
        if spent[task.value]:
            yield Reason(
                figure=f"hours.{task.value}",
                value=f"{spent[task.value]:.3f} h",
                formula=told.formula,
                inputs=told.inputs(workings, book) | factors | _of_record(task, workings),
                source=told.source,
            )
    if spent[Task.DRIVE.value]:
        yield Reason(
            figure=f"hours.{Task.DRIVE.value}",
            value=f"{spent[Task.DRIVE.value]:.3f} h",
            formula="driving hours × crew",
            inputs={
                "driving": f"{workings.travel.drive_hours:.3f} h",
                "crew": str(book.labour.crew),
            }
            | _of_record(Task.DRIVE, workings),
            source=price_book("labour.crew", "travel.speed_mph"),
        )


def _of_crew(labour: Labour) -> Inputs:
    if labour.crew == 1:
        return {}
    share = labour.crew / speedup(labour.crew, labour.pair_speedup)
    return {f"crew of {labour.crew} / speed-up": f"× {share:.4f}"}


def _of_record(task: Task, workings: Workings) -> Inputs:
    calibration = workings.calibration
    if not calibration.jobs:
        return {}
    supports = {piece.support.value for piece in workings.brief.pieces}
    drives = task is Task.DRIVE
    belief = calibration.driving if drives else calibration.pace(task.value, supports)
    return {"the shop's own record": f"× {belief.factor:.4f}"}


def _inflating(workings: Workings, book: PriceBook) -> Inputs:
    counts: Counter[tuple[int, float]] = Counter()
    for each in workings.built:
        for size, number in each.made.sizes.items():
            counts[size, each.made.sized[size]] += each.piece.count * number
    hand = {size.size_class for size in book.sizes if size.by_hand}
    return {
        f"{size} in, sized {diameter:.3f} m": (
            f"{number} × {seconds_per_balloon(diameter, book.labour, by_hand=size in hand):.3f} s"
        )
        for (size, diameter), number in counts.items()
    }


def _tying(workings: Workings, book: PriceBook) -> Inputs:
    balloons = sum([line.placed for line in workings.spares])
    return {"balloons": f"{balloons} × {book.labour.tying_s:.3f} s"}


def _clustering(workings: Workings, book: PriceBook) -> Inputs:
    seconds = book.labour.seconds_per_cluster
    counts: Counter[str] = Counter()
    for piece in workings.pieces:
        counts.update(piece.clusters)
    return {
        kind.value.replace("_", " "): f"{counts[kind.value]} × {each:g} s"
        for kind, each in seconds.items()
        if counts[kind.value]
    }


def _line_build(workings: Workings, book: PriceBook) -> Inputs:
    labour, inputs = book.labour, {}
    for index, each in enumerate(workings.built):
        quads = each.piece.built_as is Build.QUADS
        metre_s = labour.quads_line_seconds_per_m if quads else labour.line_seconds_per_m
        length = f"{each.piece.count} × {each.made.garland_length_m:.3f} m"
        inputs[f"piece {index + 1}"] = f"{length} × {metre_s:.3f} s"
    return inputs


def _fitted(code_is_foils: bool) -> Callable[[Workings, PriceBook], Inputs]:
    def inputs(workings: Workings, _: PriceBook) -> Inputs:
        return {
            f"fittings[{index}], {each.label}": f"{each.count} × {each.seconds / each.count:.3f} s"
            for index, each in enumerate(workings.fittings)
            if each.seconds and (each.code == "foils") is code_is_foils
        }

    return inputs


def _filling(workings: Workings, book: PriceBook) -> Inputs:
    rates, inputs = book.helium, {}
    for index, each in enumerate(workings.brief.floating):
        extra = rates.treatment_seconds if each.treated else 0.0
        inputs[f"kind {index + 1}"] = f"{each.count} × {rates.seconds_each + extra:.3f} s"
    return inputs


def _loading(workings: Workings, book: PriceBook) -> Inputs:
    return {"car loads": f"{workings.load.car_loads} × {book.labour.load_seconds:.3f} s"}


def _installing(workings: Workings, book: PriceBook) -> Inputs:
    labour = book.labour
    piece_s, metre_s = labour.install_seconds_per_piece, labour.install_seconds_per_m
    return _at_the_support(workings, labour, piece_s, metre_s)


def _finishing(workings: Workings, book: PriceBook) -> Inputs:
    pieces = sum([piece.count for piece in workings.pieces])
    return {"pieces": f"{pieces} × {book.labour.finish_seconds_per_piece:.3f} s"}


def _striking(workings: Workings, book: PriceBook) -> Inputs:
    labour = book.labour
    piece_s, metre_s = labour.strike_seconds_per_piece, labour.strike_seconds_per_m
    if not workings.brief.client_keeps:
        return _at_the_support(workings, labour, piece_s, metre_s)
    return {
        f"stand of piece {index + 1}": f"{each.piece.count} × {piece_s:.3f} s"
        for index, each in enumerate(workings.built)
        if kind_of(each.piece.support).owned
    }


def _at_the_support(workings: Workings, labour: Labour, piece_s: float, metre_s: float) -> Inputs:
    return {
        f"piece {index + 1}": (
            f"{each.piece.count} × ({piece_s:.3f} s +"
            f" {each.made.garland_length_m:.3f} m × {metre_s:.3f} s){_ladder(each, labour)}"
        )
        for index, each in enumerate(workings.built)
    }


def _ladder(each: Built, labour: Labour) -> str:
    climbs = each.made.path.top_m > labour.ladder_above_m
    return f" × {labour.ladder_factor:g}" if climbs else ""


_TASKS: Mapping[Task, _Explained] = {
    Task.SIZING_AND_INFLATING: _Explained(
        formula="balloons × (handling + volume / flow of the pump)",
        inputs=_inflating,
        source=price_book(
            "labour.sizing_seconds",
            "labour.pump_litres_per_minute",
            "labour.hand_sizing_seconds",
            "labour.hand_pump_litres_per_minute",
            "sizes.by_hand",
        ),
    ),
    Task.TYING: _Explained(
        formula="balloons × 1 h / tied an hour",
        inputs=_tying,
        source=price_book("labour.tied_per_hour"),
    ),
    Task.CLUSTERING: _Explained(
        formula="clusters × time of each",
        inputs=_clustering,
        source=price_book("labour.seconds_per_cluster"),
    ),
    Task.LINE_BUILD: _Explained(
        formula="pieces × garland × time a metre",
        inputs=_line_build,
        source=price_book("labour.line_minutes_per_ft", "labour.quads_line_minutes_per_ft"),
    ),
    Task.FOILS: _Explained(
        formula="foils × time of each",
        inputs=_fitted(True),
        source=price_book("foils.digit.minutes", "foils.letter.minutes", "foils.shape.minutes"),
    ),
    Task.ACCENTS: _Explained(
        formula="accents and covers × time of each",
        inputs=_fitted(False),
        source=price_book("accents", "covers.minutes"),
    ),
    Task.HELIUM: _Explained(
        formula="balloons that float × (time of each + time of the treatment)",
        inputs=_filling,
        source=price_book("helium.minutes_each", "helium.treatment_minutes"),
    ),
    Task.LOAD: _Explained(
        formula="car loads × time of each",
        inputs=_loading,
        source=price_book("labour.load_minutes"),
    ),
    Task.INSTALL: _Explained(
        formula="pieces × (time a piece + garland × time a metre), more from a ladder",
        inputs=_installing,
        source=price_book(
            "labour.install_minutes_per_piece",
            "labour.install_minutes_per_ft",
            "labour.ladder_factor",
            "labour.ladder_above_ft",
        ),
    ),
    Task.FINISH: _Explained(
        formula="pieces × time a piece",
        inputs=_finishing,
        source=price_book("labour.finish_minutes_per_piece"),
    ),
    Task.STRIKE: _Explained(
        formula=(
            "pieces × (time a piece + garland × time a metre), more from a ladder; where the client"
            " keeps the balloons, stands only"
        ),
        inputs=_striking,
        source=price_book(
            "labour.strike_minutes_per_piece",
            "labour.strike_minutes_per_ft",
            "labour.ladder_factor",
            "labour.ladder_above_ft",
        ),
    ),
}
"""Every task but the drive, in the order in which the work is done."""


def _plan(workings: Workings, book: PriceBook) -> Iterator[Reason]:
    yield from _at_the_bench(workings, book)
    yield from _at_the_site(workings, book)


def _at_the_bench(workings: Workings, book: PriceBook) -> Iterator[Reason]:
    plan = workings.plan
    yield Reason(
        figure="plan.crew",
        value=str(plan.crew),
        formula="as the shop works",
        inputs={},
        source=price_book("labour.crew"),
    )
    yield Reason(
        figure="plan.bench_h",
        value=f"{plan.bench_h:.3f} h",
        formula="hours of inflating, tying, clustering, line, foils and accents / crew",
        inputs={},
        source="hours",
    )
    yield Reason(
        figure="plan.ahead_h",
        value=f"{plan.ahead_h:g} h",
        formula="how long the shortest-lived size in the garland keeps, there",
        inputs={},
        source=price_book("sizes.keeps_indoors_hours", "sizes.keeps_outdoors_hours"),
    )
    yield Reason(
        figure="plan.helium_h",
        value=f"{plan.helium_h:.3f} h",
        formula="hours of filling with helium / crew",
        inputs={},
        source="hours",
    )
    if plan.helium_ahead_h is not None:
        yield Reason(
            figure="plan.helium_ahead_h",
            value=f"{plan.helium_ahead_h:g} h",
            formula="on the day: three hours, or less where a kind surely floats for less",
            inputs={},
            source="“The science of balloons”, sciences360, and pages of cylinder hire",
        )


def _at_the_site(workings: Workings, book: PriceBook) -> Iterator[Reason]:
    plan, labour, load = workings.plan, book.labour, workings.load
    one_way = f"{workings.travel.drive_hours / (2 * load.trips):.3f} h"
    set_up, arrive = f"{plan.set_up_h:.3f} h", f"{plan.arrive_before_h:.3f} h"
    yield Reason(
        figure="plan.set_up_h",
        value=set_up,
        formula="hours of installing and finishing / crew",
        inputs={},
        source="hours",
    )
    yield Reason(
        figure="plan.arrive_before_h",
        value=arrive,
        formula="set-up + 2 × drive × further car loads + ready before",
        inputs={
            "set-up": set_up,
            "drive": one_way,
            "further car loads": str(load.car_loads - 1),
            "ready before": f"{labour.ready_before.total_seconds() / 3600:.3f} h",
        },
        source=price_book("labour.ready_before_minutes"),
    )
    yield Reason(
        figure="plan.leave_before_h",
        value=f"{plan.leave_before_h:.3f} h",
        formula="there before + drive + slack",
        inputs={
            "there before": arrive,
            "drive": one_way,
            "slack": f"{labour.slack.total_seconds() / 3600:.3f} h",
        },
        source=price_book("labour.slack_minutes"),
    )
    yield Reason(
        figure="plan.strike_h",
        value=f"{plan.strike_h:.3f} h",
        formula="hours of striking / crew",
        inputs={},
        source="hours",
    )


def _load(load: Load, car: Car) -> Iterator[Reason]:
    air, packing = f"{load.inflated_volume_m3:.3f} m³", f"{car.packing_fraction:g}"
    yield Reason(
        figure="load.inflated_volume_m3",
        value=air,
        formula="sum over balloons of π d³ / 6",
        inputs={},
        source="volume of a sphere; diameters as sized",
    )
    yield Reason(
        figure="load.bags",
        value=str(load.bags),
        formula="air / packing / bag, rounded up",
        inputs={"air": air, "packing": packing, "bag": f"{car.bag_m3:.3f} m³"},
        source=price_book("car.bag_ft3", "car.packing_fraction"),
    )
    yield Reason(
        figure="load.car_loads",
        value=str(load.car_loads),
        formula="air / packing / space in the car, rounded up, at least 1",
        inputs={"air": air, "packing": packing, "space": f"{car.usable_m3:.3f} m³"},
        source=price_book("car.usable_ft3", "car.packing_fraction"),
    )
    yield Reason(
        figure="load.trips",
        value=str(load.trips),
        formula="car loads, and one more where the shop comes back to take down or to fetch",
        inputs={"car loads": str(load.car_loads)},
        source=BRIEF,
    )


def _travel(way: Travel, trips: int, book: PriceBook) -> Reason:
    rates, one_way_m = book.travel, way.distance_m
    if one_way_m is None:
        one_way = f"not known, {rates.unknown_distance_m / 1000:.3f} km taken"
    else:
        one_way = f"{one_way_m / 1000:.3f} km"
    return Reason(
        figure="travel",
        value=f"{way.drive_hours:.3f} h",
        formula="geodesic × road factor, there and back for each trip, / speed",
        inputs={
            "road one way": one_way,
            "road factor": f"{rates.road_factor:g}",
            "trips": str(trips),
            "speed": f"{rates.speed_m_s * 3.6:.3f} km/h",
        },
        source=_ROAD,
    )
