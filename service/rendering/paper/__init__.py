"""Documents on paper: blocks in, PDF out. Everything in mm, sizes of text in points.

A `Paper` takes blocks in their order and turns pages by itself: nothing is clipped, no heading ends
a page, heads of tables come again, a row is parted only where no page holds it.
"""

from service.rendering.paper.boxes import Beside, Callout, Columns, Grid
from service.rendering.paper.document import Paper, Running
from service.rendering.paper.marks import (
    ACCENT,
    GREY,
    INK,
    LINE,
    SHADE,
    Align,
    Circle,
    Line,
    Mark,
    Polygon,
    Rectangle,
    Text,
)
from service.rendering.paper.pictures import Drawing, Picture, QrCode, Swatch, Swatches
from service.rendering.paper.serving import MEDIA_TYPE, PdfFile, disposition
from service.rendering.paper.size import PaperSize, paper_size
from service.rendering.paper.slabs import Block
from service.rendering.paper.tables import Cell, Column, Facts, Row, Table, Ticks
from service.rendering.paper.texts import (
    Bullets,
    Heading,
    NewPage,
    Paragraph,
    Rule,
    Space,
    Together,
)
from service.rendering.paper.typefaces import legible, uncovered, width_of

__all__ = [
    "ACCENT",
    "GREY",
    "INK",
    "LINE",
    "MEDIA_TYPE",
    "SHADE",
    "Align",
    "Beside",
    "Block",
    "Bullets",
    "Callout",
    "Cell",
    "Circle",
    "Column",
    "Columns",
    "Drawing",
    "Facts",
    "Grid",
    "Heading",
    "Line",
    "Mark",
    "NewPage",
    "Paper",
    "PaperSize",
    "Paragraph",
    "PdfFile",
    "Picture",
    "Polygon",
    "QrCode",
    "Rectangle",
    "Row",
    "Rule",
    "Running",
    "Space",
    "Swatch",
    "Swatches",
    "Table",
    "Text",
    "Ticks",
    "Together",
    "disposition",
    "legible",
    "paper_size",
    "uncovered",
    "width_of",
]
