"""A quote as its client sees it, without the client's own link."""

from dataclasses import replace
from http import HTTPStatus

from fastapi import APIRouter, Response

from service.leads.lead import LeadState
from service.pages.desk.access import SignedIn
from service.pages.quotes import Around, show_quote

router = APIRouter()


@router.get("/leads/{lead_id}/quotes/{number}")
def quote_as_sent(lead_id: str, number: str, desk: SignedIn) -> Response:
    """The quote with that number, as it was sent. Nothing on it can be pressed."""
    with desk.visit.ports.read() as work:
        lead = desk.lead(work, lead_id)
        quotes = {quote.number: quote for quote in work.quotes.of_lead(lead_id) if quote.sent_at}
        hold = work.holds.of_lead(lead_id)
    quote = quotes.get(number)
    if quote is None:
        return desk.trouble(HTTPStatus.NOT_FOUND, "The client was never sent that quote")
    # What was possible while the quote was the newest one.
    state = lead.state if hold else LeadState.QUOTED
    around = Around(state=state, hold=hold, back=f"/desk/leads/{lead_id}#sent")
    words = desk.visit.ports.wording.in_language(lead.language)
    return show_quote(replace(desk.visit, words=words), quote, around)
