"""Kinds of cluster in their roles, and the line that they stand in; a colour is a number here."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import TypeVar

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


@dataclass(frozen=True, kw_only=True, slots=True)
class Slot:
    """A kind of cluster in one role: how many a piece has, and the balloons in each by size."""

    kind: str
    filler: bool
    contents: Mapping[int, int]
    number: int


def slots_of(
    base: Mapping[Kind, int], fill: Mapping[Kind, int], contents: Mapping[Kind, Mapping[int, int]]
) -> Sequence[Slot]:
    """Slots that hold clusters: first those tied along the line, then fillers, each by kind."""
    return [
        Slot(
            kind=kind,
            filler=filler,
            contents=dict(sorted(contents[kind].items())),
            number=kinds[kind],
        )
        for filler, kinds in ((False, base), (True, fill))
        for kind in sorted(kinds)
        if kinds[kind]
    ]


def line_of(slots: Sequence[Slot]) -> bytes:
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
