"""Slabs: what is not parted when a page breaks, and how slabs fill pages."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Protocol

from service.rendering.paper.marks import Line, Mark, Rectangle

# Figures that add up to a page in two orders may differ by this much.
_HAIR = 1e-6


@dataclass(frozen=True, kw_only=True, slots=True)
class Room:
    """What a page has between its margins, in mm."""

    width: float
    height: float


@dataclass(frozen=True, kw_only=True, slots=True)
class Slab:
    """Marks of so much height, from its own top left, with a gap `before` it unless it is first.

    A `glued` one stays with the next. `heads` stand above it where it begins a page. After one that
    `ends` a page comes another.
    """

    height: float
    marks: tuple[Mark, ...] = ()
    before: float = 0.0
    glued: bool = False
    heads: "tuple[Slab, ...]" = ()
    ends: bool = False


class Block(Protocol):
    """What a document is made of."""

    def slabs(self, room: Room) -> Sequence[Slab]:
        """The block in slabs, as wide as the room; none is wider."""


def slabs_of(blocks: Iterable[Block], room: Room) -> list[Slab]:
    """Blocks one below the other."""
    return [slab for block in blocks for slab in block.slabs(room)]


def stacked(slabs: Iterable[Slab]) -> Slab:
    """Slabs as one that is not parted."""
    marks: list[Mark] = []
    y = 0.0
    for slab in slabs:
        y += slab.before if y else 0.0
        marks += [mark.placed(0, y) for mark in slab.marks]
        y += slab.height
    return Slab(height=y, marks=tuple(marks))


def pages_of(slabs: Iterable[Slab], room: Room) -> list[list[Mark]]:
    """Every page's marks, from the top left of what is between the margins."""
    filling = _Filling(room)
    for group in glued(slabs):
        filling.take(group)
    return filling.pages if filling.pages[-1] or len(filling.pages) == 1 else filling.pages[:-1]


class _Filling:
    """The pages so far, and how far down the last one is filled."""

    def __init__(self, room: Room) -> None:
        self._height = room.height
        self.pages: list[list[Mark]] = [[]]
        self._y = 0.0

    def take(self, group: Sequence[Slab]) -> None:
        """Put slabs that stay together on this page, or on the next where they fit there better."""
        whole = sum(slab.before + slab.height for slab in group)
        if self._y and not self._fits(whole):
            self._turn()
        for slab in group:
            self._put(slab)

    def _put(self, slab: Slab) -> None:
        if self._y and not self._fits(slab.before + slab.height):
            self._turn()
        if not self._y:
            for head in slab.heads:
                self._draw(head)
        self._y += slab.before if self._y else 0.0
        while not self._fits(slab.height):
            slab = self._cut(slab)
        self._draw(slab)
        if slab.ends and self._y:
            self._turn()

    def _cut(self, slab: Slab) -> Slab:
        """Draw what there is room for; what is left of a slab that no page holds."""
        first, rest = _parted(slab, self._height - self._y)
        self._draw(first)
        self._turn()
        for head in slab.heads:
            self._draw(head)
        return rest

    def _draw(self, slab: Slab) -> None:
        self.pages[-1] += [mark.placed(0, self._y) for mark in slab.marks]
        self._y += slab.height

    def _fits(self, height: float) -> bool:
        return self._y + height <= self._height + _HAIR

    def _turn(self) -> None:
        self.pages.append([])
        self._y = 0.0


def glued(slabs: Iterable[Slab]) -> Iterator[list[Slab]]:
    """Slabs in groups that stay together."""
    group: list[Slab] = []
    for slab in slabs:
        group.append(slab)
        if not slab.glued:
            yield group
            group = []
    if group:
        yield group


def _parted(slab: Slab, height: float) -> tuple[Slab, Slab]:
    """A slab cut where no text and no picture is, as low as there is room."""
    whole = [mark.extent for mark in slab.marks if not isinstance(mark, (Line, Rectangle))]
    cut = height
    for top, bottom in sorted(whole, reverse=True):
        if top < cut < bottom:
            cut = top
    # A picture that fills a page and more has to be cut somewhere.
    cut = cut if cut > _HAIR else height
    above: list[Mark] = []
    below: list[Mark] = []
    for mark in slab.marks:
        top, bottom = mark.extent
        if bottom <= cut or not isinstance(mark, (Line, Rectangle)):
            (above if bottom <= cut + _HAIR else below).append(mark)
            continue
        above += _between(mark, 0.0, cut)
        below += _between(mark, cut, slab.height)
    moved = tuple(mark.placed(0, -cut) for mark in below)
    first = replace(slab, height=cut, marks=tuple(above), ends=False)
    return first, replace(slab, height=slab.height - cut, marks=moved)


def _between(mark: Line | Rectangle, top: float, bottom: float) -> list[Mark]:
    """The part of a line or rectangle between two heights."""
    start, end = max(mark.extent[0], top), min(mark.extent[1], bottom)
    if end < start or (end == start and mark.extent[0] != mark.extent[1]):
        return []
    if isinstance(mark, Rectangle):
        return [replace(mark, y=start, height=end - start)]
    if mark.x1 == mark.x2:
        return [replace(mark, y1=start, y2=end)]
    return [mark] if top <= mark.extent[0] < bottom else []
