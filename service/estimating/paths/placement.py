"""Which part of a path carries garland."""

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from enum import StrEnum

from service.estimating.paths.curves import Path


class Placement(StrEnum):
    """Where along its support a garland lies."""

    WHOLE = "whole"
    ONE_SIDE = "one_side"
    CENTRED = "centred"
    CORNER_TO_CORNER = "corner_to_corner"
    ASYMMETRIC = "asymmetric"

    @property
    def words(self) -> str:
        """The name as people say it."""
        return self.value.replace("_", " ")


@dataclass(frozen=True, kw_only=True, slots=True)
class Run:
    """A stretch of garland: where it starts along the path and how long it is [m].

    `closed` where it goes all the way round and ends at its own start.
    """

    start_m: float
    length_m: float
    closed: bool = False

    @property
    def end_m(self) -> float:
        """Where it ends along the path [m], to the last digit or so."""
        return self.start_m + self.length_m


_USUAL: Mapping[Placement, float] = {
    Placement.WHOLE: 1.0,
    Placement.ONE_SIDE: 0.5,
    Placement.CENTRED: 0.5,
    Placement.ASYMMETRIC: 0.7,
}
"""Share of the path that is covered where nobody says. Common practice, no source."""

_LOWER_LEFT = 1 / 8
"""Where a garland on a hoop begins, round from its lowest point. Common practice, no source."""

_LONG_SHARE = 2 / 3
"""Of two unequal runs the long one is twice the short. Common practice, no source."""


def usual_coverage(path: Path, placement: Placement) -> float:
    """The share of `path` that is covered where nobody says: from start to far corner, or so.

    A path without corners is covered whole from corner to corner: its ends are its corners.
    """
    if placement is not Placement.CORNER_TO_CORNER:
        return _USUAL[placement]
    return min(1.0, path.corners_m[-1] / path.length_m) if path.corners_m else 1.0


def runs(
    path: Path, coverage: float | None = None, placement: Placement = Placement.WHOLE
) -> tuple[Run, ...]:
    """The stretches of `path` that carry garland, in order; together coverage times its length.

    Rows, as under a ceiling, are covered alike.

    `coverage` is a share above 0 and up to 1, the usual one where it is None; ValueError for any
    other. Less than the whole, where no placement says which part, is from the start on. No run
    crosses a break of the path.
    """
    share = usual_coverage(path, placement) if coverage is None else coverage
    if not 0 < share <= 1:
        raise ValueError(f"coverage {share:g}: give a share above 0 and up to 1")
    if share == 1 and not path.breaks_m:
        return (Run(start_m=0.0, length_m=path.length_m, closed=path.closed),)
    if not path.breaks_m:
        return _LAID[placement](path, path.length_m * share)
    return tuple(_row_by_row(path, share, placement))


def _row_by_row(path: Path, share: float, placement: Placement) -> Iterator[Run]:
    # Each row under a ceiling is covered alike: cut as one long path they would not match.
    start = 0.0
    for curve in path.curves:
        row = Path(curves=(curve,), top_m=path.top_m)
        for run in runs(row, share, placement):
            yield Run(start_m=start + run.start_m, length_m=run.length_m)
        start += row.length_m


def _from_start(path: Path, covered_m: float) -> tuple[Run, ...]:
    return (Run(start_m=_begin(path, path.length_m - covered_m), length_m=covered_m),)


def _in_the_middle(path: Path, covered_m: float) -> tuple[Run, ...]:
    return (Run(start_m=(path.length_m - covered_m) / 2, length_m=covered_m),)


def _from_both_ends(path: Path, covered_m: float) -> tuple[Run, ...]:
    long = covered_m * _LONG_SHARE
    short = covered_m - long
    bare = path.length_m - covered_m
    if path.closed:
        # Two runs round a hoop face each other, with the same gap on either side.
        begin, bare = _begin(path, bare / 2), bare / 2
    else:
        begin = 0.0
    return (
        Run(start_m=begin, length_m=long),
        Run(start_m=begin + long + bare, length_m=short),
    )


def _begin(path: Path, bare_m: float) -> float:
    # Where hardly anything is bare, the start moves down so that the end stays on the path.
    return min(path.length_m * _LOWER_LEFT, bare_m) if path.closed else 0.0


_LAID: Mapping[Placement, Callable[[Path, float], tuple[Run, ...]]] = {
    Placement.WHOLE: _from_start,
    Placement.ONE_SIDE: _from_start,
    Placement.CENTRED: _in_the_middle,
    Placement.CORNER_TO_CORNER: _from_start,
    Placement.ASYMMETRIC: _from_both_ends,
}
