"""One piece's balloons in three dimensions, cluster by cluster along its line."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from service.estimating import Build, Path, Piece, PieceEstimate, Stretch, nested_pitch
from service.workshop.scene.relaxing import Held, Wall, relaxed

if TYPE_CHECKING:
    import numpy as np
    from numpy.random import Generator

    from service.workshop.scene.relaxing import Floats


@dataclass(frozen=True, kw_only=True, slots=True)
class Spot:
    """One balloon of a piece: centre, size class [in], colour, and its cluster's place in order."""

    centre: tuple[float, float, float]
    size_class: int
    colour: str
    cluster: int


@dataclass(frozen=True, kw_only=True, slots=True)
class _Cluster:
    """A cluster where it is tied: its knot, and the directions round it."""

    number: int
    filler: bool
    knot: Floats
    forward: Floats
    outward: Floats
    inside: tuple[tuple[int, str], ...]


def _clusters(
    piece: Piece, estimate: PieceEstimate, stretches: Sequence[Stretch]
) -> list[_Cluster]:
    path = piece.path
    found = []
    for stretch in stretches:
        for each in stretch.clusters:
            knot, forward = along(path, each.at_m)
            found.append(
                _Cluster(
                    number=each.number - 1,
                    filler=each.filler,
                    knot=knot,
                    forward=forward,
                    outward=_outward(forward),
                    inside=tuple(
                        (size, colour)
                        for size, colour, n in estimate.cluster_types[each.kind].balloons
                        for _ in range(n)
                    ),
                )
            )
    return found


def along(path: Path, at_m: float) -> tuple[Floats, Floats]:
    """The point of `path` at `at_m` [m], and the direction in which it goes on."""
    import numpy as np

    behind, here, ahead = (path.at(at_m + step) for step in (-0.03, 0.0, 0.03))
    way = np.array((ahead.x - behind.x, ahead.y - behind.y, ahead.z - behind.z))
    return np.array((here.x, here.y, here.z)), way / max(float(np.linalg.norm(way)), 1e-9)


def _outward(forward: Floats) -> Floats:
    """The direction across the line that lies in the picture: to the left of the way along it."""
    import numpy as np

    return np.array((-forward[1], forward[0], 0.0))


def organic(
    piece: Piece,
    estimate: PieceEstimate,
    stretches: Sequence[Stretch],
    sized: Mapping[int, float],
    walls: Sequence[Wall],
    dice: Generator,
) -> list[Spot]:
    """The balloons of one such piece, tied, filled and relaxed."""
    import numpy as np

    clusters = _clusters(piece, estimate, stretches)
    centres, anchors, slack = [], [], []
    for index, cluster in enumerate(clusters):
        radii = [sized[size] / 2 for size, _ in cluster.inside]
        if cluster.filler:
            anchor, places = _pushed_in(cluster, radii, estimate.girth_m, dice, index)
        else:
            anchor, places = _tied(cluster, radii, dice, index)
        centres += places
        anchors += [anchor] * len(places)
        slack += [_SLACK * radius for radius in radii]
    sizes = [each.inside for each in clusters]
    radii_of = np.array([sized[size] / 2 for inside in sizes for size, _ in inside])
    group = np.repeat(np.arange(len(clusters)), [len(inside) for inside in sizes])
    held = Held(
        anchors=np.array(anchors),
        slack_m=np.array(slack),
        group=group,
        loose=np.array([each.filler for each in clusters])[group],
    )
    at = relaxed(np.array(centres), radii_of, held, walls)
    return _spots(clusters, at)


_SLACK = 1.35
"""How far from its knot a balloon's middle may be, in radii: it touches it with its neck."""


def _tied(
    cluster: _Cluster, radii: Sequence[float], dice: Generator, index: int
) -> tuple[Floats, list[Floats]]:
    """Round the line: the largest towards the viewer, the others a ring with a turn of its own."""
    largest = max(range(len(radii)), key=lambda i: radii[i])
    big = radii[largest] > 1.2 * min(radii)
    turn = math.pi / 4 * index + dice.uniform(-0.4, 0.4)
    if big:
        side = 1 if index % 2 else -1
        turn = side * dice.uniform(0.3, 1.2)
        others = [i for i in range(len(radii)) if i != largest]
        order = [largest, *others]
    else:
        order = list(dice.permutation(len(radii)))
    places: list[Floats] = [cluster.knot] * len(radii)
    for k, i in enumerate(order):
        angle = turn + 2 * math.pi * k / len(order)
        shift = dice.uniform(-0.3, 0.3) * radii[i]
        places[i] = _round(cluster, angle, _SLACK * radii[i], shift)
    return cluster.knot, places


def _pushed_in(
    cluster: _Cluster, radii: Sequence[float], girth_m: float, dice: Generator, index: int
) -> tuple[Floats, list[Floats]]:
    """On the garland's front and sides, where it is seen, its balloons in a ring of their own."""
    side = 1 if index % 2 else -1
    angle = side * dice.triangular(0.0, 0.9, 2.2)
    radius = max(radii)
    depth = max(girth_m / 2 - radius, radius)
    middle = _round(cluster, angle, depth, 0.0)
    out = (middle - cluster.knot) / depth
    import numpy as np

    across = np.cross(out, cluster.forward)
    turn = dice.uniform(0, math.tau)
    places = []
    for k in range(len(radii)):
        bearing = turn + math.tau * k / len(radii)
        reach = radius * (1.0 if len(radii) == 2 else 1.3)
        places.append(
            middle + reach * (math.cos(bearing) * cluster.forward + math.sin(bearing) * across)
        )
    return middle, places


def _round(cluster: _Cluster, angle: float, reach_m: float, shift_m: float) -> Floats:
    import numpy as np

    towards = np.array((0.0, 0.0, 1.0))
    return (
        cluster.knot
        + reach_m * (math.cos(angle) * towards + math.sin(angle) * cluster.outward)
        + shift_m * cluster.forward
    )


def _spots(clusters: Sequence[_Cluster], at: Floats) -> list[Spot]:
    places = iter(at.tolist())
    return [
        Spot(centre=tuple(next(places)), size_class=size, colour=colour, cluster=each.number)
        for each in clusters
        for size, colour in each.inside
    ]
