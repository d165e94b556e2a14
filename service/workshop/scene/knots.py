"""A piece's clusters where they are tied: their knots in space, and the directions round them."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from service.estimating import Path, PieceEstimate, Point, Run, Stretch

if TYPE_CHECKING:
    from service.workshop.scene.relaxing import Floats

_ASIDE_M = 0.15
"""So far before and behind the line's direction is taken: at a corner clusters fan out."""


TO_THE_VIEWER = Point(x=0.0, y=0.0, z=1.0)


@dataclass(frozen=True, kw_only=True, slots=True)
class Knot:
    """One cluster where it is tied: `at` [m], and directions across and along the line.

    `forward` goes along it, `seen` to those who look at it, and `outward` across both, which in
    an arch is away from its opening. `number` is the cluster's place in
    the estimate's order from 0; `inside` are its balloons by size class [in] and colour.
    """

    at: Floats
    forward: Floats
    seen: Floats
    outward: Floats
    number: int = 0
    filler: bool = False
    inside: tuple[tuple[int, str], ...] = ()

    def round(self, angle: float, reach_m: float, shift_m: float = 0.0) -> Floats:
        """A place `reach_m` off the line: at 0 where it is seen, at a right angle outward."""
        across = math.cos(angle) * self.seen + math.sin(angle) * self.outward
        return self.at + reach_m * across + shift_m * self.forward


@dataclass(frozen=True, kw_only=True, slots=True)
class Spot:
    """One balloon of a piece: its middle [m], size class [in], colour, and its cluster's number."""

    x: float
    y: float
    z: float
    size_class: int
    colour: str
    cluster: int


def knots(
    path: Path,
    estimate: PieceEstimate,
    stretches: Sequence[Stretch],
    seen: Point,
    aside_m: float,
) -> list[Knot]:
    """Every cluster of one piece, in the estimate's order, `aside_m` outward of its path."""
    tied = []
    for stretch in stretches:
        for each in stretch.clusters:
            at = tied_at(path, each.at_m, stretch.run, seen)
            balloons = estimate.cluster_types[each.kind].balloons
            inside = tuple((size, colour) for size, colour, n in balloons for _ in range(n))
            tied.append(
                replace(
                    at,
                    at=at.at + aside_m * at.outward,
                    number=each.number - 1,
                    filler=each.filler,
                    inside=inside,
                )
            )
    return tied


def tied_at(path: Path, at_m: float, run: Run, seen: Point = TO_THE_VIEWER) -> Knot:
    """A knot of no balloons `at_m` [m] along `path`, within that run of garland.

    `seen` is the direction, of length 1, to those who look at it.
    """
    import numpy as np

    behind, ahead = (_walked(path, at_m + aside, run) for aside in (-_ASIDE_M, _ASIDE_M))
    here = path.at(at_m)
    way = np.array((ahead.x - behind.x, ahead.y - behind.y, ahead.z - behind.z))
    forward = way / max(float(np.linalg.norm(way)), 1e-9)
    towards = np.array((seen.x, seen.y, seen.z))
    return Knot(
        at=np.array((here.x, here.y, here.z)),
        forward=forward,
        seen=towards,
        outward=np.cross(towards, forward),
    )


def _walked(path: Path, at_m: float, run: Run) -> Point:
    if run.closed:
        return path.at(at_m % path.length_m)
    return path.at(min(max(at_m, run.start_m), run.end_m))


def spots(clusters: Sequence[Knot], centres: Floats) -> tuple[Spot, ...]:
    """The balloons of `clusters` with their centres [m], in order."""
    places = iter(centres.tolist())
    return tuple(
        Spot(x=x, y=y, z=z, size_class=size, colour=colour, cluster=each.number)
        for each in clusters
        for (size, colour), (x, y, z) in zip(each.inside, places, strict=False)
    )
