"""An organic garland: clusters tied along the line in turns of chance, filled, and relaxed."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

from service.workshop.scene.knots import Knot
from service.workshop.scene.lines import Tie
from service.workshop.scene.relaxing import Held, Wall, relaxed

if TYPE_CHECKING:
    from numpy.random import Generator

    from service.workshop.scene.relaxing import Floats

_NECK = 1.35
"""How far from its knot a balloon's middle is, in radii; a large one is pulled in closer."""

_LARGE_NECK = 1.1
_LARGE = 1.2

_WANDER = 0.09
"""How far the line wanders to either side, as a share of the girth."""

_WAVES_M = (1.9, 0.8)


def organic(
    clusters: Sequence[Knot],
    sized: Mapping[int, float],
    girth_m: float,
    walls: Sequence[Wall],
    dice: Generator,
) -> Floats:
    """The middles [m] of the balloons of `clusters`, in their order."""
    import numpy as np

    radii = [[sized[size] / 2 for size, _ in each.inside] for each in clusters]
    wandering = _wander(clusters, girth_m, dice)
    centres, anchors = [], []
    for index, (tie, inside) in enumerate(zip(wandering, radii, strict=True)):
        side = 1 if index % 2 else -1
        if clusters[index].filler:
            places, anchor = _pushed_in(tie, inside, girth_m, side, dice)
        else:
            places, anchor = _tied(tie, inside, index, side, dice), tie.at
        centres += places
        anchors += [anchor] * len(places)
    group = np.repeat(np.arange(len(clusters)), [len(inside) for inside in radii])
    each = np.array([radius for inside in radii for radius in inside])
    usual = float(np.median(each[~np.array([c.filler for c in clusters])[group]]))
    held = Held(
        anchors=np.array(anchors),
        slack_m=each * np.where(each > _LARGE * usual, _LARGE_NECK, _NECK),
        group=group,
        loose=np.array([cluster.filler for cluster in clusters])[group],
    )
    return relaxed(np.array(centres), each, held, walls)


def _wander(clusters: Sequence[Knot], girth_m: float, dice: Generator) -> list[Tie]:
    """The line a little out of true, so that the garland's edge comes out uneven."""
    phases = dice.uniform(0, math.tau, len(_WAVES_M))
    wandering, walked = [], 0.0
    before = clusters[0].tie.at
    for knot in clusters:
        tie = knot.tie
        walked += math.dist(tie.at, before)
        before = tie.at
        waves = zip(_WAVES_M, phases, strict=True)
        swing = sum(math.sin(math.tau * walked / wave + phase) for wave, phase in waves)
        aside = _WANDER / len(_WAVES_M) * girth_m * swing
        wandering.append(replace(tie, at=tie.at + aside * tie.outward))
    return wandering


def _tied(tie: Tie, radii: Sequence[float], index: int, side: int, dice: Generator) -> list[Floats]:
    """Round the line, each cluster turned against the last; a large balloon faces the viewer."""
    order = [int(i) for i in dice.permutation(len(radii))]
    turn = math.pi / len(radii) * index + dice.uniform(-0.4, 0.4)
    largest = max(order, key=lambda i: radii[i])
    if radii[largest] > _LARGE * min(radii):
        order.remove(largest)
        order.insert(0, largest)
        turn = side * dice.uniform(0.3, 1.2)
    places: dict[int, Floats] = {}
    for k, i in enumerate(order):
        shift = dice.uniform(-0.3, 0.3) * radii[i]
        places[i] = tie.round(turn + math.tau * k / len(order), _NECK * radii[i], shift)
    return [places[i] for i in range(len(radii))]


def _pushed_in(
    tie: Tie, radii: Sequence[float], girth_m: float, side: int, dice: Generator
) -> tuple[list[Floats], Floats]:
    """A ring lying on the garland's front or side, where it is seen, and what it is drawn to."""
    import numpy as np

    radius = max(radii)
    depth = max(girth_m / 2 - radius, radius)
    angle = side * dice.triangular(0.0, 0.9, 2.2)
    middle = tie.round(angle, depth)
    across = np.cross((middle - tie.at) / depth, tie.forward)
    reach = radius / math.sin(math.pi / len(radii)) if len(radii) > 1 else 0.0
    turn = dice.uniform(0, math.tau)
    bearings = [turn + math.tau * k / len(radii) for k in range(len(radii))]
    places = [
        middle + reach * (math.cos(bearing) * tie.forward + math.sin(bearing) * across)
        for bearing in bearings
    ]
    return places, tie.round(angle, _DRAWN_IN * depth)


_DRAWN_IN = 0.75
"""How far from the line a filler is drawn to, as a share of the garland's own depth."""
