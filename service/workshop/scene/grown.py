"""One piece as it has come out: its balloons on its stand, and where its surface is."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

from service.estimating import (
    Build,
    Path,
    Piece,
    PieceEstimate,
    Point,
    PriceBook,
    laid,
    sized_diameters,
)
from service.workshop.scene.garland import organic
from service.workshop.scene.knots import Spot, knots, spots, taking_turns
from service.workshop.scene.lines import Line, Tie, line_of
from service.workshop.scene.rings import nested
from service.workshop.scene.stands import Dressed, Stand, stand_of

if TYPE_CHECKING:
    from numpy.random import Generator

_LEVEL_M = 0.05
_BEHIND_M = 0.005


@dataclass(frozen=True, kw_only=True, slots=True)
class Grown:
    """One such piece in its path's coordinates [m]."""

    piece: Piece
    path: Path
    lines: tuple[Line, ...]
    girth_m: float
    sized: Mapping[int, float]
    stand: Stand
    spots: tuple[Spot, ...]

    @property
    def length_m(self) -> float:
        """All stretches of garland together [m]."""
        return math.fsum(line.run.length_m for line in self.lines)

    @property
    def deepest_m(self) -> float:
        """How far back its balloons reach, on the axis towards the viewer [m]."""
        return min(spot.z - self.sized[spot.size_class] / 2 for spot in self.spots)

    def along(self, walked_m: float) -> Tie:
        """The line's place so far from the garland's start, counted on across stretches."""
        for line in self.lines[:-1]:
            if walked_m <= line.run.length_m:
                return _tie(line, line.run.start_m + walked_m)
            walked_m -= line.run.length_m
        last = self.lines[-1]
        return _tie(last, last.run.start_m + walked_m)

    def middle(self) -> Point:
        """The middle of the longest stretch; of several alike the middle one."""
        line = self._main()
        return _point(_tie(line, line.run.start_m + line.run.length_m / 2))

    def line_at(self, at_m: float) -> Line:
        """The line of the stretch that a place on the path [m] is on."""
        return next((line for line in self.lines if at_m <= line.run.end_m), self.lines[-1])

    def front(self, left: float, bottom: float, right: float, top: float) -> float:
        """How far to the viewer balloons reach within a rectangle of the picture's plane [m]."""
        covering = self._covering(left, bottom, right, top)
        return max((z for z, _ in covering), default=self.path.start.z)

    def tucked(self, x: float, y: float) -> float:
        """How far to the viewer that comes which the foremost balloon at a place just hides [m]."""
        covering = self._covering(x, y, x, y)
        _, foremost = max(covering, key=lambda found: found[0], default=(0.0, None))
        return self.path.start.z if foremost is None else foremost.z - _BEHIND_M

    def _covering(
        self, left: float, bottom: float, right: float, top: float
    ) -> Iterator[tuple[float, Spot]]:
        """How far balloons reach within a rectangle, for those that are seen in it."""
        for spot in self.spots:
            aside = max(left - spot.x, spot.x - right, 0.0)
            above = max(bottom - spot.y, spot.y - top, 0.0)
            rest = (self.sized[spot.size_class] / 2) ** 2 - aside**2 - above**2
            if rest > 0:
                yield spot.z + math.sqrt(rest), spot

    def _main(self) -> Line:
        longest = max(line.run.length_m for line in self.lines)
        alike = [line for line in self.lines if line.run.length_m > longest - _LEVEL_M]
        return alike[len(alike) // 2]


def _tie(line: Line, at_m: float) -> Tie:
    (tie,) = line.ties([at_m])
    return tie


def _point(tie: Tie) -> Point:
    x, y, z = tie.at.tolist()
    return Point(x=x, y=y, z=z)


def grown(
    piece: Piece, estimate: PieceEstimate, book: PriceBook, *, outdoors: bool, dice: Generator
) -> Grown:
    """The balloons that `estimate` counts for one such piece, placed, and its stand."""
    path, sized = piece.path, sized_diameters(piece, book, outdoors=outdoors)
    stretches = laid(piece, estimate, book, outdoors=outdoors)
    usual = min(sized.values()) if quads(piece) else sized[book.recipe.base_size]
    stand = stand_of(
        Dressed(
            piece=piece,
            path=path,
            girth_m=estimate.girth_m,
            balloon_m=usual,
            all_round=any(stretch.run.closed for stretch in stretches),
            outdoors=outdoors,
        )
    )
    lines = tuple(line_of(path, run, stand.seen, stand.aside_m) for run in piece.runs)
    clusters = knots(estimate, stretches, lines)
    if quads(piece):
        clusters = taking_turns(clusters)
        centres = nested(stretches, lines, usual, stand.walls)
    else:
        centres = organic(clusters, sized, estimate.girth_m, stand.walls, dice)
    return Grown(
        piece=piece,
        path=path,
        lines=lines,
        girth_m=estimate.girth_m,
        sized=sized,
        stand=stand,
        spots=spots(clusters, centres),
    )


def quads(piece: Piece) -> bool:
    """Whether it is built of nested quads, whose copies are alike."""
    return piece.built_as is Build.QUADS
