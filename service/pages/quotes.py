"""The quote page: what it costs, what is in it, what it rests on, and the next step."""

from dataclasses import dataclass

from fastapi import APIRouter, Response

from service.leads import addresses, handling, merging
from service.leads.lead import Lead, LeadState, NotFound, Quote
from service.leads.limits import PAPERS, keep_to
from service.leads.phrasing import last_day
from service.leads.ports import UnitOfWork
from service.leads.price_books import book_of
from service.pages.alternatives import also_possible
from service.pages.newer import Newer, newer_than
from service.pages.pictures import framed
from service.pages.visit import Visit, Visiting, path_of
from service.rendering.paper import MEDIA_TYPE
from service.rendering.quote_file import quote_file
from service.workshop.quote_document import Standing, quote_document, standing_of

router = APIRouter()


@dataclass(frozen=True, kw_only=True, slots=True)
class Around:
    """What stands around a quote: how it stands with its client, and what the client can do.

    `pdf_path` leads to the same on paper, `picture_path` to its picture; `replaces` says that the
    link first showed another quote; `back` is the owner's way back to the desk, where nothing can
    be done that a client can.
    """

    standing: Standing
    booking_path: str | None = None
    pdf_path: str | None = None
    picture_path: str | None = None
    newer: Newer | None = None
    replaces: bool = False
    back: str | None = None


@router.get("/quotes/{token}")
def quote_page(token: str, visit: Visiting) -> Response:
    """The newest quote of the link's lead. Opening it changes nothing."""
    with visit.ports.read() as work:
        opened, lead, quote = _behind(work, visit, token)
        visit = visit.speaking(opened.language)
        around = Around(
            standing=standing_of(work, visit.ports, lead, language=visit.words.language),
            booking_path=path_of(addresses.of_lead(work, visit.ports, lead.id)[1]),
            pdf_path=f"/quotes/{token}/quote.pdf",
            picture_path=f"/quotes/{token}/picture.webp?of={quote.number}",
            newer=newer_than(work, visit.ports, lead),
            replaces=lead.id != opened.id or _opened_by_older_link(work, visit, lead, token),
        )
    return show_quote(visit, quote, around)


@router.get("/quotes/{token}/quote.pdf")
def quote_on_paper(token: str, visit: Visiting, paper: str | None = None) -> Response:
    """The same quote to be saved or printed, on `paper` ("a4", "letter") or the shop's own."""
    with visit.ports.read() as work:
        opened, lead, quote = _behind(work, visit, token)
        keep_to(visit.ports.limits, PAPERS, opened.id)
        words = visit.speaking(opened.language).words
        standing = standing_of(work, visit.ports, lead, language=words.language)
    file = quote_file(visit.ports, quote, standing, words, paper=paper)
    return Response(file.content, media_type=MEDIA_TYPE, headers=dict(file.headers))


def show_quote(visit: Visit, quote: Quote, around: Around) -> Response:
    """The quote as its client sees it."""
    words, standing = visit.words, around.standing
    book = book_of(visit.ports.price_books, quote)
    made_with = visit.ports.calibrations.of(quote.calibration)
    open_ = standing.state in (LeadState.QUOTED, LeadState.HELD) and around.newer is None
    return visit.show(
        "quote.html",
        around=around,
        quote=quote,
        picture=framed(
            quote, words, owner=visit.shop.owner, path=visit.at(around.picture_path or "")
        ),
        said=quote_document(quote, standing, words, book=book, today=visit.book),
        also=also_possible(quote, visit.book, made_with, words) if open_ else None,
        expires=last_day(quote, visit.book, words),
        open=open_ and not standing.hold,
    )


def _behind(work: UnitOfWork, visit: Visit, token: str) -> tuple[Lead, Lead, Quote]:
    """The lead that a link opens, the one that counts now, and the quote that its client has."""
    opened = handling.lead_of_link(work, visit.ports, token, purpose=handling.QUOTE_LINK)
    lead = merging.kept_with_price(work, opened)
    quote = work.quotes.latest(lead.id, sent=True)
    if quote is None:
        raise NotFound("This lead has no quote yet.")
    return opened, lead, quote


def _opened_by_older_link(work: UnitOfWork, visit: Visit, lead: Lead, token: str) -> bool:
    """Whether a newer quote has been sent since the one that this link came with."""
    opened = visit.ports.signer.read(token, purpose=handling.QUOTE_LINK)
    return opened != work.links.of(lead.id, handling.QUOTE_LINK)
