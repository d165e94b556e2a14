"""Blocks of cells: tables, labels with their values, lists to tick."""

from collections.abc import Sequence
from dataclasses import KW_ONLY, dataclass, replace
from itertools import zip_longest

from service.rendering.paper.marks import GREY, INK, LINE, Align, Circle, Line, Mark, Rectangle
from service.rendering.paper.slabs import Room, Slab
from service.rendering.paper.texts import Style, column_of

_GUTTER = 3.0
_PADDING = 1.1
_NOTE = 0.84
_MARKER = 5.2
_BOX = 3.6


@dataclass(frozen=True, slots=True)
class Column:
    """A column of a table: its head, and which share of the width it has beside the others."""

    head: str
    _: KW_ONLY
    share: float = 1.0
    align: Align = Align.LEFT


@dataclass(frozen=True, slots=True)
class Cell:
    """What stands in a cell; before it a dot of the colour `swatch`, or an empty box to tick."""

    text: str
    _: KW_ONLY
    bold: bool = False
    colour: str = INK
    swatch: str | None = None
    tick: bool = False
    note: str = ""


class Row:
    """A row of cells; one with a `rule` has a line above, a `bold` one is a sum or the like."""

    __slots__ = ("bold", "cells", "rule")

    def __init__(self, *cells: str | Cell, bold: bool = False, rule: bool = False) -> None:
        self.cells = tuple(Cell(each) if isinstance(each, str) else each for each in cells)
        self.bold, self.rule = bold, rule


@dataclass(frozen=True, slots=True)
class Table:
    """Rows under heads, which come again on every page. No row is parted that a page holds."""

    columns: Sequence[Column]
    rows: Sequence[Row]
    _: KW_ONLY
    size: float = 9.5
    heads: bool = True
    ruled: bool = True
    before: float = 2.4

    def slabs(self, room: Room) -> Sequence[Slab]:
        """One for each row."""
        if not self.rows:
            return []
        grid = _Columns(self.columns, room.width)
        first, *others = self._rows(grid, room)
        if not self.heads:
            return [replace(first, before=self.before), *others]
        # The head stays with the first row, and comes again where another begins a page.
        head = self._head(grid, room)
        return [head, first, *(replace(row, heads=(head,)) for row in others)]

    def _rows(self, grid: "_Columns", room: Room) -> list[Slab]:
        style = Style(size=self.size)
        slabs = [self._row(grid, row, style, room) for row in self.rows]
        # A sum does not stand on a page without anything of what it sums up.
        sums = [row.rule for row in self.rows[1:]]
        return [
            replace(slab, glued=followed)
            for slab, followed in zip(slabs, [*sums, False], strict=True)
        ]

    def _head(self, grid: "_Columns", room: Room) -> Slab:
        style = Style(size=self.size * 0.9, bold=True, colour=GREY)
        row = Row(*(Cell(column.head, bold=True, colour=GREY) for column in self.columns))
        slab = grid.slab(row, style)
        under = Line(0, slab.height, room.width, slab.height, GREY, 0.35)
        return replace(slab, marks=(*slab.marks, under), before=self.before, glued=True)

    def _row(self, grid: "_Columns", row: Row, style: Style, room: Room) -> Slab:
        slab = grid.slab(row, style)
        y = slab.height
        under = (Line(0, y, room.width, y, LINE, 0.2),) if self.ruled else ()
        above = (Line(0, 0, room.width, 0, INK, 0.35),) if row.rule else ()
        return replace(slab, marks=(*above, *slab.marks, *under))


@dataclass(frozen=True, slots=True)
class Facts:
    """Labels with what they stand for, one pair below the other."""

    pairs: Sequence[tuple[str, str]]
    _: KW_ONLY
    size: float = 10.0
    share: float = 0.24

    def slabs(self, room: Room) -> Sequence[Slab]:
        """One for each pair."""
        columns = (Column("", share=self.share), Column("", share=1 - self.share))
        rows = [Row(Cell(label, colour=GREY), value) for label, value in self.pairs]
        table = Table(columns, rows, size=self.size, heads=False, ruled=False)
        return table.slabs(room)


@dataclass(frozen=True, slots=True)
class Ticks:
    """Things to tick with a pen, in columns that are read downwards."""

    items: Sequence[str | Cell]
    _: KW_ONLY
    columns: int = 1
    size: float = 10.0

    def slabs(self, room: Room) -> Sequence[Slab]:
        """One for each line of boxes."""
        cells = [_ticked(item) for item in self.items]
        high = -(-len(cells) // self.columns)
        beside = [cells[i : i + high] for i in range(0, len(cells), high)] if cells else []
        nothing = Cell("")
        rows = [Row(*line) for line in zip_longest(*beside, fillvalue=nothing)]
        columns = tuple(Column("") for _ in beside)
        return Table(columns, rows, size=self.size, heads=False, ruled=False).slabs(room)


class _Columns:
    """Where each column begins and how wide it is."""

    def __init__(self, columns: Sequence[Column], width: float) -> None:
        free = width - _GUTTER * (len(columns) - 1)
        whole = sum(column.share for column in columns)
        self._columns: list[tuple[Column, float, float]] = []
        x = 0.0
        for column in columns:
            wide = free * column.share / whole
            self._columns.append((column, x, wide))
            x += wide + _GUTTER

    def slab(self, row: Row, style: Style) -> Slab:
        """A row, as high as its highest cell."""
        marks: list[Mark] = []
        height = style.line_height
        for (column, x, width), cell in zip(self._columns, row.cells, strict=False):
            drawn, bottom = _cell(cell, column, style, x=x, width=width, bold=row.bold)
            marks += drawn
            height = max(height, bottom)
        moved = tuple(mark.placed(0, _PADDING) for mark in marks)
        return Slab(height=height + 2 * _PADDING, marks=moved)


def _cell(
    cell: Cell, column: Column, style: Style, *, x: float, width: float, bold: bool
) -> tuple[list[Mark], float]:
    """A cell's marks and how far down they go."""
    marks = _marker(cell, style, x)
    inset = _MARKER if marks else 0.0
    x, width = x + inset, width - inset
    said = replace(style, bold=bold or cell.bold, colour=cell.colour, align=column.align)
    texts = column_of(cell.text, said, x=x, y=0, width=width)
    bottom = len(texts) * said.line_height
    if cell.note:
        small = replace(said, size=style.size * _NOTE, bold=False, colour=GREY)
        notes = column_of(cell.note, small, x=x, y=bottom, width=width)
        texts += notes
        bottom += len(notes) * small.line_height
    return [*marks, *texts], bottom


def _marker(cell: Cell, style: Style, x: float) -> list[Mark]:
    middle = style.line_height * 0.52
    if cell.tick:
        return [Rectangle(x + 0.2, middle - _BOX / 2, _BOX, _BOX, INK, None, 0.3, 0.5)]
    if cell.swatch is not None:
        return [Circle(x + 1.7, middle, 1.6, colour=GREY, fill=cell.swatch, thickness=0.2)]
    return []


def _ticked(item: str | Cell) -> Cell:
    return Cell(item, tick=True) if isinstance(item, str) else replace(item, tick=True)
