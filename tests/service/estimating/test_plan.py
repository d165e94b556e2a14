import datetime as dt
from dataclasses import replace

import pytest

from service.estimating import PriceBook, Task
from service.estimating.answer import FloatLine, Plan
from service.estimating.book import Labour, SizeClass
from service.estimating.plan import helium_ahead_h, plan

SPENT = {
    Task.SIZING_AND_INFLATING: 2.0,
    Task.TYING: 1.0,
    Task.CLUSTERING: 1.0,
    Task.LINE_BUILD: 1.5,
    Task.FOILS: 0.3,
    Task.ACCENTS: 0.2,
    Task.HELIUM: 0.0,
    Task.LOAD: 0.4,
    Task.DRIVE: 1.6,
    Task.INSTALL: 1.5,
    Task.FINISH: 0.5,
    Task.STRIKE: 0.8,
}


@pytest.fixture
def labour(book: PriceBook) -> Labour:
    return replace(
        book.labour,
        crew=1,
        ready_before=dt.timedelta(minutes=30),
        slack=dt.timedelta(minutes=15),
    )


def size(size_class: int, indoors_h: float, outdoors_h: float) -> SizeClass:
    return SizeClass(
        size_class=size_class,
        sized_indoors_m=0.2,
        sized_outdoors_m=0.2,
        breakage=0.02,
        by_hand=False,
        keeps_indoors_s=indoors_h * 3600,
        keeps_outdoors_s=outdoors_h * 3600,
    )


def planned(labour: Labour, *, outdoors: bool = False, car_loads: int = 1) -> Plan:
    return plan(
        {task.value: hours for task, hours in SPENT.items()},
        labour,
        sizes=(size(5, 48, 12), size(10, 72, 24)),
        outdoors=outdoors,
        car_loads=car_loads,
        one_way_h=0.4,
    )


def test_the_bench_ends_where_the_site_begins(labour: Labour) -> None:
    found = planned(labour)
    # 2 + 1 + 1 + 1.5 + 0.3 + 0.2 at the bench; 1.5 + 0.5 at the site; 0.8 to strike.
    assert found.bench_h == pytest.approx(6.0)
    assert found.set_up_h == pytest.approx(2.0)
    assert found.strike_h == pytest.approx(0.8)


def test_the_crew_arrives_to_be_ready_and_leaves_with_slack(labour: Labour) -> None:
    found = planned(labour)
    # Two hours to set up, 0.2 to unload, half an hour to spare; 0.4 h of road and a quarter.
    assert found.arrive_before_h == pytest.approx(2.7)
    assert found.leave_before_h == pytest.approx(2.7 + 0.4 + 0.25)


def test_two_are_at_it_for_half_of_their_person_hours(labour: Labour) -> None:
    found = planned(replace(labour, crew=2))
    assert found.crew == 2
    assert (found.bench_h, found.set_up_h, found.strike_h) == pytest.approx((3.0, 1.0, 0.4))


def test_every_further_car_load_is_fetched_before_the_event(labour: Labour) -> None:
    # Two more loads, each there and back over 0.4 h of road.
    assert planned(labour, car_loads=3).arrive_before_h == pytest.approx(2.7 + 2 * 0.8)


def test_the_shortest_lived_size_says_how_long_ahead(labour: Labour) -> None:
    assert planned(labour).ahead_h == 48
    assert planned(labour, outdoors=True).ahead_h == 12


def afloat(low_h: float) -> FloatLine:
    return FloatLine(
        kind="latex",
        size_class=11,
        count=10,
        gas_m3=0.1,
        net_lift_kg=0.01,
        weight_kg=0.2,
        float_low_h=low_h,
        float_high_h=2 * low_h,
    )


def test_helium_is_filled_on_the_day() -> None:
    assert helium_ahead_h([afloat(8), afloat(48)]) == 3
    assert helium_ahead_h([afloat(8), afloat(2)]) == 2
