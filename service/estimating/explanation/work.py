"""Time by the clock, the load and the way."""

from collections.abc import Iterator

from service.estimating.answer import Load, Reason, Travel
from service.estimating.book import Car, Labour, PriceBook, Task
from service.estimating.explanation.sources import BRIEF, price_book
from service.estimating.explanation.workings import Workings

_PLAN = "hours; " + price_book("labour.crew", "labour.ready_before_minutes", "labour.slack_minutes")
_PLANNED = (
    "bench, set-up with helium, and strike: hours of their tasks / crew; unloading: half of the"
    " load's; there before: set-up + unloading + 2 × drive × further car loads + ready before;"
    " left before: there before + drive + slack"
)
_KEEPS = price_book("sizes.keeps_indoors_hours", "sizes.keeps_outdoors_hours")
_BAGS = price_book("car.bag_ft3", "car.packing_fraction")
_CAR = price_book("car.usable_ft3", "car.packing_fraction")
_ROAD = "geodesic on WGS 84: Karney 2013; " + price_book(
    *("travel.road_factor", "travel.speed_mph", "travel.town_miles"),
    *("travel.far_speed_mph", "travel.unknown_miles"),
)


def of_work(workings: Workings, book: PriceBook) -> Iterator[Reason]:
    """Every figure of the plan, the load and the way."""
    yield from _plan(workings, book.labour)
    yield from _load(workings.load, book.car)
    yield _travel(workings.travel, workings.load.trips, book)


def _plan(workings: Workings, labour: Labour) -> Iterator[Reason]:
    plan, load = workings.plan, workings.load
    yield Reason(
        figure="plan",
        value=f"there {plan.arrive_before_h:.3f} h before, left {plan.leave_before_h:.3f} h before",
        formula=_PLANNED,
        inputs={
            "crew": str(plan.crew),
            "bench": f"{plan.bench_h:.3f} h",
            "helium": f"{plan.helium_h:.3f} h",
            "set-up": f"{plan.set_up_h:.3f} h",
            "unloading": f"{workings.hours[Task.LOAD.value] / plan.crew / 2:.3f} h",
            "strike": f"{plan.strike_h:.3f} h",
            "further car loads": str(load.car_loads - 1),
            "drive": f"{workings.travel.drive_hours / (2 * load.trips):.3f} h",
            "ready before": f"{labour.ready_before.total_seconds() / 3600:.3f} h",
            "slack": f"{labour.slack.total_seconds() / 3600:.3f} h",
        },
        source=_PLAN,
    )
    yield Reason(
        figure="plan.ahead_h",
        value=f"{plan.ahead_h:g} h",
        formula="how long the shortest-lived size in the garland keeps, there",
        inputs={},
        source=_KEEPS,
    )
    if plan.helium_ahead_h is not None:
        yield Reason(
            figure="plan.helium_ahead_h",
            value=f"{plan.helium_ahead_h:g} h",
            formula="on the day: three hours, or less where a kind surely floats for less",
            inputs={},
            source="“The science of balloons”, sciences360, and pages of cylinder hire",
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
        source=_BAGS,
    )
    yield Reason(
        figure="load.car_loads",
        value=str(load.car_loads),
        formula="air / packing / space in the car, rounded up, at least 1",
        inputs={"air": air, "packing": packing, "space": f"{car.usable_m3:.3f} m³"},
        source=_CAR,
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
        formula="geodesic × road factor, there and back for each trip, / speed in town and beyond",
        inputs={
            "road one way": one_way,
            "road factor": f"{rates.road_factor:g}",
            "trips": str(trips),
            "speed": f"{rates.speed_m_s * 3.6:.3f} km/h",
            "in town up to": f"{rates.town_m / 1000:.3f} km",
            "speed beyond": f"{rates.far_speed_m_s * 3.6:.3f} km/h",
        },
        source=_ROAD,
    )
