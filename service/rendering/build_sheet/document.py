"""The build sheet on paper: the job on the first page, then every piece on its own."""

from collections.abc import Iterator
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
_TALL = 1.5
"""How many times as wide as high a drawing may be to stand beside the facts."""


def pdf(sheet: BuildSheet, *, shop: str, made_at: datetime, size: PaperSize) -> bytes:
    """The file; `made_at` is when the quote was made that it is for."""
    running = Running(shop=shop, document="Build sheet", number=sheet.number, foot=_foot(sheet))
    paper = Paper(size=size, title=f"Build sheet {sheet.number}", made_at=made_at, running=running)
    paper.add(*_job(sheet))
    for number, piece in enumerate(sheet.pieces, start=1):
        paper.add(NewPage(), *_piece(number, len(sheet.pieces), piece, paper.width))
    return paper.bytes()


def _foot(sheet: BuildSheet) -> str:
    day = words.day(sheet.day) if sheet.day else ""
    return ", ".join(filter(None, (sheet.place, day)))


def _job(sheet: BuildSheet) -> Iterator[Block]:
    yield Heading(f"Build sheet {sheet.number}", level=1)
    yield Facts(tuple(saying.facts(sheet)), size=_SIZE)
    if len(sheet.pieces) > 1:
        yield Heading("Pieces")
        yield Ticks([_listed(i, sheet) for i in range(len(sheet.pieces))], size=_SIZE)
    if sheet.floats:
        yield Heading("Filled with helium at the site")
        yield Ticks(sheet.floats, size=_SIZE)
    yield from _counts("All balloons: to go in + to spare", sheet.totals)
    if sheet.extras:
        yield Heading("At hand")
        yield Ticks(sheet.extras, columns=2, size=_SIZE)
    yield Callout("Mind", sheet.cautions, size=10)


def _listed(index: int, sheet: BuildSheet) -> Cell:
    piece = sheet.pieces[index]
    title = saying.heading(index + 1, len(sheet.pieces), piece)
    return Cell(title, bold=True, note=saying.described(piece))


def _piece(number: int, of: int, piece: PieceSheet, width: float) -> Iterator[Block]:
    title = saying.heading(number, of, piece)
    yield Heading(title, level=1)
    if piece.count > 1:
        yield Paragraph(saying.copies(piece), size=14, bold=True)
    yield Paragraph(saying.described(piece), size=_SIZE)
    yield Space(2)
    yield from _overview(piece, width)
    if of > 1:
        yield from _counts(saying.counted(piece), piece.balloons)
    if not piece.letters:
        yield Paragraph(saying.NO_RECIPE, size=_SIZE)
    elif piece.by_piles:
        yield Heading("Tie the clusters")
        yield Piles(piece, title)
    if piece.letters:
        yield from _recipe(piece, title)
    yield Heading(saying.fixing(piece))
    yield Ticks([_attached(each) for each in piece.attached], size=_SIZE)


def _overview(piece: PieceSheet, width: float) -> Iterator[Block]:
    facts = Facts(saying.facts_of(piece), size=_SIZE, share=0.34)
    half = width / 2
    drawing = drawn(piece.diagram, width=half, height=88)
    if drawing.width < _TALL * drawing.height:
        yield Beside((facts,), (_drawing(piece, half, 88),), gap=4)
    else:
        yield Facts(facts.pairs, size=_SIZE)
        yield _drawing(piece, width, 88)
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
