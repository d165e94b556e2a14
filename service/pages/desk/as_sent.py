"""A quote as its client sees it, without the client's own link."""

from dataclasses import replace
from http import HTTPStatus

from fastapi import APIRouter, Response

from service.leads.lead import LeadState, NotFound
from service.pages.desk.access import SignedIn
from service.pages.quotes import Around, show_quote
from service.rendering.paper import MEDIA_TYPE
from service.rendering.quote_file import of_lead
from service.workshop.quote_document import standing_of

router = APIRouter()


@router.get("/leads/{lead_id}/quotes/{number}")
def quote_as_sent(lead_id: str, number: str, desk: SignedIn) -> Response:
    """The quote with that number, as it was sent. Nothing on it can be pressed."""
    with desk.visit.ports.read() as work:
        lead = desk.lead(work, lead_id)
        words = desk.visit.ports.wording.in_language(lead.language)
        quotes = {quote.number: quote for quote in work.quotes.of_lead(lead_id) if quote.sent_at}
        standing = standing_of(work, desk.visit.ports, lead, language=words.language)
    quote = quotes.get(number)
    if quote is None:
        return desk.trouble(HTTPStatus.NOT_FOUND, "The client was never sent that quote")
    # What was possible while the quote was the newest one.
    state = lead.state if standing.hold else LeadState.QUOTED
    around = Around(
        standing=replace(standing, state=state),
        picture_path=f"/desk/leads/{lead_id}/picture.webp?of={number}",
        back=f"/desk/leads/{lead_id}#sent",
    )
    return show_quote(replace(desk.visit, words=words), quote, around)


@router.get("/leads/{lead_id}/quote.pdf")
def quote_on_paper(lead_id: str, desk: SignedIn, paper: str | None = None) -> Response:
    """The newest quote that was sent, or the draft of one, in the client's language."""
    try:
        file = of_lead(desk.visit.ports, lead_id, paper=paper)
    except NotFound as gone:
        return desk.trouble(HTTPStatus.NOT_FOUND, "There is no quote to print", str(gone))
    return Response(file.content, media_type=MEDIA_TYPE, headers=dict(file.headers))
