from collections.abc import Mapping
from dataclasses import replace
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.estimating import PriceBook, Task
from service.estimating.answer import Fitting
from service.estimating.balloons import sphere_volume
from service.estimating.book import Cluster, Labour
from service.estimating.hours import Work, hours, seconds_per_balloon, speedup


@pytest.fixture
def labour(book: PriceBook) -> Labour:
    """Round figures: every sum can be done in the head."""
    return replace(
        book.labour,
        crew=1,
        pair_speedup=1.6,
        sizing_s=6.0,
        hand_sizing_s=10.0,
        pump_m3_s=0.005,
        hand_pump_m3_s=0.0005,
        tying_s=4.5,
        seconds_per_cluster=dict.fromkeys(Cluster, 20.0),
        line_seconds_per_m=300.0,
        quads_line_seconds_per_m=80.0,
        load_seconds=1500.0,
        install_seconds_per_piece=1200.0,
        install_seconds_per_m=400.0,
        ladder_factor=1.5,
        ladder_above_m=2.4,
        finish_seconds_per_piece=900.0,
        strike_seconds_per_piece=600.0,
        strike_seconds_per_m=150.0,
    )


def work(**changed: object) -> Work:
    given = {
        "count": 1,
        "garland_m": 4.0,
        "top_m": 2.1,
        "sizes": {10: 40, 5: 20},
        "sized": {10: 0.24, 5: 0.115},
        "clusters": {Cluster.QUAD: 10, Cluster.MINI_QUAD: 5},
        "on_hardware": True,
    }
    return Work(**{**given, **changed})  # type: ignore[arg-type]


def fitting(code: str, seconds: float) -> Fitting:
    return Fitting(
        code=code,
        label=code,
        piece=0,
        count=1,
        unit="piece",
        unit_cost=Decimal(1),
        cost=Decimal(1),
        seconds=seconds,
        place="",
        mount="",
    )


def spent(
    labour: Labour,
    *works: Work,
    fittings: tuple[Fitting, ...] = (),
    by_hand: frozenset[int] = frozenset({5}),
    car_loads: int = 1,
    drive_hours: float = 0.5,
    helium_s: float = 0.0,
    strikes: bool = True,
) -> Mapping[str, float]:
    return hours(
        works,
        fittings,
        labour,
        by_hand=by_hand,
        car_loads=car_loads,
        drive_hours=drive_hours,
        helium_s=helium_s,
        strikes=strikes,
    )


def test_a_balloon_takes_its_handling_and_its_air(labour: Labour) -> None:
    # A sphere of 0.24 m holds 7.24 l: 1.45 s at 5 l/s, 14.5 s at half a litre a second.
    litres = 1000 * sphere_volume(0.24)
    assert litres == pytest.approx(7.238, abs=1e-3)
    assert seconds_per_balloon(0.24, labour, by_hand=False) == pytest.approx(6 + litres / 5)
    assert seconds_per_balloon(0.24, labour, by_hand=True) == pytest.approx(10 + litres / 0.5)


def test_every_task_is_its_quantity_times_its_rate(labour: Labour) -> None:
    found = spent(labour, work())
    at_pump = 40 * (6 + 1000 * sphere_volume(0.24) / 5)
    by_hand = 20 * (10 + 1000 * sphere_volume(0.115) / 0.5)
    assert {task: 3600 * time for task, time in found.items()} == pytest.approx(
        {
            "sizing_and_inflating": at_pump + by_hand,
            "tying": 60 * 4.5,
            "clustering": 15 * 20,
            "line_build": 4 * 300,
            "foils": 0,
            "accents": 0,
            "helium": 0,
            "load": 1500,
            "drive": 1800,
            "install": 1200 + 4 * 400,
            "finish": 900,
            "strike": 600 + 4 * 150,
        }
    )


def test_foils_and_accents_take_the_time_of_their_fittings(labour: Labour) -> None:
    each = (fitting("foils", 720), fitting("accents", 300), fitting("covers", 360))
    found = spent(labour, work(), fittings=each)
    assert found[Task.FOILS] == pytest.approx(0.2)
    assert found[Task.ACCENTS] == pytest.approx(660 / 3600)


def test_helium_is_filled_besides(labour: Labour) -> None:
    with_helium = spent(labour, work(), helium_s=1800)[Task.HELIUM]
    assert spent(labour, work())[Task.HELIUM] == 0
    assert with_helium == pytest.approx(0.5)


def test_what_is_out_of_reach_takes_longer_to_put_up_and_to_strike(labour: Labour) -> None:
    low, high = spent(labour, work(top_m=2.4)), spent(labour, work(top_m=2.5))
    slower = {task for task in low if high[task] > low[task]}
    assert slower == {Task.INSTALL, Task.STRIKE}
    assert high[Task.INSTALL] == pytest.approx(1.5 * low[Task.INSTALL])


def test_what_the_client_keeps_is_not_struck_but_its_stands_are_fetched(labour: Labour) -> None:
    stood, hung = work(count=2, top_m=3.0), work(on_hardware=False)
    # Two stands at ten minutes each; no ladder, since no balloon is taken down.
    assert spent(labour, stood, hung, strikes=False)[Task.STRIKE] == pytest.approx(20 / 60)
    assert spent(labour, hung, strikes=False)[Task.STRIKE] == 0


def test_every_doubling_of_the_crew_gains_as_much_as_the_first() -> None:
    assert [speedup(n, 1.6) for n in (1, 2, 4)] == pytest.approx([1, 1.6, 1.6**2])
    # Three: 3^(log2 1.6) = e^(1.0986 * 0.6781) = 2.106.
    assert speedup(3, 1.6) == pytest.approx(2.106, abs=0.001)


def test_two_share_the_work_and_both_ride(labour: Labour) -> None:
    alone = spent(labour, work(), car_loads=2)
    pair = spent(replace(labour, crew=2), work(), car_loads=2)
    assert pair[Task.DRIVE] == 2 * alone[Task.DRIVE]
    for task in set(alone) - {Task.DRIVE.value}:
        # Each of the two is at it for 1 / 1.6 of the time that one alone would be.
        assert pair[task] == pytest.approx(alone[task] * 2 / 1.6)


@given(
    count=st.integers(1, 5),
    balloons=st.integers(1, 500),
    more=st.integers(0, 100),
    crew=st.integers(1, 6),
)
def test_more_balloons_and_pieces_never_take_less_time(
    book: PriceBook, count: int, balloons: int, more: int, crew: int
) -> None:
    rates = replace(book.labour, crew=crew)
    fewer = spent(rates, work(count=count, sizes={10: balloons}))
    larger = spent(rates, work(count=count + 1, sizes={10: balloons + more}))
    assert all(larger[task] >= fewer[task] for task in fewer)
    assert list(fewer) == [task.value for task in Task]


@given(crew=st.integers(1, 8))
def test_a_larger_crew_is_sooner_done_and_costs_more_hours(book: PriceBook, crew: int) -> None:
    some = spent(replace(book.labour, crew=crew), work())
    more = spent(replace(book.labour, crew=crew + 1), work())
    for task in some.keys() - {"foils", "accents", "helium", "drive"}:
        assert more[task] > some[task]
        assert more[task] / (crew + 1) < some[task] / crew
