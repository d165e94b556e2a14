"""Blocks of blocks: cautions in a box, things side by side, in columns, labels in a grid."""

from collections.abc import Sequence
from dataclasses import KW_ONLY, dataclass, replace
from itertools import accumulate, chain

from service.rendering.paper.marks import ACCENT, LINE, SHADE, Mark, Rectangle
from service.rendering.paper.slabs import Block, Room, Slab, glued, slabs_of, stacked
from service.rendering.paper.texts import Paragraph, Together, indented

_PADDING = 3.2
_BAR = 1.1


@dataclass(frozen=True, slots=True)
class Callout:
    """What is to be minded: shaded, with a bar at its side. Only a long one goes on over pages."""

    title: str
    texts: Sequence[str]
    _: KW_ONLY
    size: float = 9.5
    before: float = 4.0

    def slabs(self, room: Room) -> Sequence[Slab]:
        """Those of its lines, each with its part of the box."""
        inner = Room(width=room.width - 2 * _PADDING - _BAR, height=room.height)
        title = (Paragraph(self.title, size=self.size + 0.5, bold=True, glued=True),)
        texts = [Paragraph(text, size=self.size, before=1.4) for text in self.texts]
        edge = Slab(height=_PADDING * 0.7, glued=True)
        within = slabs_of([*(title if self.title else ()), *texts], inner)
        within[0] = replace(within[0], before=0.0)
        within[-1] = replace(within[-1], glued=True)
        last = replace(edge, glued=False)
        moved = indented([edge, *within, last], _PADDING + _BAR)
        boxed = [self._boxed(slab, room.width) for slab in moved]
        if sum(slab.height for slab in boxed) < room.height / 2:
            boxed = [*(replace(slab, glued=True) for slab in boxed[:-1]), boxed[-1]]
        return [replace(boxed[0], before=self.before), *boxed[1:]]

    def _boxed(self, slab: Slab, width: float) -> Slab:
        """The gap above belongs to the box, so that its shade has no stripes."""
        height = slab.before + slab.height
        # A hair more, lest a line shows where two parts meet.
        shade = Rectangle(0, 0, width, height + 0.05, None, SHADE)
        bar = Rectangle(0, 0, _BAR, height + 0.05, None, ACCENT)
        marks = tuple(mark.placed(0, slab.before) for mark in slab.marks)
        return replace(slab, height=height, before=0.0, marks=(shade, bar, *marks))


@dataclass(frozen=True, slots=True)
class Beside:
    """Blocks in two columns of one height; one below the other where no page is high enough."""

    left: Sequence[Block]
    right: Sequence[Block]
    _: KW_ONLY
    shares: tuple[float, float] = (1.0, 1.0)
    gap: float = 6.0
    before: float = 3.0

    def slabs(self, room: Room) -> Sequence[Slab]:
        """One with both, as a rule."""
        free = room.width - self.gap
        left_width = free * self.shares[0] / sum(self.shares)
        left = stacked(slabs_of(self.left, replace(room, width=left_width)))
        right = stacked(slabs_of(self.right, replace(room, width=free - left_width)))
        height = max(left.height, right.height)
        if height > room.height:
            return slabs_of([*self.left, *self.right], room)
        moved = [mark.placed(left_width + self.gap, 0) for mark in right.marks]
        return [Slab(height=height, marks=(*left.marks, *moved), before=self.before)]


@dataclass(frozen=True, slots=True)
class Columns:
    """Blocks read down one column, then down another of about the same height; none is parted.

    One below the other as ever where no page is high enough.
    """

    blocks: Sequence[Block]
    _: KW_ONLY
    gap: float = 8.0
    before: float = 3.0

    def slabs(self, room: Room) -> Sequence[Slab]:
        """One with both columns, as a rule."""
        width = (room.width - self.gap) / 2
        whole = [Together((block,)) for block in self.blocks]
        groups = list(glued(slabs_of(whole, replace(room, width=width))))
        both = min(
            (self._halved(groups, i) for i in range(1, len(groups) + 1)),
            key=lambda columns: max(column.height for column in columns),
        )
        height = max(column.height for column in both)
        if height > room.height:
            return slabs_of(self.blocks, room)
        moved = [mark.placed(width + self.gap, 0) for mark in both[1].marks]
        return [Slab(height=height, marks=(*both[0].marks, *moved), before=self.before)]

    @staticmethod
    def _halved(groups: Sequence[Sequence[Slab]], at: int) -> tuple[Slab, Slab]:
        left, right = (chain.from_iterable(half) for half in (groups[:at], groups[at:]))
        return stacked(left), stacked(right)


@dataclass(frozen=True, slots=True)
class Grid:
    """Cells of blocks in equal columns, such as labels; a row is as high as its highest cell.

    `frame` is the colour of the line around each.
    """

    cells: Sequence[Sequence[Block]]
    _: KW_ONLY
    columns: int = 2
    gap: float = 4.0
    min_height: float = 0.0
    framed: bool = True
    frame: str = LINE
    padding: float = 3.0

    def slabs(self, room: Room) -> Sequence[Slab]:
        """One for each row of cells."""
        width = (room.width - self.gap * (self.columns - 1)) / self.columns
        inner = Room(width=width - 2 * self.padding, height=room.height - 2 * self.padding)
        cells = [stacked(slabs_of(blocks, inner)) for blocks in self.cells]
        rows = [cells[i : i + self.columns] for i in range(0, len(cells), self.columns)]
        return [self._row(row, width) for row in rows]

    def _row(self, row: Sequence[Slab], width: float) -> Slab:
        inside = max(cell.height for cell in row) + 2 * self.padding
        height = max(self.min_height, inside)
        places = accumulate([width + self.gap] * (len(row) - 1), initial=0.0)
        marks: list[Mark] = []
        for x, cell in zip(places, row, strict=True):
            if self.framed:
                marks.append(Rectangle(x, 0, width, height, self.frame, None, 0.3, 1.5))
            marks += [mark.placed(x + self.padding, self.padding) for mark in cell.marks]
        return Slab(height=height, marks=tuple(marks), before=self.gap)
