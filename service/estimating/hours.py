"""Hours by task, from the price book's rates."""

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from service.estimating.answer import Fitting
from service.estimating.balloons import sphere_volume
from service.estimating.book import Cluster, Labour, Task

_TASKS = tuple((task, task.value) for task in Task)
_SECONDS_PER_HOUR = 3600


@dataclass(frozen=True, kw_only=True, slots=True)
class Work:
    """One kind of piece as work: `count` pieces; lengths [m] and counts of one of them.

    `sizes` are its balloons by size class [in] and `sized` their diameters [m]; `on_hardware`
    says that it stands on something that has to be fetched again.
    """

    count: int
    garland_m: float
    top_m: float
    sizes: Mapping[int, int]
    sized: Mapping[int, float]
    clusters: Mapping[Cluster, int]
    on_hardware: bool
    quads: bool = False


def speedup(crew: int, pair_speedup: float) -> float:
    """How much faster `crew` people are than one: n^(log2 s), where two are s times as fast.

    Each doubling of the crew gains as much as the first one did. Derived; that a pair makes 500
    balloons an hour and one person 300 is published ("Balloon arch: how many people").
    """
    return float(crew ** math.log2(pair_speedup))


def seconds_per_balloon(diameter_m: float, labour: Labour, *, by_hand: bool) -> float:
    """Time [s] to size and inflate one balloon to `diameter_m` [m]: handling + volume / flow."""
    volume = sphere_volume(diameter_m)
    if by_hand:
        return labour.hand_sizing_s + volume / labour.hand_pump_m3_s
    return labour.sizing_s + volume / labour.pump_m3_s


def hours(
    works: Iterable[Work],
    fittings: Iterable[Fitting],
    labour: Labour,
    *,
    by_hand: frozenset[int],
    car_loads: int,
    drive_hours: float,
    helium_s: float = 0.0,
    strikes: bool = True,
) -> Mapping[str, float]:
    """Person-hours of the whole crew by task.

    `by_hand` are the size classes [in] that a hand pump fills, `drive_hours` how long the car
    drives [h], `helium_s` one person's time at the cylinder [s]. Where the client keeps the
    balloons, nothing `strikes` and only the hardware is picked up. What is shared takes the crew
    1/speedup of one person's time, of each of them; all of them ride in the car.
    """
    alone = {task: 0.0 for task, _ in _TASKS}
    alone[Task.HELIUM] = helium_s
    for work in works:
        for task, seconds in _made(work, labour, by_hand).items():
            alone[task] += seconds
        alone[Task.STRIKE] += work.count * _strike(work, labour, strikes=strikes)
    for fitting in fittings:
        task = Task.FOILS if fitting.code == "foils" else Task.ACCENTS
        alone[task] += fitting.seconds
    alone[Task.LOAD] = car_loads * labour.load_seconds
    share = labour.crew / speedup(labour.crew, labour.pair_speedup) / _SECONDS_PER_HOUR
    spent = {name: alone[task] * share for task, name in _TASKS}
    spent[Task.DRIVE] = drive_hours * labour.crew
    return spent


def _made(work: Work, labour: Labour, by_hand: frozenset[int]) -> Mapping[Task, float]:
    inflating = sum(
        n * seconds_per_balloon(work.sized[size], labour, by_hand=size in by_hand)
        for size, n in work.sizes.items()
    )
    clustering = sum(n * labour.seconds_per_cluster[kind] for kind, n in work.clusters.items())
    install = labour.install_seconds_per_piece + labour.install_seconds_per_m * work.garland_m
    return {
        Task.SIZING_AND_INFLATING: work.count * inflating,
        Task.TYING: work.count * sum(work.sizes.values()) * labour.tying_s,
        Task.CLUSTERING: work.count * clustering,
        Task.LINE_BUILD: work.count * work.garland_m * _line_seconds_per_m(work, labour),
        Task.INSTALL: work.count * install * _reach(work, labour),
        Task.FINISH: work.count * labour.finish_seconds_per_piece,
    }


def _line_seconds_per_m(work: Work, labour: Labour) -> float:
    # Quads snap round the line and nest by themselves; a mixed garland is turned and filled.
    return labour.quads_line_seconds_per_m if work.quads else labour.line_seconds_per_m


def _strike(work: Work, labour: Labour, *, strikes: bool) -> float:
    if not strikes:
        return labour.strike_seconds_per_piece if work.on_hardware else 0.0
    down = labour.strike_seconds_per_piece + labour.strike_seconds_per_m * work.garland_m
    return down * _reach(work, labour)


def _reach(work: Work, labour: Labour) -> float:
    # Every reach from a ladder is a climb, a shift and a climb down.
    return labour.ladder_factor if work.top_m > labour.ladder_above_m else 1.0
