"""The load list on paper: what goes into the car, with a box to tick for each."""

from collections.abc import Iterator, Sequence
from datetime import datetime
from zoneinfo import ZoneInfo

from service.leads import words
from service.rendering.paper import (
    Block,
    Cell,
    Facts,
    Heading,
    Paper,
    PaperSize,
    Paragraph,
    Running,
    Ticks,
)
from service.workshop.fitted import Item
from service.workshop.load_list import LoadList
from service.workshop.set_ups import SetUp

_SIZE, _GAP, _COLUMNS = 9.5, 1.6, 3
_SHORT = 80


def pdf(
    found: LoadList, job: SetUp, *, shop: str, zone: ZoneInfo, made_at: datetime, size: PaperSize
) -> bytes:
    """The file; `made_at` is when the list was as it is."""
    number = job.lead.number
    leaves = words.moment(job.hold.stay.leaves_at.astimezone(zone))
    foot = f"{job.place}, leave {leaves}"
    running = Running(shop=shop, document="Load list", number=number, foot=foot)
    paper = Paper(size=size, title=f"Load list {number}", made_at=made_at, running=running)
    paper.add(
        Heading(f"Load list {number}", level=1),
        Facts((("Place", job.place), ("Leave", leaves)), size=_SIZE),
        *(Paragraph(note, size=_SIZE) for note in found.notes),
    )
    for group in found.things:
        paper.add(*_group(group.title, group.items))
    for load in found.loads:
        of = f", car load {load.number} of {len(found.loads)}" if len(found.loads) > 1 else ""
        paper.add(*_group(f"Bags of balloons, on top{of}", load.bags))
    return paper.bytes()


def _group(title: str, items: Sequence[Item]) -> Iterator[Block]:
    yield Heading(title, level=3, before=_GAP)
    # What there is much to say of would make its whole row as high.
    for told in (item for item in items if len(item.where) > _SHORT):
        yield Ticks([Cell(told.text, note=told.where)], size=_SIZE)
    short = [Cell(item.text, note=item.where) for item in items if len(item.where) <= _SHORT]
    yield Ticks(short, columns=_COLUMNS, size=_SIZE)
