"""The run sheet on paper: the day by the clock, then every place on its own, then what to mind."""

from collections.abc import Iterator
from datetime import datetime

from service.leads import words
from service.rendering.paper import (
    Beside,
    Block,
    Bullets,
    Callout,
    Cell,
    Column,
    Facts,
    Heading,
    Paper,
    PaperSize,
    Paragraph,
    QrCode,
    Row,
    Running,
    Table,
    Together,
)
from service.workshop.run_sheet import RunSheet, Step, StepKind, Stop, saying

_SIZE = 11.0
_QR = 24.0
_BESIDE_CODE = 4
"""So many facts are as high as the code for the map."""

_SHARE, _SHARE_BESIDE = 0.18, 0.2245
"""So that all labels are as wide, beside the code and below it."""


def pdf(sheet: RunSheet, *, shop: str, made_at: datetime, size: PaperSize) -> bytes:
    """The file; `made_at` is when the sheet was as it is."""
    day = words.day(sheet.day)
    foot = f"as it stood {words.moment(made_at)}"
    running = Running(shop=shop, document="Run sheet", number=day, foot=foot)
    paper = Paper(size=size, title=f"Run sheet, {day}", made_at=made_at, running=running)
    paper.add(Heading(f"Run sheet, {day}", level=1))
    if sheet.wrong:
        paper.add(Callout("This does not fit", sheet.wrong))
    if not sheet.steps:
        paper.add(Paragraph("Nothing is to be done this day.", size=_SIZE))
    paper.add(_by_the_clock(sheet))
    for stop in sheet.stops:
        paper.add(*_stop(stop))
    if sheet.cautions:
        told = tuple(saying.about(each, sheet) for each in sheet.cautions)
        paper.add(Heading("Mind"), Bullets(told, size=9))
    return paper.bytes()


def _by_the_clock(sheet: RunSheet) -> Table:
    columns = (Column("When", share=1.2), Column("What", share=4), Column("Job", share=1.4))
    return Table(columns, [_row(step, sheet) for step in sheet.steps], size=_SIZE)


def _row(step: Step, sheet: RunSheet) -> Row:
    at = Cell(
        saying.clock(step.starts_at, sheet.day),
        bold=True,
        tick=step.kind is not StepKind.GUESTS,
        note=saying.until(step, sheet.day),
    )
    job = Cell(saying.whose(step), note=saying.where(step, sheet))
    return Row(at, Cell(step.text, note="; ".join(step.notes)), job)


def _stop(stop: Stop) -> Iterator[Block]:
    heading = Heading(f"{saying.title(stop)} ({saying.does(stop)})")
    yield Together((heading, *_facts(stop)))


def _facts(stop: Stop) -> Iterator[Block]:
    facts = tuple(saying.facts(stop))
    if stop.place.map_url is None:
        yield Facts(facts, size=_SIZE, share=_SHARE)
        return
    code = QrCode(stop.place.map_url, side=_QR)
    way = Paragraph("the way on a map", size=8.5)
    beside = Facts(facts[:_BESIDE_CODE], size=_SIZE, share=_SHARE_BESIDE)
    yield Beside((beside,), (code, way), shares=(5, 1))
    yield Facts(facts[_BESIDE_CODE:], size=_SIZE, share=_SHARE)
