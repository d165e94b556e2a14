"""What is written on the bags: labels to cut out and stick on."""

from collections.abc import Iterator
from datetime import datetime

from service.leads import words
from service.rendering.paper import (
    GREY,
    Beside,
    Block,
    Grid,
    Heading,
    Paper,
    PaperSize,
    Paragraph,
    QrCode,
    Running,
)
from service.workshop.build_sheet import BuildSheet, Held, saying

_HIGH = {PaperSize.A4: 61.0, PaperSize.LETTER: 56.0}
"""Four rows to a page."""


def labels_pdf(
    sheet: BuildSheet, *, shop: str, made_at: datetime, size: PaperSize, link: str | None = None
) -> bytes:
    """A label for each bag, and one for the spares; `link` is where its code leads."""
    paper = Paper(
        size=size,
        title=f"Bag labels {sheet.number}",
        made_at=made_at,
        running=Running(shop=shop, document="Bag labels", number=sheet.number),
    )
    cells = [
        tuple(_label(sheet, f"Bag {bag.number} of {bag.of}", bag.label, bag.contents, link))
        for bag in sheet.bags
    ]
    spares = saying.spares(sheet.totals)
    if spares:
        cells.append(tuple(_label(sheet, "Spares", "not inflated", spares, link)))
    # Scissors follow the frames.
    paper.add(Grid(cells, columns=2, gap=0.0, min_height=_HIGH[size], padding=4, frame=GREY))
    return paper.bytes()


def _label(
    sheet: BuildSheet, title: str, what: str, contents: tuple[Held, ...], link: str | None
) -> Iterator[Block]:
    day = words.day(sheet.day) if sheet.day else ""
    heading = (
        Heading(title, level=1, before=0),
        Paragraph(sheet.number, size=11, bold=True, before=0),
        Paragraph(day, size=9, before=0),
    )
    yield Beside(heading, (QrCode(link, side=19),) if link else (), shares=(3, 1.2), gap=2)
    if sheet.place:
        yield Paragraph(sheet.place, size=10, bold=True, before=0.6)
    if what:
        yield Paragraph(what, size=10, before=1.2)
    for line in saying.by_size(contents):
        yield Paragraph(line, size=10, bold=True, before=0.8)
