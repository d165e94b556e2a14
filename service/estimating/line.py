"""The line that clusters are tied to, and the points where it is held."""

import math
from collections.abc import Iterable
from dataclasses import dataclass

from service.estimating.book import LineAndFixings
from service.estimating.paths import Run
from service.estimating.units import METRES_PER_INCH

LONG_260_M = 60 * METRES_PER_INCH
"""A 260 is nominally 2 in thick and 60 in long, fully inflated ("Kinds of balloons", a twister's
page). That it serves as line over about the same length is common practice, no source."""

_ROUNDING = 1e-9
"""A hair less, so that a length of exactly so many spacings or pieces is not given one more."""


@dataclass(frozen=True, kw_only=True, slots=True)
class Line:
    """Line for all runs of one piece [m], in how many lengths, and how many joins between them."""

    length_m: float
    lengths: int
    joins: int


def line_length(garland_m: float, line: LineAndFixings) -> float:
    """Line for one run [m] where no join is needed: garland, what knots take, two tails."""
    return garland_m * (1 + line.knots_share) + 2 * line.tail_m


def line_for(runs: Iterable[Run], line: LineAndFixings) -> Line:
    """Line for the runs of one piece, joined wherever one length does not reach."""
    total, lengths, joins = 0.0, 0, 0
    for run in runs:
        wanted = line_length(run.length_m, line)
        each = lengths_needed(wanted, piece_m=line.length_m, join_m=line.join_m)
        total += wanted + (each - 1) * line.join_m
        lengths += each
        joins += each - 1
    return Line(length_m=total, lengths=lengths, joins=joins)


def lengths_needed(line_m: float, *, piece_m: float, join_m: float) -> int:
    """Lengths of `piece_m` [m] tied end to end that reach `line_m` [m].

    n lengths reach n piece - (n - 1) join. ValueError where a join takes a whole length.
    """
    if not 0 <= join_m < piece_m:
        raise ValueError(f"a join of {join_m:g} m leaves nothing of a length of {piece_m:g} m")
    return max(1, math.ceil((line_m - join_m) / (piece_m - join_m) - _ROUNDING))


def long_260s(line_m: float, *, join_m: float) -> int:
    """Long 260s for a line of `line_m` [m]; the knot between two takes `join_m` [m] of them."""
    return lengths_needed(line_m, piece_m=LONG_260_M, join_m=join_m)


def knots(line: Line, clusters: int) -> int:
    """Knots to tie: one for each cluster and each join, one at each end of every run.

    Common practice, no source.
    """
    return clusters + line.joins + 2 * (line.lengths - line.joins)


def attachment_points(garland_m: float, line: LineAndFixings, *, closed: bool) -> int:
    """Points that hold one run, no further apart than the book's spacing."""
    return _points(garland_m, line.spacing_m, closed=closed)


def attachments(run: Run, spacing_m: float) -> tuple[float, ...]:
    """Where `run` is held, by position along the path [m], evenly and at most `spacing_m` apart.

    The first and the last are at its ends; a closed run is held at its start once.
    """
    points = _points(run.length_m, spacing_m, closed=run.closed)
    gaps = points if run.closed else points - 1
    return tuple(run.start_m + run.length_m * (index / gaps) for index in range(points))


def _points(length_m: float, spacing_m: float, *, closed: bool) -> int:
    gaps = math.ceil(length_m / spacing_m - _ROUNDING)
    return max(2, gaps if closed else gaps + 1)
