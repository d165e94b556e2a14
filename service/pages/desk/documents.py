"""The documents of a job, on one page: what there is, and what each is for."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from http import HTTPStatus

from fastapi import APIRouter, Response

from service.leads.lead import NotFound
from service.leads.shop_time import zone_of
from service.pages.desk.access import AnyoneIn, Desk
from service.pages.visit import Instead
from service.workshop.papers import Papers, papers_of

router = APIRouter(prefix="/leads/{lead_id}")


@dataclass(frozen=True, kw_only=True, slots=True)
class Entry:
    """A document: what it is called and for, its page and its PDF, as far as there are any.

    Addresses may name the `{lead}`, the `{hold}` and the `{day}` of the set-up; those that do, and
    those `when_kept`, are there once a time is kept. Those `for_helpers` name no price.
    """

    name: str
    about: str
    page: str = ""
    pdf: str = ""
    for_helpers: bool = False
    when_kept: bool = False


_ENTRIES: Sequence[Entry] = (
    Entry(
        name="Quote",
        about="for your client, in their language: what it is, when, and what it costs",
        pdf="/desk/leads/{lead}/quote.pdf",
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
)
"""Every document of a job, in the order in which they are needed."""


@router.get("/documents")
def documents_page(lead_id: str, desk: AnyoneIn) -> Response:
    """What there is to print or to show for a job."""
    papers = papers_for(desk, lead_id)
    return desk.show(
        "desk/documents.html",
        lead=papers.lead,
        quote=papers.quote,
        entries=tuple(_entries(desk, papers)),
        kept=papers.hold is not None,
        back=_back(desk, papers),
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
        readable = desk.is_owner or entry.for_helpers
        if readable and (papers.hold is not None or not _needs_time(entry)):
            yield Entry(
                name=entry.name,
                about=entry.about,
                page=entry.page.format(**names),
                pdf=entry.pdf.format(**names),
            )


def _needs_time(entry: Entry) -> bool:
    return (
        entry.when_kept or "{hold}" in entry.page + entry.pdf or "{day}" in entry.page + entry.pdf
    )


def _names(papers: Papers) -> Mapping[str, str]:
    names = {"lead": papers.lead.id, "hold": "", "day": ""}
    if papers.hold:
        starts = papers.hold.window.starts_at.astimezone(zone_of(papers.book))
        names |= {"hold": papers.hold.id, "day": starts.date().isoformat()}
    return names


def _back(desk: Desk, papers: Papers) -> tuple[str, str]:
    """Where one came from: the request, or for a helper its set-up."""
    if desk.is_owner or papers.hold is None:
        return f"/desk/leads/{papers.lead.id}", papers.lead.number
    return f"/desk/jobs/{papers.hold.id}", papers.lead.number
