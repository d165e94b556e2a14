"""How a piece's colours are spread over its clusters, in order along the line.

Whole clusters and whole balloons go in, and whole balloons of each colour in every cluster come
out, so that each can be tied; of no size class and colour is there one balloon more or fewer.
It knows no kind of cluster by name, and no colour: inside, a colour is its place in the palette.
"""

from collections import Counter, defaultdict
from collections.abc import Callable, Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum
from functools import cache
from heapq import heapify, heappop, heapreplace
from itertools import accumulate, count, islice, pairwise
from math import isqrt
from operator import sub
from typing import TypeVar

from service.estimating.errors import EstimatingError, Faults

Kind = TypeVar("Kind", bound=str)

Numbers = Sequence[int]
"""How many of each colour, in the palette's order."""

Rows = Mapping[int, Numbers]
"""How many of each colour by size class [in]."""

Part = tuple[int, ...] | bytes
"""How many of each colour are in one cluster, of one size class."""

Makeup = tuple[Part, ...]
"""All that is in one cluster, by its size classes in order."""

MOST = 255
"""Colours in a palette, and balloons of one size class in a cluster: each is held in a byte."""


class Pattern(StrEnum):
    """How colours follow one another along the line.

    mixed: every stretch holds each colour near its share. With m colours, a colour is never
    further from its due, after any number of clusters, than half the sum of 1/F(k) for k below m,
    F(k) being Fibonacci's numbers: 0.5, 1, 1.25 balloons of a size class for two, three, four
    colours, and below 1.7 for any number. Derived, from `_mixed`'s tree.

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


class ArrangementError(EstimatingError):
    """Clusters, balloons and palette do not fit one another."""


@dataclass(frozen=True, kw_only=True, slots=True)
class ClusterType:
    """Clusters of one kind and make-up, `count` of them in all pieces together.

    `balloons` is (size class [in], colour, number), by size class and the palette's order. A
    `filler` is pushed in between base clusters, which are tied along the line.
    """

    kind: str
    filler: bool
    balloons: tuple[tuple[int, str, int], ...]
    count: int


@dataclass(frozen=True, kw_only=True, slots=True)
class Run:
    """`pieces` that are made alike: indexes of their clusters' types from start to end."""

    pieces: int
    order: tuple[int, ...]


@dataclass(frozen=True, kw_only=True, slots=True)
class Arrangement:
    """Every cluster of every piece: distinct types, as they first appear, and the runs of them."""

    types: tuple[ClusterType, ...]
    runs: tuple[Run, ...]


def arrange(
    *,
    base: Mapping[Kind, int],
    fill: Mapping[Kind, int],
    contents: Mapping[Kind, Mapping[int, int]],
    counts: Mapping[tuple[int, str], int],
    palette: Sequence[str],
    pattern: Pattern,
    pieces: int = 1,
) -> Arrangement:
    """Balloons by colour in each cluster along the line, by `pattern`.

    `base` and `fill` are clusters of one piece by kind, `contents` their balloons by size class
    [in]; `counts` are balloons of all `pieces` together by size class and colour, and are kept
    exactly. Any two pieces differ by at most one balloon of a size class and colour, and each
    begins the pattern anew. Equal arguments give equal answers, in whatever order the mappings
    are; the palette's order counts.

    Raises ArrangementError with every fault, above all where `counts` do not fill the clusters.
    """
    _refuse(base, fill, contents, counts, palette, pieces)
    slots = _slots(base, fill, contents)
    line = _line(slots)
    sizes = sorted({size for slot in slots for size in slot.contents})
    rows = {size: [counts.get((size, colour), 0) for colour in palette] for size in sizes}
    index: defaultdict[tuple[int, Makeup], int] = defaultdict(count().__next__)
    runs = []
    for alike, dealt in _dealt(rows, pieces):
        makeups = _makeups(pattern, slots, line, dealt)
        order = tuple(map(index.__getitem__, zip(line, makeups, strict=True)))
        runs.append(Run(pieces=alike, order=order))
    return Arrangement(types=_types(slots, palette, index, runs), runs=tuple(runs))


