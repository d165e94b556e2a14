"""Clusters of one colour that take turns, and as few of several colours as can be."""

from collections.abc import Iterable, Sequence
from functools import cache
from itertools import accumulate, islice

from service.estimating.colouring.patterns import in_order, mixed
from service.estimating.colouring.slots import Makeup, Numbers, Rows, Slot


def striped(slots: Sequence[Slot], line: bytes, rows: Rows) -> Iterable[Makeup]:
    """What is in each cluster along the line, of nearly all of them in one colour."""
    quotas, left = _of_one_colour(slots, rows)
    colours = len(quotas[0]) - 1
    streams = {size: iter(in_order(row)) for size, row in left.items()}

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


def _of_one_colour(slots: Sequence[Slot], rows: Rows) -> tuple[Sequence[Numbers], Rows]:
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
    return bytes([step.index(1) for step in mixed(numbers, range(sum(numbers) + 1))])


def _labels(slots: Sequence[Slot], line: bytes, quotas: Sequence[Numbers]) -> Iterable[int]:
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
