"""A quote on paper: what its page says, the picture large, a code that leads back to the page."""

import math
from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime

from service.rendering.paper import (
    ACCENT,
    GREY,
    Align,
    Beside,
    Block,
    Bullets,
    Callout,
    Cell,
    Circle,
    Column,
    Columns,
    Drawing,
    Facts,
    Heading,
    Paper,
    PaperSize,
    Paragraph,
    Picture,
    QrCode,
    Row,
    Running,
    Table,
    Together,
)
from service.workshop.quote_document import QuoteDocument

_SMALL, _SMALLEST = 9.0, 8.2
_SWAG = 7.0
_BALLOONS = 54
_PICTURE_HEIGHTS = (98.0, 92.0, 86.0, 80.0, 74.0, 68.0, 62.0, 57.0)
# So many points stand beside the table of balloons.
_FEW = 6
# Into the room of the running head, which the first page has not.
_RAISED = 6.0


@dataclass(frozen=True, kw_only=True, slots=True)
class Impression:
    """A picture of what is offered (JPEG or PNG): what it shows, and the line below it."""

    data: bytes
    alt: str
    caption: str


def pdf(
    said: QuoteDocument, *, size: PaperSize, made_at: datetime, picture: Impression | None
) -> bytes:
    """The quote as a PDF: a letter on one page as a rule, then what belongs to it.

    Without a picture it goes out as well.
    """
    paper = _letter(said, size, made_at, picture)
    paper.add(*_next_steps(said), *_open_points(said), *_gravest(said))
    # In one flow it takes less room; in two it fills the pages better.
    small_print = min(_small_print(said), key=lambda blocks: paper.pages_with(*blocks))
    paper.add(*small_print)
    return paper.bytes()


def _letter(
    said: QuoteDocument, size: PaperSize, made_at: datetime, picture: Impression | None
) -> Paper:
    """The first page, with the picture as large as all else on it lets it be."""
    papers = (_begun(said, size, made_at, picture, height) for height in _PICTURE_HEIGHTS)
    largest = next(papers)
    if largest.pages_with() == 1 or picture is None:
        return largest
    return next((paper for paper in papers if paper.pages_with() == 1), largest)


def _begun(
    said: QuoteDocument,
    size: PaperSize,
    made_at: datetime,
    picture: Impression | None,
    picture_height: float,
) -> Paper:
    paper = Paper(
        size=size,
        title=f"{said.titles.quote}, {said.shop}",
        made_at=made_at,
        language=said.language,
        running=Running(
            shop=said.shop,
            document=said.titles.quote,
            foot=said.reach,
            page_of=said.titles.page_of,
            first=False,
        ),
    )
    paper.add(*_letterhead(said, paper.width), *_opening(said, picture, picture_height))
    paper.add(*_goods(said))
    return paper


def _letterhead(said: QuoteDocument, width: float) -> Iterator[Block]:
    yield _garland([row.hex for row in said.totals.rows], width)
    yield Beside(
        left=(
            Paragraph(said.shop, size=15, bold=True, colour=ACCENT),
            Paragraph(_unbroken(said.contact), size=_SMALL, colour=GREY, before=0.6),
        ),
        right=(
            Paragraph(said.titles.quote, bold=True, align=Align.RIGHT),
            Paragraph(said.sent, size=_SMALL, colour=GREY, align=Align.RIGHT, before=0.4),
        ),
        shares=(7, 3),
        before=1.0,
    )


def _garland(colours: Sequence[str | None], width: float) -> Drawing:
    """A swag of balloons in the client's own colours."""
    marks = []
    for i in range(_BALLOONS):
        along = (i + 0.5) / _BALLOONS
        radius = 1.5 + 0.5 * math.sin(i * 2.4)
        sag = _SWAG * 4 * along * (1 - along)
        x, y = 2.0 + along * (width - 4.0), sag + 0.9 * math.cos(i * 1.9) - _RAISED
        fill = colours[i % len(colours)] if colours else None
        marks.append(Circle(x, y, radius, colour=GREY, fill=fill or "#ffffff", thickness=0.15))
    return Drawing(width=width, height=_SWAG + 2.4 - _RAISED, marks=marks)


def _opening(
    said: QuoteDocument, picture: Impression | None, picture_height: float
) -> Iterator[Block]:
    yield Heading(_upper(said.heading), level=1, before=5.0)
    if said.addressee:
        yield Paragraph(said.addressee, size=11, before=0.6)
    if said.thanks:
        yield Paragraph(said.thanks, before=1.6)
    for notice in filter(None, (said.notice, said.kept)):
        yield Callout("", (notice,), size=10)
    if picture is not None:
        caption = " ".join(filter(None, (picture.caption, said.stand_in)))
        yield Picture(
            picture.data, alt=picture.alt, caption=caption, max_height=picture_height, before=3.0
        )
    # What is said of the set-up needs more room than the price does.
    shares = (5, 6) if said.kept is None else (4, 7)
    yield Beside(left=tuple(_price(said)), right=tuple(_day(said)), shares=shares, before=4.0)
    if said.note:
        yield Callout("", said.note.split("\n\n"), size=10)


def _price(said: QuoteDocument) -> Iterator[Block]:
    yield Paragraph(said.title, colour=GREY, before=0)
    yield Paragraph(said.price, size=20, bold=True, colour=ACCENT, before=0.2)
    yield Paragraph(" ".join(said.about), before=1.2)


