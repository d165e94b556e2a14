"""The documents of a job, on one page: what there is, and what each is for."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from http import HTTPStatus

from fastapi import APIRouter, Response

from service.leads import words
from service.leads.lead import NotFound
from service.leads.shop_time import midnight, zone_of
from service.pages.desk.access import AnyoneIn, Desk
from service.pages.visit import Instead
from service.rendering.paper import PaperSize, paper_size
from service.workshop.build_sheet.naming import short_place
from service.workshop.papers import Papers, papers_of

router = APIRouter(prefix="/leads/{lead_id}")


@dataclass(frozen=True, kw_only=True, slots=True)
class Entry:
    """A document: what it is called and for, its page and its PDF, as far as there are any.

    Addresses may name the `{lead}`, and the `{hold}` and the `{day}` of the set-up; those that do
    the latter are there once a time is kept. Those `for_helpers` name no price.
    """

    name: str
    about: str
    page: str = ""
    pdf: str = ""
    for_helpers: bool = False


_SIZES = {PaperSize.LETTER: "US Letter", PaperSize.A4: "A4"}

_ENTRIES: Sequence[Entry] = (
    Entry(
        name="Quote",
        about="for your client, in their language: what it is, when, and what it costs",
        pdf="/desk/leads/{lead}/quote.pdf",
    ),
    Entry(
        name="Shopping list",
        about="what to buy where and by when, what your shelf has, what will be left",
        page="/desk/leads/{lead}/shopping",
        pdf="/desk/leads/{lead}/shopping.pdf",
    ),
    Entry(
        name="Build sheet",
        about="at the bench: what to tie, and in which order it goes on the line",
        page="/desk/leads/{lead}/build",
        pdf="/desk/leads/{lead}/build.pdf",
        for_helpers=True,
    ),
    Entry(
        name="Bag labels",
        about="one to stick on every bag, to cut out",
        pdf="/desk/leads/{lead}/labels.pdf",
        for_helpers=True,
    ),
    Entry(
        name="Load list",
        about="what goes into the car: frames, weights, tools, bags",
        page="/desk/jobs/{hold}/load",
        pdf="/desk/jobs/{hold}/load.pdf",
        for_helpers=True,
    ),
    Entry(
        name="Run sheet",
        about="the day by the clock: when to leave, where, whom to ask for",
        page="/desk/days/{day}",
        pdf="/desk/days/{day}/run.pdf",
        for_helpers=True,
    ),
)
"""Every document of a job, in the order in which they are needed."""


@router.get("/documents")
def documents_page(lead_id: str, desk: AnyoneIn, paper: str | None = None) -> Response:
    """What there is to print or to show for a job; PDFs on the shop's paper, or on another."""
    papers = papers_for(desk, lead_id)
    usual, size = paper_size(papers.book), paper_size(papers.book, paper)
    return desk.show(
        "desk/documents.html",
        lead=papers.lead,
        quote=papers.quote,
        entries=tuple(_entries(desk, papers)),
        kept=papers.hold is not None,
        size=_SIZES[size],
        asked=f"?paper={size.value}" if size is not usual else "",
        others=[(each.value, name) for each, name in _SIZES.items() if each is not size],
        back=_back(desk, papers),
        whose=_whose(desk, papers),
    )


def papers_for(desk: Desk, lead_id: str) -> Papers:
    """What documents are made from; where there is nothing for this reader, a page says so."""
    visit = desk.visit
    try:
        with visit.ports.read() as work:
            return papers_of(
                work, visit.ports.price_books, lead_id, now=visit.now, role=desk.person.role
            )
    except NotFound as gone:
        raise Instead(
            desk.trouble(
                HTTPStatus.NOT_FOUND,
                "There are no documents here",
                "Documents are made from a price, and for helpers from set-ups that are coming.",
            )
        ) from gone


def _entries(desk: Desk, papers: Papers) -> Iterator[Entry]:
    names = _names(papers)
    for entry in _ENTRIES:
        if (desk.is_owner or entry.for_helpers) and _is_there(entry, desk, papers):
            yield Entry(
                name=entry.name,
                about=entry.about,
                page=entry.page.format(**names),
                pdf=entry.pdf.format(**names),
            )


def _is_there(entry: Entry, desk: Desk, papers: Papers) -> bool:
    addresses = entry.page + entry.pdf
    of_set_up = "{hold}" in addresses
    if not (of_set_up or "{day}" in addresses):
        return True
    if papers.hold is None:
        return False
    # The page of a set-up is gone once it is over.
    begun = midnight(desk.visit.now.date(), desk.visit.book)
    return not of_set_up or papers.hold.stay.returns_at >= begun


def _names(papers: Papers) -> Mapping[str, str]:
    names = {"lead": papers.lead.id, "hold": "", "day": ""}
    if papers.hold:
        starts = papers.hold.window.starts_at.astimezone(zone_of(papers.book))
        names |= {"hold": papers.hold.id, "day": starts.date().isoformat()}
    return names


def _whose(desk: Desk, papers: Papers) -> str:
    """ "Nora, Sunday, June 6, 2027, boathouse lawn"; a helper is not told the client's name."""
    lead = papers.lead
    day, place = lead.brief.event.date, short_place(lead.brief.site.place)
    name = lead.client.name if desk.is_owner else ""
    return ", ".join(filter(None, (name, words.day(day) if day else "", place)))


def _back(desk: Desk, papers: Papers) -> tuple[str, str]:
    """Where one came from: the request, or for a helper its set-up."""
    if desk.is_owner or papers.hold is None:
        return f"/desk/leads/{papers.lead.id}", papers.lead.number
    return f"/desk/jobs/{papers.hold.id}", papers.lead.number
