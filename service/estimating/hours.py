"""Hours by task, from the price book's rates."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from service.estimating.answer import Load, Travel
from service.estimating.book import Cluster, Labour, Task
from service.estimating.foils import FoilCount


@dataclass(frozen=True, kw_only=True, slots=True)
class Work:
    """One kind of piece as work: `count` pieces; lengths [m] and counts of one of them."""

    count: int
    garland_m: float
    top_m: float
    balloons: int
    clusters: Mapping[Cluster, int]


def hours(
    works: Iterable[Work],
    foils: Iterable[FoilCount],
    load: Load,
    travel: Travel,
    labour: Labour,
) -> Mapping[str, float]:
    """Hours of one person by task; what is made, then what is moved."""
    made = [_made(work, labour) for work in works]
    by_task = {task: sum(each.get(task, 0.0) for each in made) for task in Task}
    by_task[Task.FOILS] = sum(foil.count * foil.kind.seconds for foil in foils) / 3600
    by_task[Task.LOAD] = load.car_loads * labour.load_seconds / 3600
    by_task[Task.DRIVE] = travel.drive_hours
    return {task.value: value for task, value in by_task.items()}


def _made(work: Work, labour: Labour) -> Mapping[Task, float]:
    clustering = sum(n * labour.seconds_per_cluster[kind] for kind, n in work.clusters.items())
    install = labour.install_seconds_per_piece + labour.install_seconds_per_m * work.garland_m
    strike = labour.strike_seconds_per_piece + labour.strike_seconds_per_m * work.garland_m
    # Every reach from a ladder is a climb, a shift and a climb down.
    reach = labour.ladder_factor if work.top_m > labour.ladder_above_m else 1.0
    balloons = work.count * work.balloons
    return {
        Task.SIZING_AND_INFLATING: balloons / labour.inflated_per_hour,
        Task.TYING: balloons / labour.tied_per_hour,
        Task.CLUSTERING: work.count * clustering / 3600,
        Task.LINE_BUILD: work.count * work.garland_m * labour.line_seconds_per_m / 3600,
        Task.INSTALL: work.count * install * reach / 3600,
        Task.FINISH: work.count * labour.finish_seconds_per_piece / 3600,
        Task.STRIKE: work.count * strike * reach / 3600,
    }