def _day(said: QuoteDocument) -> Iterator[Block]:
    yield Facts([(label, _upper(value)) for label, value in said.facts], share=0.25)


def _goods(said: QuoteDocument) -> Iterator[Block]:
    points = (*_alike(piece.text for piece in said.pieces), *map(_upper, said.others))
    included = Paragraph(said.included, size=_SMALL, colour=GREY, before=2.2)
    listed: tuple[Block, ...] = (Bullets(points), included)
    signed, heading = tuple(_signed(said)), Heading(said.titles.goods)
    if len(points) <= _FEW:
        beside = Beside((*listed, *signed), (_counted(said),), shares=(5, 6))
        yield Together((heading, beside))
        return
    yield heading
    yield from listed
    yield _counted(said)
    yield from signed


def _alike(pieces: Iterable[str]) -> Iterator[str]:
    """Each piece once, with how many times it is there."""
    for text, times in Counter(pieces).items():
        yield _upper(text) if times == 1 else f"{times} × {text}"


def _counted(said: QuoteDocument) -> Table:
    counted = said.totals
    return Table(
        columns=(
            Column(counted.head, share=1.3),
            *(Column(size, align=Align.RIGHT) for size in counted.sizes),
        ),
        rows=[
            Row(Cell(row.colour, swatch=row.hex), *(str(count or "–") for count in row.counts))
            for row in counted.rows
        ],
        size=_SMALL,
    )


def _next_steps(said: QuoteDocument) -> Iterator[Block]:
    """What it costs, beside how to say yes."""
    costs, booking = tuple(_costs(said)), tuple(_booking(said))
    if costs and booking:
        yield Beside(left=costs, right=booking, shares=(6, 5), gap=9.0, before=6.0)
    else:
        yield Together((*costs, *booking))


def _costs(said: QuoteDocument) -> Iterator[Block]:
    costs = said.costs
    if costs is None:
        yield from map(Paragraph, filter(None, (said.paying,)))
        return
    label, amount = costs.total
    yield Heading(said.titles.costs)
    yield Table(
        columns=(Column("", share=3), Column("", share=1, align=Align.RIGHT)),
        rows=(
            *(Row(*line) for line in costs.lines),
            Row(Cell(label, note=costs.tax), amount, bold=True, rule=True),
            *(Row(*line) for line in costs.taxed[:-1]),
            *(Row(*line, bold=True) for line in costs.taxed[-1:]),
        ),
        heads=False,
        size=_SMALL,
    )
    yield Paragraph(said.paying or costs.deposit)


def _booking(said: QuoteDocument) -> Iterator[Block]:
    if not said.booking:
        return
    yield Heading(said.titles.booking)
    first, *others = said.booking
    if said.link is None:
        yield from map(Paragraph, said.booking)
        return
    address = Paragraph(said.link, size=_SMALLEST, colour=GREY)
    code = QrCode(said.link, side=30)
    yield Beside(left=(Paragraph(first),), right=(code,), shares=(3, 2), gap=4)
    yield from (address, *map(Paragraph, others))


def _open_points(said: QuoteDocument) -> Iterator[Block]:
    if said.open_points is None:
        return
    yield Heading(said.open_points.title)
    if said.open_points.intro:
        yield Paragraph(said.open_points.intro)
    yield Columns([Bullets((_upper(point),)) for point in said.open_points.points], before=1.0)


def _signed(said: QuoteDocument) -> Iterator[Block]:
    if said.closing:
        name = Paragraph(said.owner, size=13, bold=True, colour=ACCENT, before=1.0)
        yield Together((Paragraph(said.closing, before=4.0), name))


def _gravest(said: QuoteDocument) -> Iterator[Block]:
    yield Heading(said.titles.cautions, before=5.0)
    yield Callout("", said.cautions[:1], before=1.6)


def _small_print(said: QuoteDocument) -> Iterator[tuple[Block, ...]]:
    """The other cautions and the terms, in columns of their own, then in the same ones."""
    cautions = tuple(_points(said.cautions[1:]))
    terms = (Heading(said.titles.terms, before=5.0), *_points(said.terms), *_agreed(said))
    yield Columns(cautions, before=2.0), Columns(terms, before=5.0)
    yield (Columns((*cautions, *terms), before=2.0),)


def _points(texts: Sequence[str]) -> Iterator[Block]:
    for text in texts:
        yield Bullets((text,), size=_SMALLEST)


def _agreed(said: QuoteDocument) -> Iterator[Block]:
    conditions = said.conditions
    if conditions.terms:
        yield Heading(said.titles.conditions, before=5.0)
        yield from _paragraphs(conditions.terms)
    if conditions.weather:
        yield Heading(said.titles.outdoors, level=3 if conditions.terms else 2)
        yield from _paragraphs(conditions.weather)


def _paragraphs(text: str) -> Iterator[Block]:
    for paragraph in text.split("\n\n"):
        yield Paragraph(paragraph, size=_SMALLEST, before=1.2)


def _unbroken(lines: Sequence[str]) -> str:
    """Lines one after the other; none is broken but between two of them, such as a number."""
    return " · ".join(line.replace(" ", "\u00a0") for line in lines)


def _upper(text: str) -> str:
    return text[:1].upper() + text[1:]
