"""The recipe on paper: clusters by their letters, and boxes to tick."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from service.rendering.paper import Align, Circle, Line, Mark, Rectangle, Text, width_of
from service.rendering.paper.lines import wrapped
from service.rendering.paper.slabs import Room, Slab, stacked
from service.workshop.build_sheet import Boxes, Letter, PieceSheet, Stretch, boxes_for, saying

_CELL, _GAP, _ROW = 11.2, 1.2, 13.4
_EDGE = 0.5
_NUMBERS = 21.0
_BOX, _BOX_GAP, _IN_A_LINE = 4.4, 1.3, 5
_LARGE = 13.0
_BLACK = "#000000"


@dataclass(frozen=True, slots=True)
class Strip:
    """Steps along the line, ten clusters beside one another, each row with its boxes."""

    piece: PieceSheet
    stretch: Stretch
    title: str

    def slabs(self, room: Room) -> Sequence[Slab]:
        """One for each row; what belongs to one repeat is not parted."""
        rows = [
            self._row(line, room) for step in self.stretch.steps for line in saying.lines_of(step)
        ]
        return _headed(rows, self.title)

    def _row(self, line: saying.Line, room: Room) -> Slab:
        # Numbers of four figures are set smaller, so that they stay clear of the first cluster.
        wide = width_of(line.numbers, size=_LARGE, bold=True)
        size = min(_LARGE, _LARGE * (_NUMBERS - 2) / wide) if wide else _LARGE
        marks: list[Mark] = [Text(0, _CELL * 0.68, line.numbers, size, True, _BLACK)]
        fillers = saying.fillers(self.piece)
        for i, letter in enumerate(line.letters):
            marks += cell(_NUMBERS + i * (_CELL + _GAP), 0, letter, filler=letter in fillers)
        height = _ROW
        if line.ends:
            right = _NUMBERS + 10 * (_CELL + _GAP) + 2
            said, height = self._ticked(line, right, room.width)
            marks += said
        return Slab(height=height, marks=tuple(marks), before=0.6, glued=not line.ends)

    def _ticked(self, line: saying.Line, x: float, end: float) -> tuple[list[Mark], float]:
        boxes = boxes_for(line.times * self.piece.count)
        marks: list[Mark] = []
        if line.times > 1:
            marks.append(Text(x, 4.6, f"× {line.times}", size=_LARGE, bold=True, colour=_BLACK))
        top = 6.4 if line.times > 1 else (_CELL - _BOX) / 2
        ticks, bottom = tick_boxes(boxes, x, top)
        marks += ticks
        said = saying.each_box(boxes)
        if said:
            for each in wrapped(said, end - x, size=7.5):
                marks.append(Text(x, bottom + 2.6, each, size=7.5, colour=_BLACK))
                bottom += 3.2
        return marks, max(_ROW, bottom + 2)


@dataclass(frozen=True, slots=True)
class Piles:
    """What to tie before the line is begun: each letter, what it holds, how many, boxes."""

    piece: PieceSheet
    title: str

    def slabs(self, room: Room) -> Sequence[Slab]:
        """One for each letter."""
        return _headed([self._row(letter, room) for letter in self.piece.letters], self.title)

    def _row(self, letter: Letter, room: Room) -> Slab:
        many = saying.to_tie(letter, self.piece.count)
        boxes = boxes_for(letter.all)
        width = _IN_A_LINE * (_BOX + _BOX_GAP)
        right = room.width - width
        counted = right - 30
        lines = wrapped(saying.holds(letter.holds), counted - _CELL - 6, size=11.5)
        marks: list[Mark] = [*cell(0, 0, letter.letter, filler=letter.filler)]
        marks.append(Text(_CELL + 3, 3.6, saying.named(letter), size=9, colour=_BLACK))
        for i, line in enumerate(lines):
            marks.append(Text(_CELL + 3, 8.6 + i * 5.2, line, size=11.5, bold=True, colour=_BLACK))
        marks.append(
            Text(right - 4, 7.6, many, size=_LARGE, bold=True, colour=_BLACK, anchor=Align.RIGHT)
        )
        ticks, bottom = tick_boxes(boxes, right, 0.4 if boxes.count > _IN_A_LINE else 3.2)
        said = saying.each_box(boxes)
        if said:
            marks.append(Text(right, bottom + 2.6, said, size=7.5, colour=_BLACK))
            bottom += 3
        height = max(_CELL, 6 + len(lines) * 5.2, bottom)
        return Slab(height=height + 0.6, marks=(*marks, *ticks), before=0.9)


@dataclass(frozen=True, slots=True)
class Spelled:
    """Every cluster with what it holds, by tens: five down, then the other five beside them."""

    piece: PieceSheet
    stretch: Stretch
    title: str

    def slabs(self, room: Room) -> Sequence[Slab]:
        """One for each ten."""
        width = (room.width - _COLUMN_GAP) / 2
        clusters = saying.one_by_one(self.piece, self.stretch)
        cells = [self._cell(number, letter, width) for number, letter in clusters]
        tens = [cells[i : i + _TEN] for i in range(0, len(cells), _TEN)]
        return _headed([_ten(ten, width + _COLUMN_GAP, room) for ten in tens], self.title)

    def _cell(self, number: int, letter: Letter, width: float) -> Slab:
        boxes = boxes_for(self.piece.count)
        ticks, below = tick_boxes(boxes, _CELL + 2, (_CELL - _BOX) / 2)
        left = _CELL + 2 + min(boxes.count, _IN_A_LINE) * (_BOX + _BOX_GAP) + 1
        lines = wrapped(saying.holds(letter.holds), width - left, size=10.5, bold=True)
        marks: list[Mark] = [*cell(0, 0, str(number), filler=letter.filler), *ticks]
        marks.append(Text(left, 3.4, saying.named(letter), size=8, colour=_BLACK))
        for i, line in enumerate(lines):
            marks.append(Text(left, 8.0 + i * 4.5, line, size=10.5, bold=True, colour=_BLACK))
        height = max(_CELL, 5.2 + len(lines) * 4.5, below)
        return Slab(height=height, marks=tuple(marks), before=1.4)


_TEN = 10
_COLUMN_GAP = 6.0


def _headed(slabs: Sequence[Slab], title: str) -> Sequence[Slab]:
    """Where a page begins with one of them, it says of which piece they are."""
    head = Slab(height=6.5, marks=(Text(0, 3.6, title, size=10.5, bold=True, colour=_BLACK),))
    return [replace(slab, heads=(head,)) for slab in slabs]


def _ten(cells: Sequence[Slab], beside: float, room: Room) -> Slab:
    """Ten cells in two columns of five under a line."""
    half = -(-len(cells) // 2)
    left, right = stacked(cells[:half]), stacked(cells[half:])
    moved = [mark.placed(0, 2.4) for mark in left.marks]
    moved += [mark.placed(beside, 2.4) for mark in right.marks]
    rule = Line(0, 0, room.width, 0, _BLACK, 0.35)
    return Slab(height=max(left.height, right.height) + 2.4, marks=(rule, *moved), before=2.4)


def cell(x: float, y: float, letter: str, *, filler: bool) -> list[Mark]:
    """A cluster's letter or number: square where it is tied on, round where it is pushed in."""
    middle, half = x + _CELL / 2, _CELL / 2 - _EDGE
    shape: Mark = (
        Circle(middle, y + _CELL / 2, half, _BLACK, None, _EDGE)
        if filler
        else Rectangle(x + _EDGE, y + _EDGE, 2 * half, 2 * half, _BLACK, None, _EDGE)
    )
    size = {1: 16.0, 2: 12.5}.get(len(letter), 9.5)
    baseline = y + _CELL / 2 + size * 0.125
    named = Text(middle, baseline, letter, size=size, bold=True, colour=_BLACK, anchor=Align.CENTRE)
    return [shape, named]


def tick_boxes(boxes: Boxes, x: float, y: float) -> tuple[list[Mark], float]:
    """Boxes, five in a line, from their top left; and how far down they go."""
    marks: list[Mark] = []
    for i in range(boxes.count):
        down, across = divmod(i, _IN_A_LINE)
        place = x + across * (_BOX + _BOX_GAP), y + down * (_BOX + _BOX_GAP)
        marks.append(Rectangle(*place, _BOX, _BOX, _BLACK, None, 0.35, 0.5))
    lines = -(-boxes.count // _IN_A_LINE)
    return marks, y + lines * (_BOX + _BOX_GAP)
