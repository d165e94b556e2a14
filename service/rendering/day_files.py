"""Run sheets and load lists as files to be saved or printed."""

from datetime import date, datetime

from service.leads.lead import NotFound
from service.leads.people import PersonRole
from service.leads.ports import Ports
from service.leads.shop_time import zone_of
from service.rendering import load_list, run_sheet
from service.rendering.paper import PdfFile, paper_size
from service.workshop import set_ups
from service.workshop.load_list import load_of
from service.workshop.run_sheet import RunSheet
from service.workshop.run_sheet import run_sheet as sheet_of
from service.workshop.set_ups import SetUp


def load_of_lead(ports: Ports, lead_id: str, *, paper: str | None) -> PdfFile:
    """The load list of a request's date, over or still to come. NotFound where none is kept."""
    with ports.read() as work:
        found = set_ups.kept_for(work, lead_id)
    return load_file(ports, found, paper=paper)


def load_file(ports: Ports, found: SetUp, *, paper: str | None) -> PdfFile:
    """The load list of a set-up."""
    book, now = ports.price_books.current(), _now(ports)
    content = load_list.pdf(
        load_of(found, ports.price_books),
        found,
        shop=book.shop.name,
        zone=zone_of(book),
        made_at=now,
        size=paper_size(book, paper),
    )
    return PdfFile(name=f"Load list {found.lead.number}.pdf", content=content)


def run_of_day(ports: Ports, day: date, *, paper: str | None) -> PdfFile:
    """The owner's run sheet of a day, over or still to come. NotFound where nothing is done."""
    with ports.read() as work:
        sheet = sheet_of(work, ports, day, now=ports.clock(), reader=PersonRole.OWNER)
    if not sheet.steps:
        raise NotFound("Nothing is to be done that day.")
    return run_file(ports, sheet, paper=paper)


def run_file(ports: Ports, sheet: RunSheet, *, paper: str | None) -> PdfFile:
    """A run sheet."""
    book, now = ports.price_books.current(), _now(ports)
    size = paper_size(book, paper)
    content = run_sheet.pdf(sheet, shop=book.shop.name, made_at=now, size=size)
    return PdfFile(name=f"Run sheet {sheet.day}.pdf", content=content)


def _now(ports: Ports) -> datetime:
    return ports.clock().astimezone(zone_of(ports.price_books.current()))
