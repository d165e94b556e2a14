"""Arranging clusters and their colours along the line, for one piece or several alike."""

from collections import Counter, defaultdict
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from itertools import accumulate, count, pairwise

from service.estimating.colouring.patterns import CUTS, Pattern
from service.estimating.colouring.slots import (
    MOST,
    Kind,
    Makeup,
    Numbers,
    Rows,
    Slot,
    line_of,
    slots_of,
)
from service.estimating.colouring.stripes import striped
from service.estimating.errors import EstimatingError, Faults


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
    slots = slots_of(base, fill, contents)
    line = line_of(slots)
    sizes = sorted({size for slot in slots for size in slot.contents})
    rows = {size: [counts.get((size, colour), 0) for colour in palette] for size in sizes}
    index: defaultdict[tuple[int, Makeup], int] = defaultdict(count().__next__)
    runs = []
    for alike, dealt in _dealt(rows, pieces):
        makeups = _makeups(pattern, slots, line, dealt)
        order = tuple(map(index.__getitem__, zip(line, makeups, strict=True)))
        runs.append(Run(pieces=alike, order=order))
    return Arrangement(types=_types(slots, palette, index, runs), runs=tuple(runs))


def fillers(base: Mapping[Kind, int], fill: Mapping[Kind, int]) -> tuple[bool, ...]:
    """For each cluster from start to end, as `arrange` puts them: is it a filler?"""
    slots = slots_of(base, fill, {kind: {} for kind in (*base, *fill)})
    return tuple(slots[i].filler for i in line_of(slots))


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


def _makeups(pattern: Pattern, slots: Sequence[Slot], line: bytes, rows: Rows) -> Iterable[Makeup]:
    if pattern is Pattern.STRIPE:
        return striped(slots, line, rows)
    cut = CUTS[pattern]
    parts = {size: iter(cut(row, _ends(slots, line, size))) for size, row in rows.items()}
    takes = [zip(*[parts[size] for size in slot.contents], strict=True) for slot in slots]
    return map(next, map(takes.__getitem__, line))


def _ends(slots: Sequence[Slot], line: bytes, size: int) -> Sequence[int]:
    """Balloons of a size class up to the end of each cluster that holds any, from 0."""
    each = {i: slot.contents[size] for i, slot in enumerate(slots) if size in slot.contents}
    without = bytes([i for i in range(len(slots)) if i not in each])
    held = line.translate(bytes.maketrans(bytes(each), bytes(each.values())), without)
    return list(accumulate(held, initial=0))


def _types(
    slots: Sequence[Slot],
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
