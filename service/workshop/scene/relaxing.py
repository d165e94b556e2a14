"""Balloons that overlap, pushed apart until they only press on one another.

Knows spheres, what holds each, and flat walls; nothing of garlands. Arrays are numpy's, and the
same arrays give the same answer, bit for bit.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]
    Indexes = NDArray[np.int64]

PRESSED = 0.06
"""Share of the smaller diameter by which two balloons may press into one another and rest."""

MOST_PRESSED = 0.10
"""As `PRESSED`, the most of any two balloons where there is room to part them."""

_ROUNDS = 90
_SETTLING = 30
_AFRESH = 15
_STEP = 0.45
_REACH_M = 0.08
_FURTHER = 400


@dataclass(frozen=True, kw_only=True, slots=True)
class Wall:
    """A flat surface that no balloon goes through: axis 0, 1 or 2, and where it is [m].

    Balloons stay above it on that axis, or below where `under`.
    """

    axis: int
    at_m: float
    under: bool = False


@dataclass(frozen=True, kw_only=True, slots=True)
class Held:
    """What holds each balloon: its anchor [m], and how far from it its centre may be [m].

    `group` says which balloons are tied to one another; where `loose`, the group keeps together
    round its own middle, which may wander, and is only drawn towards the anchor.
    """

    anchors: Floats
    slack_m: Floats
    group: Indexes
    loose: NDArray[np.bool_]


def relaxed(centres: Floats, radii: Floats, held: Held, walls: Sequence[Wall]) -> Floats:
    """`centres` [m] moved until hardly any two balloons overlap by more than they may."""
    at = centres.copy()
    near = near_pairs(at, radii, _REACH_M)
    for turn in range(_ROUNDS):
        if turn and turn % _AFRESH == 0:
            near = near_pairs(at, radii, _REACH_M)
        # Held firmly at first, so that it comes out compact; at last only pushed apart.
        firmness = 0.25 if turn < _ROUNDS - _SETTLING else 0.02
        at += _pull(at, held, firmness)
        at += _push(at, radii, near)
        _keep_off(at, radii, walls)
    return _parted(at, radii, walls)


def _parted(at: Floats, radii: Floats, walls: Sequence[Wall]) -> Floats:
    """The last pairs that press too hard on each other, pushed apart where there is room."""
    for turn in range(_FURTHER):
        if turn % _AFRESH == 0:
            near = near_pairs(at, radii, _REACH_M)
            if pressing(at, radii, near).max(initial=0.0) <= MOST_PRESSED:
                break
        at += _push(at, radii, near)
        _keep_off(at, radii, walls)
    return at


def pressing(at: Floats, radii: Floats, pairs: tuple[Indexes, Indexes]) -> Floats:
    """By what share of the smaller one's diameter each pair overlaps; below 0 where it does not."""
    import numpy as np

    first, second = pairs
    distance = np.linalg.norm(at[first] - at[second], axis=1)
    small = np.minimum(radii[first], radii[second])
    overlap: Floats = (radii[first] + radii[second] - distance) / (2 * small)
    return overlap


def clear(at: Floats, radii: Floats, walls: Sequence[Wall]) -> bool:
    """Whether no two balloons press hard on each other, and none goes through a wall."""
    kept = at.copy()
    _keep_off(kept, radii, walls)
    worst = float(pressing(at, radii, near_pairs(at, radii, 0.0)).max(initial=0.0))
    return worst <= PRESSED and bool(abs(kept - at).max(initial=0.0) < 1e-6)


def near_pairs(at: Floats, radii: Floats, margin_m: float) -> tuple[Indexes, Indexes]:
    """Pairs of balloons whose surfaces are within `margin_m` [m] of each other, each pair once."""
    import numpy as np

    size = 2 * float(radii.max()) + margin_m
    cells = np.floor((at - at.min(axis=0)) / size).astype(np.int64) + 1
    across = cells.max(axis=0) + 2
    keys = (cells[:, 0] * across[1] + cells[:, 1]) * across[2] + cells[:, 2]
    order = np.argsort(keys, kind="stable")
    found = [_between(keys, order, shift) for shift in _half_round(across[1], across[2])]
    first = np.concatenate([pair[0] for pair in found])
    second = np.concatenate([pair[1] for pair in found])
    gap = np.linalg.norm(at[first] - at[second], axis=1) - radii[first] - radii[second]
    close = gap < margin_m
    return first[close], second[close]


def _half_round(rows: int, layers: int) -> Iterator[int]:
    """A cell itself, and those of its neighbours that come after it."""
    yield 0
    for x in (-1, 0, 1):
        for y in (-1, 0, 1):
            for z in (-1, 0, 1):
                if (x, y, z) > (0, 0, 0):
                    yield (x * rows + y) * layers + z


def _between(keys: Indexes, order: Indexes, shift: int) -> tuple[Indexes, Indexes]:
    import numpy as np

    ranked = keys[order]
    low = np.searchsorted(ranked, ranked + shift, side="left")
    if shift == 0:
        low = np.arange(1, len(order) + 1)
    high = np.searchsorted(ranked, ranked + shift, side="right")
    numbers = high - low
    first = np.repeat(np.arange(len(order)), numbers)
    starts = np.repeat(low - np.concatenate(([0], np.cumsum(numbers)[:-1])), numbers)
    return order[first], order[starts + np.arange(len(first))]


def _push(at: Floats, radii: Floats, near: tuple[Indexes, Indexes]) -> Floats:
    import numpy as np

    first, second = near
    apart = at[first] - at[second]
    distance = np.sqrt(np.einsum("ij,ij->i", apart, apart)) + 1e-9
    small = np.minimum(radii[first], radii[second])
    lacking = radii[first] + radii[second] - 2 * PRESSED * small - distance
    touching = lacking > 0
    first, second, small = first[touching], second[touching], small[touching]
    push = apart[touching] * (_STEP * lacking[touching] / distance[touching])[:, None]
    # The smaller one gives way: by its share of the two radii.
    share = radii[second] / (radii[first] + radii[second])
    moved = np.zeros_like(at)
    for axis in range(3):
        along = push[:, axis]
        moved[:, axis] = np.bincount(first, along * share, len(at))
        moved[:, axis] -= np.bincount(second, along * (1 - share), len(at))
    return moved


def _pull(at: Floats, held: Held, firmness: float) -> Floats:
    import numpy as np

    number = np.bincount(held.group)
    middle = np.stack([np.bincount(held.group, at[:, axis]) / number for axis in range(3)], axis=1)[
        held.group
    ]
    loose = held.loose[:, None]
    to_group = np.where(loose, middle, held.anchors) - at
    far = np.linalg.norm(to_group, axis=1)
    over = np.maximum(far - held.slack_m, 0) / np.maximum(far, 1e-9)
    drawn = np.where(loose, (held.anchors - middle) * 0.1, 0)
    moved: Floats = firmness * (to_group * over[:, None] + drawn)
    return moved


def _keep_off(at: Floats, radii: Floats, walls: Sequence[Wall]) -> None:
    import numpy as np

    for wall in walls:
        column = at[:, wall.axis]
        if wall.under:
            np.minimum(column, wall.at_m - radii, out=column)
        else:
            np.maximum(column, wall.at_m + radii, out=column)
