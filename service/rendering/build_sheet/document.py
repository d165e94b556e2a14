"""The build sheet on paper: the job on the first page, then every piece on its own."""

from collections.abc import Iterator, Sequence
from datetime import datetime

from service.leads import words
from service.rendering.build_sheet.drawing import drawn
from service.rendering.build_sheet.strip import Piles, Spelled, Strip
from service.rendering.paper import (
    INK,
    Align,
    Beside,
    Block,
    Callout,
    Cell,
    Column,
    Drawing,
    Facts,
    Heading,
    NewPage,
    Paper,
    PaperSize,
    Paragraph,
    Row,
    Running,
    Space,
    Table,
    Ticks,
    Together,
)
from service.workshop.build_sheet import Attached, BuildSheet, PieceSheet, Total, saying

_SIZE = 11.5
_HIGH = 76.0
"""How high a drawing is at most."""

_TALL = 1.5
"""How many times as wide as high a drawing may be to stand beside the facts."""


def pdf(sheet: BuildSheet, *, shop: str, made_at: datetime, size: PaperSize) -> bytes:
    """The file; `made_at` is when the quote was made that it is for."""
    running = Running(shop=shop, document="Build sheet", number=sheet.number, foot=_foot(sheet))
    paper = Paper(size=size, title=f"Build sheet {sheet.number}", made_at=made_at, running=running)
    paper.add(Heading(f"Build sheet {sheet.number}", level=1))
    paper.add(Facts(tuple(saying.facts(sheet)), size=_SIZE))
    paper.add(*(_one if len(sheet.pieces) == 1 else _several)(sheet, paper.width))
    return paper.bytes()


def _foot(sheet: BuildSheet) -> str:
    day = words.day(sheet.day) if sheet.day else ""
    return ", ".join(filter(None, (sheet.place, day)))


def _one(sheet: BuildSheet, width: float) -> Iterator[Block]:
    """A single piece: what it is on the first page, then how it is made."""
    (piece,) = sheet.pieces
    yield Heading(saying.described(piece))
    yield from _shape(piece, width)
    yield from _counts(saying.counted(piece), piece.balloons)
    yield from _floats(sheet)
    yield Callout("", sheet.cautions, size=9)
    yield from _making(piece, saying.heading(1, 1, piece), at_hand=sheet.extras)


def _several(sheet: BuildSheet, width: float) -> Iterator[Block]:
    """The job on the first page, then every piece on its own."""
    of = len(sheet.pieces)
    titles = [saying.heading(i, of, piece) for i, piece in enumerate(sheet.pieces, start=1)]
    titled = list(zip(titles, sheet.pieces, strict=True))
    yield Heading("Pieces")
    listed = [Cell(title, bold=True, note=saying.described(piece)) for title, piece in titled]
    yield Ticks(listed, size=_SIZE)
    yield from _floats(sheet)
    yield from _counts("All balloons: to go in + to spare", sheet.totals)
    if sheet.extras:
        yield Heading("At hand")
        yield Ticks(sheet.extras, columns=2, size=_SIZE)
    yield Callout("", sheet.cautions, size=9)
    for title, piece in titled:
        yield NewPage()
        yield Heading(title, level=1)
        yield Paragraph(saying.described(piece), size=_SIZE)
        yield from _shape(piece, width)
        yield from _counts(saying.counted(piece), piece.balloons)
        yield from _making(piece, title)


def _floats(sheet: BuildSheet) -> Iterator[Block]:
    if sheet.floats:
        yield Heading("Filled with helium at the site", level=3)
        yield Ticks(sheet.floats, size=_SIZE)


def _shape(piece: PieceSheet, width: float) -> Iterator[Block]:
    if piece.count > 1:
        yield Paragraph(saying.copies(piece), size=14, bold=True)
    yield Space(1)
    yield from _overview(piece, width)


def _making(piece: PieceSheet, title: str, at_hand: Sequence[str] = ()) -> Iterator[Block]:
    if not piece.letters:
        yield Paragraph(saying.NO_RECIPE, size=_SIZE)
    elif piece.by_piles:
        yield Heading("Tie the clusters")
        yield Piles(piece, title)
    if piece.letters:
        yield from _recipe(piece, title)
    yield Heading(saying.fixing(piece))
    yield Ticks([*map(_attached, piece.attached)], columns=2, size=_SIZE - 0.5)
    yield Ticks(at_hand, columns=4, size=_SIZE - 0.5)


def _overview(piece: PieceSheet, width: float) -> Iterator[Block]:
    facts = Facts(saying.facts_of(piece), size=_SIZE, share=0.34)
    half = width / 2
    drawing = drawn(piece.diagram, width=half, height=_HIGH)
    if drawing.width < _TALL * drawing.height:
        yield Beside((facts,), (_drawing(piece, half, _HIGH),), gap=4)
    else:
        yield Facts(facts.pairs, size=_SIZE)
        yield _drawing(piece, width, _HIGH)
    yield Paragraph(saying.LEGEND, size=9, align=Align.LEFT)


def _drawing(piece: PieceSheet, width: float, height: float) -> Drawing:
    drawing = drawn(piece.diagram, width=width, height=height)
    return Drawing(width=drawing.width, height=drawing.height, marks=drawing.marks)


def _counts(title: str, totals: tuple[Total, ...]) -> Iterator[Block]:
    counts = saying.counts_of(totals)
    right = Align.RIGHT
    heads = [Column(head, align=right) for head in counts.heads]
    rows = [Row("Set the box to", *counts.boxes, bold=True)]
    rows += [Row(colour, *cells) for colour, cells in counts.rows]
    if len(counts.rows) > 1:
        rows.append(Row("together", *counts.sums, bold=True, rule=True))
    table = Table((Column("", share=2), *heads), rows, size=_SIZE)
    yield Together((Heading(title), table))


def _recipe(piece: PieceSheet, title: str) -> Iterator[Block]:
    rows = Strip if piece.by_piles else Spelled
    for stretch in piece.stretches:
        blocks: list[Block] = [Heading(saying.along(piece, stretch))]
        if stretch is piece.stretches[0]:
            blocks.append(Paragraph(saying.SHAPES, size=9.5, glued=True))
        blocks.append(rows(piece, stretch, title))
        # What no page holds is not worth a page of its own to begin on.
        yield from [Together(blocks)] if piece.by_piles else blocks


def _attached(each: Attached) -> Cell:
    text = f"({each.mark}) {each.text}" if each.mark else each.text
    note = " ".join(filter(None, (each.place, each.mount)))
    return Cell(text, bold=True, colour=INK, note=note)
