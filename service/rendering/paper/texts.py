"""Blocks of words: headings, paragraphs, points."""

from collections.abc import Iterator, Sequence
from dataclasses import KW_ONLY, dataclass, replace

from service.rendering.paper.lines import wrapped
from service.rendering.paper.marks import ACCENT, INK, LINE, Align, Circle, Line, Mark, Text
from service.rendering.paper.slabs import Block, Room, Slab, slabs_of
from service.rendering.paper.typefaces import POINT_MM

_LEADING = 1.36
_BASELINE = 0.96
_INDENT = 4.5


@dataclass(frozen=True, kw_only=True, slots=True)
class Style:
    """How a text is set."""

    size: float = 10.0
    bold: bool = False
    colour: str = INK
    align: Align = Align.LEFT

    @property
    def line_height(self) -> float:
        """From one line to the next, in mm."""
        return self.size * POINT_MM * _LEADING

    def lines(self, text: str, width: float) -> list[str]:
        """The text in lines of this style."""
        return wrapped(text, width, size=self.size, bold=self.bold)

    def mark(self, line: str, *, x: float, y: float, width: float) -> Text:
        """A line whose top is at `y`, in so much width."""
        return Text(
            x + self.align.value * width,
            y + self.size * POINT_MM * _BASELINE,
            line,
            size=self.size,
            bold=self.bold,
            colour=self.colour,
            anchor=self.align,
        )


def column_of(text: str, style: Style, *, x: float, y: float, width: float) -> list[Mark]:
    """A text in a column, from its top left."""
    lines = style.lines(text, width)
    return [
        style.mark(line, x=x, y=y + i * style.line_height, width=width)
        for i, line in enumerate(lines)
    ]


@dataclass(frozen=True, slots=True)
class Paragraph:
    """A text that wraps; no single line of it stands alone on a page."""

    text: str
    _: KW_ONLY
    size: float = 10.0
    bold: bool = False
    colour: str = INK
    align: Align = Align.LEFT
    before: float = 1.8
    glued: bool = False

    def slabs(self, room: Room) -> Sequence[Slab]:
        """One for each line."""
        style = Style(size=self.size, bold=self.bold, colour=self.colour, align=self.align)
        lines = style.lines(self.text, room.width)
        slabs = [
            Slab(
                height=style.line_height,
                marks=(style.mark(line, x=0, y=0, width=room.width),),
                glued=i in (0, len(lines) - 2),
            )
            for i, line in enumerate(lines)
        ]
        slabs[0] = replace(slabs[0], before=self.before)
        slabs[-1] = replace(slabs[-1], glued=self.glued)
        return slabs


@dataclass(frozen=True, slots=True)
class Heading:
    """A heading, which stays with what follows: level 1 is a title, 2 a part, 3 a part of it."""

    text: str
    _: KW_ONLY
    level: int = 2
    before: float | None = None

    def slabs(self, room: Room) -> Sequence[Slab]:
        """One for each line, all glued."""
        size, before, colour = {1: (19.0, 6.0, INK), 2: (12.5, 6.0, ACCENT)}.get(
            self.level, (10.5, 3.6, INK)
        )
        before = before if self.before is None else self.before
        paragraph = Paragraph(self.text, size=size, bold=True, colour=colour, before=before)
        return [replace(slab, glued=True) for slab in paragraph.slabs(room)]


@dataclass(frozen=True, slots=True)
class Bullets:
    """Points, one below the other."""

    items: Sequence[str]
    _: KW_ONLY
    size: float = 10.0
    colour: str = INK

    def slabs(self, room: Room) -> Sequence[Slab]:
        """Those of every point's lines."""
        return list(self._slabs(room))

    def _slabs(self, room: Room) -> Iterator[Slab]:
        narrower = replace(room, width=room.width - _INDENT)
        for i, item in enumerate(self.items):
            text = Paragraph(item, size=self.size, colour=self.colour, before=1.2)
            first, *others = indented(text.slabs(narrower), _INDENT)
            middle = self.size * POINT_MM * 0.66
            dot = Circle(1.4, middle, 0.55, colour=None, fill=ACCENT)
            slabs = [replace(first, marks=(dot, *first.marks)), *others]
            # No last one stands alone on a page.
            slabs[-1] = replace(slabs[-1], glued=i == len(self.items) - 2)
            yield from slabs


@dataclass(frozen=True, slots=True)
class Space:
    """Some room between two blocks; none where a page begins."""

    height: float

    def slabs(self, room: Room) -> Sequence[Slab]:
        """One without marks."""
        return [Slab(height=0.0, before=min(self.height, room.height), glued=True)]


@dataclass(frozen=True, slots=True)
class Rule:
    """A line across."""

    _: KW_ONLY
    before: float = 3.0
    colour: str = LINE

    def slabs(self, room: Room) -> Sequence[Slab]:
        """One with the line."""
        return [
            Slab(height=0.3, marks=(Line(0, 0, room.width, 0, self.colour),), before=self.before)
        ]


@dataclass(frozen=True, slots=True)
class NewPage:
    """What follows begins a page."""

    def slabs(self, room: Room) -> Sequence[Slab]:  # noqa: ARG002 - as every block
        """One that ends the page."""
        return [Slab(height=0.0, ends=True)]


@dataclass(frozen=True, slots=True)
class Together:
    """Blocks that are not parted where one page holds them."""

    blocks: Sequence[Block]

    def slabs(self, room: Room) -> Sequence[Slab]:
        """Those of the blocks, all glued."""
        slabs = slabs_of(self.blocks, room)
        return [replace(slab, glued=True) for slab in slabs[:-1]] + slabs[-1:]


def indented(slabs: Sequence[Slab], by: float) -> list[Slab]:
    """Slabs moved to the right."""
    return [replace(slab, marks=tuple(mark.placed(by, 0) for mark in slab.marks)) for slab in slabs]
