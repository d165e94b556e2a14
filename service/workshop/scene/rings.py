"""Nested quads: rings of touching balloons, each turned by half a step against the last."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import TYPE_CHECKING

from service.estimating import Stretch, nested_pitch
from service.workshop.scene.lines import Line, Tie
from service.workshop.scene.relaxing import Held, Wall, clear, relaxed

if TYPE_CHECKING:
    from service.workshop.scene.relaxing import Floats

RING = 4


def nested(
    stretches: Sequence[Stretch],
    lines: Sequence[Line],
    diameter_m: float,
    walls: Sequence[Wall],
) -> Floats:
    """The middles [m] of the balloons of every quad, in the estimate's order.

    Along a straight line they nest exactly; where the line bends they are pushed apart.
    """
    import numpy as np

    centres, anchors = [], []
    for stretch, line in zip(stretches, lines, strict=True):
        ties = line.ties(_places(stretch, line, diameter_m))
        step = _turn(len(ties), closed=stretch.run.closed)
        for index, tie in enumerate(ties):
            centres += _ring(tie, diameter_m, step * index)
            anchors += [tie.at] * RING
    at, radii = np.array(centres), np.full(len(centres), diameter_m / 2)
    if clear(at, radii, walls):
        return at
    held = Held(
        anchors=np.array(anchors),
        slack_m=radii * math.sqrt(2),
        group=np.arange(len(centres)) // RING,
        loose=np.zeros(len(centres), dtype=bool),
    )
    return relaxed(at, radii, held, walls)


def _places(stretch: Stretch, line: Line, diameter_m: float) -> list[float]:
    """Where along the path [m] each ring is: a pitch apart, in the middle of the run.

    One that begins on the floor begins with the first ring standing on it.
    """
    number, run = len(stretch.clusters), stretch.run
    if run.closed:
        return [run.start_m + run.length_m * ring / number for ring in range(number)]
    pitch = nested_pitch(RING, diameter_m)
    first = (run.length_m - (number - 1) * pitch) / 2
    if float(line.corners[0, 1]) < diameter_m / 2:
        first = max(first, diameter_m / 2)
    return [run.start_m + first + ring * pitch for ring in range(number)]


def _turn(number: int, *, closed: bool) -> float:
    """Each ring's turn against the last [rad]: an eighth, or so near that a closed line meets."""
    if not closed:
        return math.pi / RING
    quarter = math.tau / RING
    return quarter * round(number / 2) / number


def _ring(tie: Tie, diameter_m: float, turn: float) -> list[Floats]:
    reach = diameter_m / (2 * math.sin(math.pi / RING))
    return [tie.round(turn + math.tau * k / RING, reach) for k in range(RING)]
