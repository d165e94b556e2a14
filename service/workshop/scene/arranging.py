"""Pieces on one floor: side by side, and in several rows where that shows them larger."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from service.estimating import Point, Support
from service.workshop.scene.rows import Block, Rows, in_rows
from service.workshop.scene.showing import Shown

_OFF_THE_WALL_M = 0.15
_UNDER_IT_M = 0.1
_LABEL_M, _LABEL_SHARE, _PERSON_M = 0.3, 0.044, 1.3
"""Beside an upright dimension line there is so much room for what it says [m], and as a share
of all that is in the picture: what is farther away is written no smaller."""

Kinds = Sequence[Sequence[Shown]]
"""Each piece of the brief, in the ways it has come out: its copies take turns in them."""


@dataclass(frozen=True, kw_only=True, slots=True)
class Placed:
    """One copy of a piece, by its place in the brief: how far it is moved from its own path."""

    piece: int
    copy: int
    by: Point


@dataclass(frozen=True, kw_only=True, slots=True)
class Arranged:
    """Where every copy of every piece stands, and how far to the right they come, from 0.

    `eye_m` is the eye's height and distance [m] where there are several rows. `label_m` is the
    room beside an upright dimension line for what it says, `wall_z` where the one wall is that
    what needs a wall stands against, `ceiling_m` how high the one ceiling is; None where nothing
    does.
    """

    places: tuple[Placed, ...]
    right_m: float
    eye_m: tuple[float, float] | None
    label_m: float
    wall_z: float | None
    ceiling_m: float | None


def arranged(kinds: Kinds) -> Arranged:
    """Pieces from left to right in the brief's order, columns on either side of the others.

    In several rows, what needs a wall is the rearmost.
    """
    # What is written takes room, and how much goes by how wide the whole is.
    usual = _rows(kinds, _LABEL_M)
    label = max(_LABEL_M, _LABEL_SHARE * (usual.seen_m + _PERSON_M))
    rows = _rows(kinds, label) if label > _LABEL_M else usual
    wall, ceiling = _wall_z(kinds, rows), _ceiling(kinds)
    places = [
        Placed(
            piece=block.piece,
            copy=block.copy,
            by=_by(kinds[block.piece][0], Point(x=right, y=ceiling or 0.0, z=z), wall),
        )
        for block, right, z in rows.places()
    ]
    places.sort(key=lambda one: (one.piece, one.copy))
    return Arranged(
        places=tuple(places),
        right_m=rows.seen_m,
        eye_m=rows.eye_m,
        label_m=label,
        wall_z=wall,
        ceiling_m=ceiling,
    )


def one_of(kinds: Kinds, piece: int, copy: int) -> Shown:
    """How one copy of a piece has come out."""
    return kinds[piece][copy % len(kinds[piece])]


def _rows(kinds: Kinds, label_m: float) -> Rows:
    under_a_ceiling = any(each[0].grown.stand.ceiling_m is not None for each in kinds)
    blocks = [_blocks(kinds, index, label_m) for index in range(len(kinds))]
    in_order = [block for copies in blocks for block in copies]
    return in_rows([*_flanked(kinds, blocks)], in_order, one_row=under_a_ceiling)


def _blocks(kinds: Kinds, piece: int, label_m: float) -> list[Block]:
    return [
        _block(one_of(kinds, piece, copy), piece, copy, label_m)
        for copy in range(kinds[piece][0].grown.piece.count)
    ]


def _block(shown: Shown, piece: int, copy: int, label_m: float) -> Block:
    left, right = shown.sides(copy, label_m)
    low, high = shown.rise(copy, label_m)
    return Block(
        piece=piece,
        copy=copy,
        left=left,
        right=right,
        low=low,
        high=high,
        behind=shown.grown.stand.backs_on_m is not None,
    )


def _flanked(kinds: Kinds, blocks: Sequence[Sequence[Block]]) -> Iterator[Block]:
    """Half of the columns of a kind on either side of what else there is."""
    flanks: list[Sequence[Block]] = []
    between: list[Block] = []
    for kind, copies in zip(kinds, blocks, strict=True):
        column = kind[0].grown.piece.support is Support.COLUMN
        if column and len(copies) > 1 and len(kinds) > 1:
            flanks.append(copies)
        else:
            between += copies
    yield from (block for copies in flanks for block in copies[: len(copies) // 2])
    yield from between
    yield from (block for copies in reversed(flanks) for block in copies[len(copies) // 2 :])


def _wall_z(kinds: Kinds, rows: Rows) -> float | None:
    stands = [each[0].grown.stand for each in kinds]
    backs = [each.backs_on_m - each.back_m for each in stands if each.backs_on_m is not None]
    if not backs:
        return None
    if len(rows.rows) > 1:
        return min(backs) - rows.rows[-1].behind_m
    before = [
        shown.grown.deepest_m - _OFF_THE_WALL_M
        for shown, *_ in kinds
        if shown.grown.stand.backs_on_m is None
    ]
    return min(backs + before)


def _ceiling(kinds: Kinds) -> float | None:
    """As high as garlands under it hang, or higher where anything else would come through it."""
    usual = [c for each in kinds if (c := each[0].grown.stand.ceiling_m) is not None]
    others = [
        each[0].rise(0, _LABEL_M)[1] + _UNDER_IT_M
        for each in kinds
        if each[0].grown.stand.ceiling_m is None
    ]
    return max(usual + others) if usual else None


def _by(shown: Shown, at: Point, wall_z: float | None) -> Point:
    """How far a piece is moved that begins at x and z, under a ceiling at y."""
    stand, z = shown.grown.stand, at.z
    if stand.backs_on_m is not None and wall_z is not None:
        z = wall_z - stand.backs_on_m
    lift = stand.lift_m if stand.ceiling_m is None else at.y - stand.ceiling_m
    return Point(x=at.x, y=lift, z=z)
