"""The picture of a lead's garland."""

from fastapi import APIRouter, Depends, Response

from service.api.access import Role, allow
from service.api.dependencies import Given
from service.contract.estimate import Problem
from service.leads.lead import NotFound
from service.leads.price_books import book_of
from service.rendering import picture

router = APIRouter(prefix="/leads", tags=["leads"], dependencies=[Depends(allow(Role.OWNER))])

_PNG = "image/png"


@router.get(
    "/{lead_id}/picture.png",
    response_class=Response,
    responses={
        200: {"content": {_PNG: {}}},
        404: {"model": Problem, "description": "No such lead, or it has no price yet."},
    },
)
def newest(lead_id: str, ports: Given) -> Response:
    """The newest price's garland, sent or not, drawn to scale as the client sees it."""
    with ports.read() as work:
        lead = work.leads.get(lead_id)
        quote = work.quotes.latest(lead_id)
    if quote is None:
        raise NotFound("This lead has no price yet.")
    words = ports.wording.in_language(lead.language)
    try:
        book = book_of(ports.price_books, quote)
        png = picture.of_quote(quote, book, words, picture.Format.PNG)
    except picture.NoPicture:
        raise NotFound("There is no picture of this price.") from None
    headers = {"Cache-Control": "private, no-cache", "ETag": picture.tag_of(png)}
    return Response(png, media_type=_PNG, headers=headers)
