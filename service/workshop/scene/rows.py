"""Pieces in rows, one behind the other and looked at from above, so that no row hides another."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

_APART_M = 0.35
_BETWEEN_M = 0.2
_STEP_BACK_M = 1.2
_MOST_ROWS = 7
_NEAREST_M, _AWAY, _RISE = 15.0, 5.0, 0.5
"""The eye is at least so far off [m] and so many widths of the widest row, that what stands behind
is hardly smaller; and so high for that."""

_ASPECT_M = 1.33
_BESIDE_M, _TALL_M = 1.3, 1.75
"""The person beside the front row takes so much room [m]."""

_SPREAD_M = 2.5
_WORTH_IT, _WORTH_A_ROW = 1.3, 1.08
"""So much larger the pieces must come out in several rows, and in one row more."""


@dataclass(frozen=True, kw_only=True, slots=True)
class Block:
    """One copy of a piece with its dimension lines: from where to where it comes [m].

    `behind` where it needs a wall, which all such pieces share.
    """

    piece: int
    copy: int
    left: float
    right: float
    low: float
    high: float
    behind: bool

    @property
    def width_m(self) -> float:
        """From its left to the next one's left [m]."""
        return self.right - self.left + _APART_M


@dataclass(frozen=True, kw_only=True, slots=True)
class Row:
    """A row so far behind z = 0 [m], where things are seen `scale` times as large as there."""

    blocks: tuple[Block, ...]
    behind_m: float
    scale: float

    @property
    def seen_m(self) -> float:
        """How wide it is seen [m]."""
        return self.scale * _wide(self.blocks)


@dataclass(frozen=True, kw_only=True, slots=True)
class Rows:
    """From the front one to the rearmost; the eye's height and distance [m] for more than one."""

    rows: tuple[Row, ...]
    eye_m: tuple[float, float] | None
    size: float

    @property
    def seen_m(self) -> float:
        """How wide the widest is seen [m]."""
        return max(row.seen_m for row in self.rows)

    def places(self) -> Iterator[tuple[Block, float, float]]:
        """Each block, how far it is moved to the right and how far back [m]; they begin at 0."""
        for row in self.rows:
            wide, number = _wide(row.blocks), len(row.blocks)
            spare = (self.seen_m / row.scale - wide) / max(number - 1, 1)
            more = min(_SPREAD_M, max(spare, 0.0)) if number > 1 else 0.0
            left = (self.seen_m - wide - more * (number - 1)) / 2
            for block in row.blocks:
                yield block, left - block.left, -row.behind_m
                left += block.width_m + more


def in_rows(in_one: Sequence[Block], in_order: Sequence[Block], *, one_row: bool) -> Rows:
    """The arrangement in which pieces come out largest: `in_one` row, or `in_order` in several."""
    best = _single(in_one)
    free = [block for block in in_order if not block.behind]
    walled = tuple(block for block in in_order if block.behind)
    if one_row or not free or len(in_order) == 1:
        return best
    least = best.size * _WORTH_IT
    for number in range(1, _MOST_ROWS + 1):
        split = sorted(_split(free, number), key=lambda row: max(block.high for block in row))
        groups = [*split, walled] if walled else split
        rows = _looked_down_on(groups) if len(groups) > 1 else None
        if rows is not None and rows.size > least:
            best, least = rows, rows.size * _WORTH_A_ROW
    return best


def _single(blocks: Sequence[Block]) -> Rows:
    high = max(_TALL_M, *(block.high for block in blocks))
    low = min(block.low for block in blocks)
    size = _size(_wide(blocks), high - low)
    return Rows(rows=(Row(blocks=tuple(blocks), behind_m=0.0, scale=1.0),), eye_m=None, size=size)


def _looked_down_on(groups: Sequence[tuple[Block, ...]]) -> Rows | None:
    """Rows each just clear above the one before it; None where they would reach the horizon."""
    away = max(_NEAREST_M, _AWAY * max(map(_wide, groups)))
    eye = _RISE * away
    rows: list[Row] = []
    top, behind = 0.0, 0.0
    for blocks in groups:
        scale = 1.0
        if rows:
            low = min(block.low for block in blocks)
            scale = min((eye - top - _BETWEEN_M) / (eye - low), away / (away + behind))
            if scale <= 0:
                return None
            behind = away * (1 / scale - 1)
        rows.append(Row(blocks=blocks, behind_m=behind, scale=scale))
        high = max(block.high for block in blocks)
        top = max(top, eye + (high - eye) * scale)
        behind += _STEP_BACK_M
    low = min(block.low for block in groups[0])
    seen = max(row.seen_m for row in rows)
    mean = sum(row.scale * len(row.blocks) for row in rows) / sum(map(len, groups))
    return Rows(
        rows=tuple(rows), eye_m=(eye, away), size=_size(seen, max(top, _TALL_M) - low) * mean
    )


def _split(blocks: Sequence[Block], number: int) -> list[tuple[Block, ...]]:
    """At most so many rows, in order, the widest of them as narrow as can be."""
    limit = max(_wide(blocks) / number, *(block.width_m for block in blocks))
    while len(rows := _filled(blocks, limit)) > number:
        limit *= 1.02
    return rows


def _filled(blocks: Sequence[Block], limit: float) -> list[tuple[Block, ...]]:
    rows: list[tuple[Block, ...]] = [()]
    for block in blocks:
        if rows[-1] and _wide((*rows[-1], block)) > limit + 1e-9:
            rows.append(())
        rows[-1] = (*rows[-1], block)
    return rows


def _wide(blocks: Sequence[Block]) -> float:
    return sum(block.width_m for block in blocks)


def _size(wide: float, high: float) -> float:
    """How large what is so wide and high [m] comes out in a picture, in pictures to the metre."""
    return 1 / max((wide + _BESIDE_M) / _ASPECT_M, high)