@dataclass(frozen=True, kw_only=True, slots=True)
class _Slot:
    """A kind of cluster in one role: how many a piece has, and the balloons in each by size."""

    kind: str
    filler: bool
    contents: Mapping[int, int]
    number: int


def _slots(
    base: Mapping[Kind, int], fill: Mapping[Kind, int], contents: Mapping[Kind, Mapping[int, int]]
) -> Sequence[_Slot]:
    return [
        _Slot(
            kind=kind,
            filler=filler,
            contents=dict(sorted(contents[kind].items())),
            number=kinds[kind],
        )
        for filler, kinds in ((False, base), (True, fill))
        for kind in sorted(kinds)
        if kinds[kind]
    ]


def _line(slots: Sequence[_Slot]) -> bytes:
    """Indexes of slots along the line: base clusters, and fillers in the gaps between them."""
    line = _evenly([(slot.number, i) for i, slot in enumerate(slots) if not slot.filler])
    fill = _evenly([(slot.number, i) for i, slot in enumerate(slots) if slot.filler])
    gaps, twice = max(1, len(line) - 1), 2 * len(fill)
    for i, filler in enumerate(fill):
        line.insert((2 * i + 1) * gaps // twice + 1 + i, filler)
    return bytes(line)


def _evenly(numbers: Iterable[tuple[int, int]]) -> bytearray:
    line = bytearray()
    for number, slot in sorted(numbers, reverse=True):
        total, twice = len(line) + number, 2 * number
        for i in range(number):
            line.insert((2 * i + 1) * total // twice, slot)
    return line


def _dealt(rows: Rows, pieces: int) -> Sequence[tuple[int, Rows]]:
    """Groups of pieces that hold the same, and the balloons of one such piece.

    What does not divide by `pieces` is dealt out like cards, one colour after another and round
    and round, so that the odd balloons of a colour all go to different pieces.
    """
    if pieces == 1:
        return [(1, rows)]
    dealt = {
        size: tuple(accumulate([number % pieces for number in row], initial=0))
        for size, row in rows.items()
    }
    firsts = sorted({start % pieces for starts in dealt.values() for start in starts})
    groups: Counter[tuple[Numbers, ...]] = Counter()
    for first, after in pairwise([*firsts, pieces]):
        held = [
            tuple(
                number // pieces + ((first - start) % pieces < number % pieces)
                for number, start in zip(row, dealt[size], strict=False)
            )
            for size, row in rows.items()
        ]
        groups[tuple(held)] += after - first
    return [(alike, dict(zip(rows, held, strict=True))) for held, alike in groups.items()]


def _makeups(pattern: Pattern, slots: Sequence[_Slot], line: bytes, rows: Rows) -> Iterable[Makeup]:
    if pattern is Pattern.STRIPE:
        return _striped(slots, line, rows)
    cut = _CUTS[pattern]
    parts = {size: iter(cut(row, _ends(slots, line, size))) for size, row in rows.items()}
    takes = [zip(*[parts[size] for size in slot.contents], strict=True) for slot in slots]
    return map(next, map(takes.__getitem__, line))


def _ends(slots: Sequence[_Slot], line: bytes, size: int) -> Sequence[int]:
    """Balloons of a size class up to the end of each cluster that holds any, from 0."""
    each = {i: slot.contents[size] for i, slot in enumerate(slots) if size in slot.contents}
    without = bytes([i for i in range(len(slots)) if i not in each])
    held = line.translate(bytes.maketrans(bytes(each), bytes(each.values())), without)
    return list(accumulate(held, initial=0))


def _mixed(numbers: Numbers, ends: Sequence[int]) -> Iterable[tuple[int, ...]]:
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
    return _cut(_in_order(numbers), ends, len(numbers))


def _ombre(numbers: Numbers, ends: Sequence[int]) -> Iterable[bytes]:
    """Blocks, with the next colour's share growing linearly across each border.

    Over 2w balloons the next colour has t²/4w among the first t: its k-th comes where that
    reaches k + 1/2.
    """
    stream = bytearray(_in_order(numbers))
    border = 0
    for this, then in pairwise([i for i, number in enumerate(numbers) if number]):
        border += numbers[this]
        half = min(numbers[this], numbers[then]) // 2
        start = border - half
        stream[border : border + half] = stream[start:border]
        for k in range(half):
            stream[start + isqrt((4 * k + 2) * half - 1)] = then
    return _cut(stream, ends, len(numbers))


_CUTS: Mapping[Pattern, Callable[[Numbers, Sequence[int]], Iterable[Part]]] = {
    Pattern.MIXED: _mixed,
    Pattern.BLOCKS: _blocks,
    Pattern.OMBRE: _ombre,
}


def _in_order(numbers: Numbers) -> bytes:
    return b"".join([bytes((i,)) * number for i, number in enumerate(numbers)])


def _cut(stream: Iterable[int], ends: Sequence[int], colours: int) -> Iterable[bytes]:
    # A balloon is an integer with a 1 in its colour's byte. The difference of two running sums
    # is then a whole cluster, which spares counting its balloons one by one.
    units = [1 << 8 * i for i in range(colours)]
    held = list(accumulate(map(units.__getitem__, stream), initial=0))
    upto = [held[end] for end in ends]
    return [cluster.to_bytes(colours, "little") for cluster in map(sub, upto[1:], upto)]


def _striped(slots: Sequence[_Slot], line: bytes, rows: Rows) -> Iterable[Makeup]:
    quotas, left = _of_one_colour(slots, rows)
    colours = len(quotas[0]) - 1
    streams = {size: iter(_in_order(row)) for size, row in left.items()}

    @cache
    def single(slot: int, colour: int) -> Makeup:
        before, after = bytes(colour), bytes(colours - 1 - colour)
        return tuple([before + bytes((n,)) + after for n in slots[slot].contents.values()])

    def several(slot: int) -> Makeup:
        held = [bytes(islice(streams[size], n)) for size, n in slots[slot].contents.items()]
        return tuple([bytes(map(part.count, range(colours))) for part in held])

    return [
        single(slot, label) if label < colours else several(slot)
        for slot, label in zip(line, _labels(slots, line, quotas), strict=True)
    ]


def _of_one_colour(slots: Sequence[_Slot], rows: Rows) -> tuple[Sequence[Numbers], Rows]:
    """Clusters of one colour by slot and colour, last how many have several; balloons for those.

    Slots that are hard to fill choose first: those of several size classes, then the larger.
    """
    left = dict(rows)
    quotas: list[Numbers] = [()] * len(slots)
    hard = [(-len(slot.contents), -sum(slot.contents.values()), i) for i, slot in enumerate(slots)]
    for _, _, i in sorted(hard):
        contents = slots[i].contents.items()
        most = [[have // each for have in left[size]] for size, each in contents]
        quota = _shared(slots[i].number, [min(limits) for limits in zip(*most, strict=True)])
        for size, each in contents:
            left[size] = [have - each * n for have, n in zip(left[size], quota, strict=True)]
        quotas[i] = [*quota, slots[i].number - sum(quota)]
    return quotas, left


def _shared(number: int, most: Numbers) -> Numbers:
    """`number` shared out in proportion to `most`, no share above it; less if `most` is less."""
    whole = sum(most)
    if whole <= number:
        return most
    given = [number * limit // whole for limit in most]
    nearest = sorted(range(len(most)), key=lambda i: -(number * most[i] % whole))
    for i in nearest[: number - sum(given)]:
        given[i] += 1
    return given


def _turns(numbers: Numbers) -> bytes:
    """So many of each, one at a time, as evenly as can be."""
    return bytes([step.index(1) for step in _mixed(numbers, range(sum(numbers) + 1))])


def _labels(slots: Sequence[_Slot], line: bytes, quotas: Sequence[Numbers]) -> Iterable[int]:
    """The colour of each cluster along the line, or one more than the last for several."""
    base = bytes(i for i, slot in enumerate(slots) if not slot.filler)
    fill = bytes(i for i, slot in enumerate(slots) if slot.filler)
    turns = _turns([sum(numbers) for numbers in zip(*[quotas[i] for i in base], strict=True)])
    tied = _settled(turns, line.translate(None, fill), quotas)
    before = accumulate([slot in base for slot in line])
    wanted = [tied[n - 1] for n, slot in zip(before, line, strict=True) if slot in fill]
    pushed = _settled(bytes(wanted), line.translate(None, base), quotas)
    roles = iter(tied), iter(pushed)
    return [next(roles[slot in fill]) for slot in line]


def _settled(labels: bytes, line: bytes, quotas: Sequence[Numbers]) -> bytes:
    """`labels`, with as few as need be changed, evenly, so that each slot has its quota."""
    settled = bytearray(labels)
    for slot in sorted(set(line)):
        at = [i for i, other in enumerate(line) if other == slot]
        held = bytes([labels[i] for i in at])
        over = [held.count(label) - number for label, number in enumerate(quotas[slot])]
        spare: list[int] = []
        for label, more in enumerate(over):
            if more > 0:
                mine = [i for i in at if labels[i] == label]
                spare += [mine[(2 * k + 1) * len(mine) // (2 * more)] for k in range(more)]
        lacking = _turns([max(0, -more) for more in over]) if spare else b""
        for i, label in zip(sorted(spare), lacking, strict=True):
            settled[i] = label
    return bytes(settled)


def _types(
    slots: Sequence[_Slot],
    palette: Sequence[str],
    index: Collection[tuple[int, Makeup]],
    runs: Sequence[Run],
) -> tuple[ClusterType, ...]:
    times = [0] * len(index)
    for run in runs:
        for i in run.order:
            times[i] += run.pieces
    types = []
    for (place, makeup), number in zip(index, times, strict=True):
        slot = slots[place]
        balloons = [
            (size, palette[i], n)
            for size, part in zip(slot.contents, makeup, strict=True)
            for i, n in enumerate(part)
            if n
        ]
        types.append(
            ClusterType(kind=slot.kind, filler=slot.filler, balloons=tuple(balloons), count=number)
        )
    return tuple(types)


def _refuse(
    base: Mapping[Kind, int],
    fill: Mapping[Kind, int],
    contents: Mapping[Kind, Mapping[int, int]],
    counts: Mapping[tuple[int, str], int],
    palette: Sequence[str],
    pieces: int,
) -> None:
    faults = Faults()
    faults.check(pieces >= 1, "pieces", "give a whole number from 1")
    faults.check(any(base.values()), "base", "give at least one base cluster")
    _check_palette(faults, counts, palette)
    lacking: dict[int, int] = {}
    for role, kinds in (("base", base), ("fill", fill)):
        faults.check(min(kinds.values(), default=0) >= 0, role, "give no number below 0")
        for kind, number in kinds.items():
            inside = contents.get(kind, {})
            if not inside or min(inside.values()) < 1 or max(inside.values()) > MOST:
                faults.add(f"contents.{kind}", f"give 1 to {MOST} balloons of each size class")
            for size, each in inside.items():
                lacking[size] = lacking.get(size, 0) + pieces * number * each
    for (size, _), number in counts.items():
        lacking[size] = lacking.get(size, 0) - number
    for size, number in lacking.items():
        if number:
            words = f"{number} too few" if number > 0 else f"{-number} too many"
            faults.add("counts", f"{words} of size {size} for the clusters")
    faults.raise_as(ArrangementError)


def _check_palette(
    faults: Faults, counts: Mapping[tuple[int, str], int], palette: Sequence[str]
) -> None:
    known = set(palette)
    once = len(known) == len(palette) <= MOST
    faults.check(once, "palette", f"name each colour once, and at most {MOST}")
    unknown = {colour for _, colour in counts} - known
    if unknown:
        faults.add("counts", f"not in the palette: {', '.join(sorted(unknown))}")
    faults.check(min(counts.values(), default=0) >= 0, "counts", "give no number below 0")
