"""Patterns, and how all but stripes cut the balloons of one size class into clusters."""

from collections.abc import Callable, Iterable, Mapping, Sequence
from enum import StrEnum
from heapq import heapify, heappop, heapreplace
from itertools import accumulate, pairwise
from math import isqrt
from operator import sub

from service.estimating.colouring.slots import Numbers, Part


class Pattern(StrEnum):
    """How colours follow one another along the line.

    mixed: every stretch holds each colour near its share. With m colours, a colour is never
    further from its due, after any number of clusters, than half the sum of 1/F(k) for k below m,
    F(k) being Fibonacci's numbers: 0.5, 1, 1.25 balloons of a size class for two, three, four
    colours, and below 1.7 for any number. Derived, from `mixed`'s tree.

    blocks: the palette in order, one stretch each and size class. ombre: blocks that blend over
    half of the shorter one on either side of each border, in even steps.

    stripe: clusters of one colour, taking turns by share, and fillers in the colour of the base
    cluster before them where the totals allow. Of nested quads as few are of several colours as
    can be: at most three for every four colours.
    """

    MIXED = "mixed"
    OMBRE = "ombre"
    BLOCKS = "blocks"
    STRIPE = "stripe"

    @property
    def words(self) -> str:
        """The name as people say it."""
        return "ombré" if self is Pattern.OMBRE else self.value


def mixed(numbers: Numbers, ends: Sequence[int]) -> Iterable[tuple[int, ...]]:
    """Each colour near its share up to each of `ends`.

    The two scarcest are merged as evenly as whole balloons can be, the merged count as one, and
    so on (Huffman's tree). Merged first, scarce colours keep away from one another, and errors
    shrink on their way down: each ancestor in the tree outweighs the two before it together.
    """
    heap = [(number, i) for i, number in enumerate(numbers) if number]
    heapify(heap)
    merges: list[tuple[int, int, int, int]] = []
    while len(heap) > 1:
        fewer, scarce = heappop(heap)
        more, common = heap[0]
        heapreplace(heap, (fewer + more, len(numbers) + len(merges)))
        merges.append((fewer, fewer + more, scarce, common))
    upto: list[Sequence[int]] = [[0] * len(ends)] * (len(numbers) + len(merges))
    for _, root in heap:
        upto[root] = ends
    for fewer, both, scarce, common in reversed(merges):
        whole = upto.pop()
        double, twice = 2 * fewer, 2 * both
        upto[scarce] = part = [(end * double + both) // twice for end in whole]
        upto[common] = list(map(sub, whole, part))
    return zip(*[map(sub, row[1:], row) for row in upto], strict=True)


def _blocks(numbers: Numbers, ends: Sequence[int]) -> Iterable[bytes]:
    return _cut(in_order(numbers), ends, len(numbers))


def _ombre(numbers: Numbers, ends: Sequence[int]) -> Iterable[bytes]:
    """Blocks, with the next colour's share growing linearly across each border.

    Over 2w balloons the next colour has t²/4w among the first t: its k-th comes where that
    reaches k + 1/2.
    """
    stream = bytearray(in_order(numbers))
    border = 0
    for this, then in pairwise([i for i, number in enumerate(numbers) if number]):
        border += numbers[this]
        half = min(numbers[this], numbers[then]) // 2
        start = border - half
        stream[border : border + half] = stream[start:border]
        for k in range(half):
            stream[start + isqrt((4 * k + 2) * half - 1)] = then
    return _cut(stream, ends, len(numbers))


CUTS: Mapping[Pattern, Callable[[Numbers, Sequence[int]], Iterable[Part]]] = {
    Pattern.MIXED: mixed,
    Pattern.BLOCKS: _blocks,
    Pattern.OMBRE: _ombre,
}


def in_order(numbers: Numbers) -> bytes:
    """Balloons one after another, each by its colour, in the palette's order."""
    return b"".join([bytes((i,)) * number for i, number in enumerate(numbers)])


def _cut(stream: Iterable[int], ends: Sequence[int], colours: int) -> Iterable[bytes]:
    # A balloon is an integer with a 1 in its colour's byte. The difference of two running sums
    # is then a whole cluster, which spares counting its balloons one by one.
    units = [1 << 8 * i for i in range(colours)]
    held = list(accumulate(map(units.__getitem__, stream), initial=0))
    upto = [held[end] for end in ends]
    return [cluster.to_bytes(colours, "little") for cluster in map(sub, upto[1:], upto)]
