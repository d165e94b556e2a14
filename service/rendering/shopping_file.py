"""Shopping lists as files, to be printed or opened in a spreadsheet."""

from dataclasses import dataclass
from datetime import date

from service.leads.lead import NotFound
from service.leads.ports import Ports
from service.leads.shop_time import zone_of
from service.rendering.paper import PdfFile, paper_size
from service.workshop.shopping_list import Scope, ShoppingList, question, solve, until_of
from service.workshop.shopping_list.wording import short_day


@dataclass(frozen=True, kw_only=True, slots=True)
class CsvFile:
    """A table under the name that it is saved by."""

    name: str
    content: bytes


def list_of(ports: Ports, scope: Scope) -> ShoppingList:
    """The list of a scope as it is now. Raises NotFound for a job that there is none of."""
    with ports.read() as work:
        asked = question(work, ports, scope, now=ports.clock())
    return solve(asked, ports.price_books.current())


def until(ports: Ports, last_day: date, *, paper: str | None) -> PdfFile:
    """The list for every booked job until a day. Raises NotFound where there is none."""
    scope = Scope(until=last_day)
    found = list_of(ports, scope)
    if not found.jobs:
        raise NotFound("No job is booked until then, so nothing is to be bought.")
    return _pdf(ports, scope, found, paper)


def pdf_file(ports: Ports, scope: Scope, *, paper: str | None) -> PdfFile:
    """The list on the paper that was asked for, or the shop's own. Raises as `list_of`."""
    return _pdf(ports, scope, list_of(ports, scope), paper)


def csv_file(ports: Ports, scope: Scope) -> CsvFile:
    """The list as a table."""
    from service.rendering.shopping_sheet import sheet

    found, book = list_of(ports, scope), ports.price_books.current()
    day = until_of(scope, found.today)
    of = day.isoformat() if scope.lead_id is None else found.jobs[0].number
    return CsvFile(name=f"shopping-{of}.csv", content=sheet(found, zone_of(book)))


def name_of(scope: Scope, found: ShoppingList) -> str:
    """ "G1001" or "jobs until Mon, Mar 1"."""
    if scope.lead_id is not None:
        return found.jobs[0].number
    return f"jobs until {short_day(until_of(scope, found.today), found.today)}"


def _pdf(ports: Ports, scope: Scope, found: ShoppingList, paper: str | None) -> PdfFile:
    from service.rendering.shopping_list import pdf

    book, name = ports.price_books.current(), name_of(scope, found)
    content = pdf(
        found,
        name=name,
        shop=book.shop.name,
        made_at=ports.clock(),
        size=paper_size(book, paper),
        words=ports.wording.as_shipped("en"),
    )
    return PdfFile(name=f"Shopping list {name}.pdf", content=content)
