"""What is spent at several vendors at once, kept in one integer: a lane of bits for each.

Sums of such integers are the sums of all the spends; a search adds up nothing else so often.
"""

from bisect import bisect_left
from collections.abc import Sequence
from operator import ge
from typing import Any, TypeVar

LANE = 40
"""Bits of a vendor's lane: spends up to ten thousand million."""

LANE_MASK = (1 << LANE) - 1

MOST_COMPARED = 12
"""Others that each is compared with, where more than two spends matter."""

Spending = TypeVar("Spending", bound=tuple[Any, ...])
"""A tuple that begins with a cost and the spends."""


def undominated(ways: list[Spending], lanes: Sequence[int]) -> list[Spending]:
    """`ways` without those that cost as much as another and spend no more in any of `lanes`."""
    if len(lanes) == 1:
        return _most_in_one(ways, lanes[0] * LANE)
    ways.sort(key=lambda way: (way[0], -way[1]))
    if len(lanes) == 2:
        return _most_in_two(ways, lanes[0] * LANE, lanes[1] * LANE)
    return _most_in_any(ways, [lane * LANE for lane in lanes])


def _most_in_one(ways: list[Spending], shift: int) -> list[Spending]:
    kept, most = [], -1
    ways.sort(key=lambda way: (way[0], -(way[1] >> shift & LANE_MASK)))
    for way in ways:
        spent = way[1] >> shift & LANE_MASK
        if spent > most:
            kept.append(way)
            most = spent
    return kept


def _most_in_two(ways: list[Spending], one: int, two: int) -> list[Spending]:
    # Of the ways so far those that spend most: rising in the one lane, so falling in the other.
    kept: list[Spending] = []
    rising: list[int] = []
    falling: list[int] = []
    for way in ways:
        first, second = way[1] >> one & LANE_MASK, way[1] >> two & LANE_MASK
        at = bisect_left(rising, first)
        if at < len(rising) and falling[at] >= second:
            continue
        kept.append(way)
        end = at + (at < len(rising) and rising[at] == first)
        while at > 0 and falling[at - 1] <= second:
            at -= 1
        rising[at:end] = [first]
        falling[at:end] = [second]
    return kept


def _most_in_any(ways: list[Spending], shifts: Sequence[int]) -> list[Spending]:
    kept: list[Spending] = []
    spends: list[list[int]] = []
    for way in ways:
        mine = [way[1] >> shift & LANE_MASK for shift in shifts]
        # To keep one that is beaten does no harm: most are by one not much cheaper.
        if not any(all(map(ge, theirs, mine)) for theirs in spends[-MOST_COMPARED:]):
            kept.append(way)
            spends.append(mine)
    return kept
