"""Blocks to look at: pictures, drawings, QR codes, colours with their names."""

from collections.abc import Sequence
from dataclasses import KW_ONLY, dataclass, replace
from functools import lru_cache
from io import BytesIO

from service.rendering.paper.marks import GREY, Align, Circle, Link, Mark, Raster
from service.rendering.paper.slabs import Room, Slab
from service.rendering.paper.texts import Paragraph, Style
from service.rendering.paper.typefaces import width_of

_CAPTION = 8.5
_DOT, _TO_NAME, _TO_NEXT = 2.0, 5.4, 5.0


@dataclass(frozen=True, slots=True)
class Picture:
    """A JPEG or PNG, as large as there is room; `alt` says what it shows."""

    data: bytes
    _: KW_ONLY
    alt: str
    max_width: float | None = None
    max_height: float = 110.0
    caption: str = ""
    align: Align = Align.CENTRE
    before: float = 3.0

    def slabs(self, room: Room) -> Sequence[Slab]:
        """The picture, and its caption glued to it."""
        wide, high = _pixels(self.data)
        caption = self._caption(room)
        free = room.height - sum(slab.before + slab.height for slab in caption)
        most = min(self.max_width or room.width, room.width)
        scale = min(most / wide, min(self.max_height, free) / high)
        width, height = wide * scale, high * scale
        x = (room.width - width) * self.align.value
        picture = Raster(x, 0, width, height, self.data, self.alt)
        shown = Slab(height=height, marks=(picture,), before=self.before, glued=bool(caption))
        return [shown, *caption]

    def _caption(self, room: Room) -> Sequence[Slab]:
        if not self.caption:
            return []
        text = Paragraph(
            self.caption, size=_CAPTION, colour=GREY, align=self.align, before=1.2
        ).slabs(room)
        return [*(replace(slab, glued=True) for slab in text[:-1]), text[-1]]


@dataclass(frozen=True, slots=True)
class QrCode:
    """A QR code of an address, which can be clicked as well. `side` in mm."""

    url: str
    _: KW_ONLY
    side: float = 30.0
    alt: str = ""
    align: Align = Align.LEFT
    before: float = 0.0

    def slabs(self, room: Room) -> Sequence[Slab]:
        """One with the code."""
        side = min(self.side, room.width, room.height)
        x = (room.width - side) * self.align.value
        marks = (
            Raster(x, 0, side, side, _qr_png(self.url), self.alt or self.url),
            Link(x, 0, side, side, self.url),
        )
        return [Slab(height=side, marks=marks, before=self.before)]


@dataclass(frozen=True, slots=True)
class Drawing:
    """Marks in mm from its top left, y down; made smaller where the page is."""

    _: KW_ONLY
    width: float
    height: float
    marks: Sequence[Mark]
    align: Align = Align.CENTRE
    before: float = 3.0

    def slabs(self, room: Room) -> Sequence[Slab]:
        """One with all marks."""
        scale = min(1.0, room.width / self.width, room.height / self.height)
        x = (room.width - self.width * scale) * self.align.value
        marks = tuple(mark.placed(x, 0, scale) for mark in self.marks)
        return [Slab(height=self.height * scale, marks=marks, before=self.before)]


@dataclass(frozen=True, slots=True)
class Swatch:
    """A colour by its name, and how it looks where that is known ("#a9b79a")."""

    name: str
    hex: str | None


@dataclass(frozen=True, slots=True)
class Swatches:
    """Colours as dots with their names, in as many lines as they need."""

    colours: Sequence[Swatch]
    _: KW_ONLY
    size: float = 10.0
    before: float = 1.8

    def slabs(self, room: Room) -> Sequence[Slab]:
        """One for each line of dots."""
        style = Style(size=self.size)
        rows: list[list[Mark]] = [[]]
        x = 0.0
        for colour in self.colours:
            lines = style.lines(colour.name, room.width - _TO_NAME)
            wide = _TO_NAME + max(width_of(line, size=self.size) for line in lines)
            if x and x + wide > room.width:
                rows.append([])
                x = 0.0
            rows[-1] += _dot(colour, x, style, lines)
            x += wide + _TO_NEXT
        return [_row_of(row, self.before) for row in rows if row]


def _dot(colour: Swatch, x: float, style: Style, lines: Sequence[str]) -> list[Mark]:
    middle = style.line_height * 0.52
    dot = Circle(x + _DOT, middle, _DOT, colour=GREY, fill=colour.hex, thickness=0.2)
    names = (
        style.mark(line, x=x + _TO_NAME, y=i * style.line_height, width=0.0)
        for i, line in enumerate(lines)
    )
    return [dot, *names]


def _row_of(marks: Sequence[Mark], before: float) -> Slab:
    height = max(mark.extent[1] for mark in marks)
    return Slab(height=height + 0.6, marks=tuple(marks), before=before)


def _pixels(data: bytes) -> tuple[int, int]:
    from PIL import Image

    with Image.open(BytesIO(data)) as image:
        return image.size


# A document may show the same one on every label.
@lru_cache(maxsize=16)
def _qr_png(url: str) -> bytes:
    import segno

    out = BytesIO()
    # Quiet zone: two modules here, and the page around it is white.
    segno.make_qr(url, error="m").save(out, kind="png", scale=8, border=2)
    return out.getvalue()
