"""Pieces side by side on one floor: what stands free in ranks where there are many."""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from service.estimating import Point, Support
from service.workshop.scene.showing import Shown

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
_OFF_THE_WALL_M = 0.15
_LABEL_M, _WIDEST_LABEL_M, _LABEL_SHARE = 0.3, 0.5, 0.065
"""Beside an upright dimension line there is so much room for what it says [m], and as a share
of all that is in the picture: what is farther away is written no smaller."""


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


@dataclass(frozen=True, kw_only=True, slots=True)
class Arranged:
    """Where every copy of every piece stands, and in how many ranks.

    `label_m` is the room beside an upright dimension line for what it says, `wall_z` where the
    one wall is that what needs a wall stands against; None where nothing does.
    """

    places: tuple[Placed, ...]
    ranks: int
    label_m: float
    wall_z: float | None

    @property
    def right_m(self) -> float:
        """How far to the right the pieces come; they begin at 0."""
        return max(place.right for place in self.places)


def arranged(pieces: Sequence[Shown]) -> Arranged:
    """Pieces from left to right in the brief's order, columns on either side of the others.

    More than fit a row, of what stands free, stand in ranks one behind the other.
    """
    bare = sum(each.width_m for each in _in_a_row(pieces, _LABEL_M))
    label = min(max(_LABEL_M, _LABEL_SHARE * bare), _WIDEST_LABEL_M)
    blocks = list(_in_a_row(pieces, label))
    free = [block for block in blocks if pieces[block.piece].grown.piece.support in _FREE]
    wide = sum(block.width_m for block in free)
    ranks = 1 if wide <= _WIDEST_ROW_M else min(_MOST_RANKS, math.ceil(wide / _RANK_M))
    wall = _wall_z(pieces, ranks)
    if ranks == 1:
        placed = list(_row(blocks, pieces, wall))
    else:
        others = [block for block in blocks if block not in free]
        start = sum(block.width_m for block in others)
        placed = [*_row(others, pieces, wall), *_in_ranks(free, pieces, ranks, start, wall)]
    placed.sort(key=lambda one: (one.piece, one.copy))
    return Arranged(places=tuple(placed), ranks=ranks, label_m=label, wall_z=wall)


def _wall_z(pieces: Sequence[Shown], ranks: int) -> float | None:
    stands = [shown.grown.stand for shown in pieces]
    backs = [each.backs_on_m - each.back_m for each in stands if each.backs_on_m is not None]
    if not backs:
        return None
    before = [
        shown.grown.deepest_m - _OFF_THE_WALL_M - (ranks - 1) * _BEHIND_M
        for shown in pieces
        if shown.grown.stand.backs_on_m is None
    ]
    return min(backs + before)


def _in_ranks(
    blocks: Sequence[_Block],
    pieces: Sequence[Shown],
    ranks: int,
    start: float,
    wall_z: float | None,
) -> Iterator[Placed]:
    """Rows of as many, every other one half a place to the right, so that none hides another."""
    each = -(-len(blocks) // ranks)
    for rank in range(ranks):
        row = blocks[rank * each : (rank + 1) * each]
        left = start + (rank % 2) * row[0].width_m / 2 if row else start
        yield from _row(row, pieces, wall_z, left, rank)


def _in_a_row(pieces: Sequence[Shown], label_m: float) -> Iterator[_Block]:
    flanks, between = [], []
    for index, shown in enumerate(pieces):
        piece = shown.grown.piece
        copies = [_block(index, copy, shown, label_m) for copy in range(piece.count)]
        if piece.support is Support.COLUMN and len(copies) > 1 and len(pieces) > 1:
            flanks.append(copies)
        else:
            between += copies
    yield from (block for copies in flanks for block in copies[: len(copies) // 2])
    yield from between
    yield from (block for copies in reversed(flanks) for block in copies[len(copies) // 2 :])


def _row(
    blocks: Sequence[_Block],
    pieces: Sequence[Shown],
    wall_z: float | None,
    start: float = 0.0,
    rank: int = 0,
) -> Iterator[Placed]:
    left = start
    for block in blocks:
        stand = pieces[block.piece].grown.stand
        z = -rank * _BEHIND_M
        if stand.backs_on_m is not None and wall_z is not None:
            z = wall_z - stand.backs_on_m
        by = Point(x=left - block.left, y=stand.lift_m, z=z)
        right = left + block.right - block.left
        yield Placed(piece=block.piece, copy=block.copy, by=by, right=right)
        left += block.width_m


def _block(piece: int, copy: int, shown: Shown, label_m: float) -> _Block:
    left, right = shown.sides(copy, label_m)
    return _Block(piece=piece, copy=copy, left=left, right=right)
