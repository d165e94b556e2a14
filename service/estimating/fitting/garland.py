"""A garland as its fittings see it, and places on it in words for a maker."""

from dataclasses import dataclass

from service.estimating.fitting.words import feet
from service.estimating.paths import Path, Run

_LEVEL_M = 0.05
"""Two points this close in height or across are taken as level or in line: a hand's width."""


_STEP_M = 0.02
_SEEN_M = 0.2
"""A level stretch no longer than that carries no foils: a small balloon's width."""


@dataclass(frozen=True, kw_only=True, slots=True)
class Garland:
    """One such piece: the stretches of its path that carry garland, its line and its balloons.

    `line_m` [m] is cut or knotted from `line_lengths` pieces with `line_joins` joins; `points`
    hold it.
    """

    path: Path
    runs: tuple[Run, ...]
    line_m: float
    line_lengths: int
    line_joins: int
    points: int
    balloons: int

    @property
    def length_m(self) -> float:
        """All stretches together [m]."""
        return sum(run.length_m for run in self.runs)


def crown(garland: Garland) -> str:
    """Where what is looked at first goes: on top of what rises, else at the middle."""
    if rises_straight(garland):
        return "at the top"
    top_at = _level_top(garland)
    if top_at is None:
        return middle(garland)
    walked = feet(top_at - main_run(garland).start_m)
    return f"at the top of the garland, {walked} from its {_start_of(garland)}"


def crown_at(garland: Garland) -> float:
    """How far along the path the crown is [m]."""
    if rises_straight(garland):
        return main_run(garland).end_m
    top_at = _level_top(garland)
    return middle_at(garland) if top_at is None else top_at


def _level_top(garland: Garland) -> float | None:
    """The middle of what lies level at the top, where the middle of the garland is steep [m]."""
    run, at = main_run(garland), garland.path.at
    half = run.start_m + run.length_m / 2
    before, after = at(half - _STEP_M), at(half + _STEP_M)
    if abs(after.y - before.y) <= abs(after.x - before.x):
        return None
    steps = (run.start_m + i * _STEP_M for i in range(int(run.length_m / _STEP_M) + 1))
    level = [each for each in steps if at(each).y > garland.path.top_m - _STEP_M]
    if len(level) * _STEP_M < _SEEN_M:
        return None
    ends_level = run.end_m - level[-1] < _STEP_M
    return (level[0] + (run.end_m if ends_level else level[-1])) / 2


def rises_straight(garland: Garland) -> bool:
    """Whether its middle stretch goes straight up."""
    run = main_run(garland)
    start, end = garland.path.at(run.start_m), garland.path.at(run.end_m)
    rises = end.y - start.y > _LEVEL_M
    return rises and abs(end.x - start.x) < _LEVEL_M and abs(end.z - start.z) < _LEVEL_M


def middle(garland: Garland) -> str:
    """The middle of the garland: by its looks where it is the top, else by its distance."""
    run = main_run(garland)
    at = garland.path.at
    start, half, end = at(run.start_m), at(run.start_m + run.length_m / 2), at(run.end_m)
    between = abs(half.x - (start.x + end.x) / 2) < _LEVEL_M
    highest = half.y > max(start.y, end.y) + _LEVEL_M and half.y > garland.path.top_m - _LEVEL_M
    if between and highest:
        return "at the top, in the middle"
    stretch = "the garland"
    if len(garland.runs) > 1:
        stretch = f"stretch {garland.runs.index(run) + 1} of {len(garland.runs)}"
    return f"at the middle of {stretch}, {feet(run.length_m / 2)} from its {_start_of(garland)}"


def middle_at(garland: Garland) -> float:
    """How far along the path the middle of the garland is [m]."""
    run = main_run(garland)
    return run.start_m + run.length_m / 2


def spread(garland: Garland, number: int, shift: float) -> str:
    """`number` of something spread evenly: the distance between them and that of the first.

    `shift` is how far into its part of the garland each sits, as a fraction of that part, so
    that two kinds with different shifts do not meet.
    """
    step_m = garland.length_m / number
    first = f"{feet(step_m * shift)} from its {_start_of(garland)}"
    if number == 1:
        return f"on the garland, {first}"
    across = ", counted on from one stretch to the next" if len(garland.runs) > 1 else ""
    return f"spread evenly along the garland: one every {feet(step_m)}, the first {first}{across}"


def spread_at(garland: Garland, number: int, shift: float) -> tuple[float, ...]:
    """How far along the path each of what `spread` tells of is [m]."""
    step_m = garland.length_m / number
    return tuple(_along_path(garland, step_m * (index + shift)) for index in range(number))


def _along_path(garland: Garland, along_m: float) -> float:
    for run in garland.runs:
        if along_m <= run.length_m:
            return run.start_m + along_m
        along_m -= run.length_m
    return garland.runs[-1].end_m


def main_run(garland: Garland) -> Run:
    """The longest stretch; of several alike the middle one."""
    longest = max(run.length_m for run in garland.runs)
    alike = [run for run in garland.runs if run.length_m > longest - _LEVEL_M]
    return alike[len(alike) // 2]


def _start_of(garland: Garland) -> str:
    start = garland.path.at(garland.runs[0].start_m)
    end = garland.path.at(garland.runs[-1].end_m)
    if end.y - start.y > _LEVEL_M:
        return "lower end"
    # Round a closed path, and where it comes back to where it began, neither end is the left one.
    return "left end" if end.x - start.x > _LEVEL_M else "start"
