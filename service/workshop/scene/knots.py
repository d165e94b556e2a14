"""A piece's clusters where they are tied, and the balloons that come of them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import zip_longest
from typing import TYPE_CHECKING

from service.estimating import PieceEstimate, Stretch
from service.workshop.scene.lines import Line, Tie

if TYPE_CHECKING:
    from service.workshop.scene.relaxing import Floats


@dataclass(frozen=True, kw_only=True, slots=True)
class Knot:
    """One cluster where it is tied: its place in the estimate's order, from 0.

    A `filler` is pushed in between those tied to the line; `inside` are the balloons by size
    class [in] and colour.
    """

    tie: Tie
    number: int
    filler: bool
    inside: tuple[tuple[int, str], ...]


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
    estimate: PieceEstimate, stretches: Sequence[Stretch], lines: Sequence[Line]
) -> list[Knot]:
    """Every cluster of one such piece, in the estimate's order, each stretch on its own line."""
    return [
        Knot(
            tie=tie,
            number=each.number - 1,
            filler=each.filler,
            inside=tuple(
                (size, colour)
                for size, colour, n in estimate.cluster_types[each.kind].balloons
                for _ in range(n)
            ),
        )
        for stretch, line in zip(stretches, lines, strict=True)
        for each, tie in zip(
            stretch.clusters, line.ties([each.at_m for each in stretch.clusters]), strict=True
        )
    ]


def taking_turns(clusters: Sequence[Knot]) -> list[Knot]:
    """The same clusters, colours taking turns round each: two pairs tied crosswise alternate."""
    return [replace(each, inside=_in_turn(each.inside)) for each in clusters]


def _in_turn(inside: tuple[tuple[int, str], ...]) -> tuple[tuple[int, str], ...]:
    alike = [[one for one in inside if one == kind] for kind in dict.fromkeys(inside)]
    return tuple(one for turn in zip_longest(*alike) for one in turn if one is not None)


def spots(clusters: Sequence[Knot], centres: Floats) -> tuple[Spot, ...]:
    """The balloons of `clusters` with their centres [m], in order."""
    places = iter(centres.tolist())
    return tuple(
        Spot(x=x, y=y, z=z, size_class=size, colour=colour, cluster=each.number)
        for each in clusters
        for (size, colour), (x, y, z) in zip(each.inside, places, strict=False)
    )
