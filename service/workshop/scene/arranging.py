"""Pieces side by side on one floor: what stands free in ranks where there are many."""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from service.estimating import Point, Support
from service.workshop.scene.grown import Grown
from service.workshop.scene.moving import moved
from service.workshop.scene.values import Direction, Measure

_FREE = frozenset(
    {
        Support.ROUND_TOP_FRAME,
        Support.SQUARE_FRAME,
        Support.HOOP,
        Support.FREESTANDING_ARCH,
        Support.COLUMN,
        Support.TABLE,
    }
)
_APART_M = 0.35
_WIDEST_ROW_M, _RANK_M = 14.0, 9.0
_MOST_RANKS = 6
_BEHIND_M = 2.2
_LABEL_M, _LABEL_SHARE = 0.3, 0.035
"""Beside an upright dimension line there is so much room for what it says [m], and as a share
of all that is in the picture: what is far away is written no smaller."""


@dataclass(frozen=True, kw_only=True, slots=True)
class Placed:
    """One copy of a piece, by its place in the brief: how far it is moved from its own path.

    `right` is how far it reaches to the right there [m].
    """

    piece: int
    copy: int
    by: Point
    right: float


@dataclass(frozen=True, kw_only=True, slots=True)
class _Block:
    piece: int
    copy: int
    left: float
    right: float

    @property
    def width_m(self) -> float:
        return self.right - self.left + _APART_M


def arranged(pieces: Sequence[Grown]) -> tuple[tuple[Placed, ...], int, float]:
    """Where every copy of every piece stands, in how many ranks, and the room for a label [m].

    Pieces go from left to right in the brief's order, but that columns stand on either side of
    the others. More than fit a row stand in ranks one behind the other.
    """
    bare = sum(each.width_m for each in _in_a_row(pieces, _LABEL_M))
    label = max(_LABEL_M, _LABEL_SHARE * min(bare, _WIDEST_ROW_M))
    blocks = list(_in_a_row(pieces, label))
    free = [block for block in blocks if pieces[block.piece].piece.support in _FREE]
    others = [block for block in blocks if block not in free]
    wide = sum(block.width_m for block in free)
    ranks = min(_MOST_RANKS, math.ceil(wide / _RANK_M))
    if wide <= _WIDEST_ROW_M:
        return tuple(_row(blocks, pieces, 0)), 1, label
    placed = list(_row(others, pieces, 0))
    each = -(-len(free) // ranks)
    start = sum(block.width_m for block in others)
    for rank in range(ranks):
        row = free[rank * each : (rank + 1) * each]
        placed += _row(row, pieces, rank, start + (rank % 2) * row[0].width_m / 2 if row else 0.0)
    return tuple(sorted(placed, key=lambda one: (one.piece, one.copy))), ranks, label


def beside(measure: Measure, label_m: float) -> Measure:
    """An upright dimension line moved away from its garland, so far that its label is clear."""
    if measure.direction not in (Direction.HEIGHT, Direction.DROP):
        return measure
    away = (label_m - _LABEL_M) * (-1 if measure.start.x < 0 else 1)
    return moved(measure, Point(x=away, y=0.0, z=0.0))


def _in_a_row(pieces: Sequence[Grown], label_m: float) -> Iterator[_Block]:
    flanks, between = [], []
    for index, grown in enumerate(pieces):
        copies = [_block(index, copy, grown, label_m) for copy in range(grown.piece.count)]
        if grown.piece.support is Support.COLUMN and len(copies) > 1 and len(pieces) > 1:
            flanks.append(copies)
        else:
            between += copies
    yield from (block for copies in flanks for block in copies[: len(copies) // 2])
    yield from between
    yield from (block for copies in reversed(flanks) for block in copies[len(copies) // 2 :])


def _row(
    blocks: Sequence[_Block], pieces: Sequence[Grown], rank: int, start: float = 0.0
) -> Iterator[Placed]:
    left = start
    for block in blocks:
        stand = pieces[block.piece].stand
        by = Point(x=left - block.left, y=stand.lift_m, z=-stand.back_m - rank * _BEHIND_M)
        right = left + block.right - block.left
        yield Placed(piece=block.piece, copy=block.copy, by=by, right=right)
        left += block.width_m


def _block(piece: int, copy: int, grown: Grown, label_m: float) -> _Block:
    stand = grown.stand
    sides = [
        point.x
        for group in (
            *(rod.points for rod in stand.rods),
            *(panel.corners for panel in stand.panels),
        )
        for point in group
    ]
    if copy == 0:
        lines = [beside(measure, label_m) for measure in stand.measures]
        ends = [end.x for each in lines for end in (each.start, each.end)]
        sides += [x + aside for x in ends for aside in (-label_m, label_m)]
    half = {size: diameter / 2 for size, diameter in grown.sized.items()}
    sides += [spot.x - half[spot.size_class] for spot in grown.spots]
    sides += [spot.x + half[spot.size_class] for spot in grown.spots]
    return _Block(piece=piece, copy=copy, left=min(sides), right=max(sides))
