"""The picture of a request's garland, sent or not yet, as its client would see it."""

from http import HTTPStatus

from fastapi import APIRouter, Request, Response

from service.pages.desk.access import SignedIn
from service.pages.pictures import Number, drawn
from service.rendering.picture import Format

router = APIRouter()


@router.get("/leads/{lead_id}/picture.webp")
def of_request(lead_id: str, desk: SignedIn, request: Request, number: Number = None) -> Response:
    """The newest price's picture, or that of the quote with this number."""
    with desk.visit.ports.read() as work:
        lead = desk.lead(work, lead_id)
        quotes = work.quotes.of_lead(lead.id)
    wanted = [quote for quote in quotes if number in (None, quote.number)]
    if not wanted:
        return desk.trouble(HTTPStatus.NOT_FOUND, "There is no such picture")
    words = desk.visit.ports.wording.in_language(lead.language)
    picture = drawn(request, desk.visit, wanted[-1], words, Format.WEBP)
    # A client's is for the web chat's pages too; this one is for the desk's alone.
    picture.headers["Cross-Origin-Resource-Policy"] = "same-origin"
    return picture
