"""Pictures of garlands: behind a client's link to a quote, and as pages show them."""

from dataclasses import dataclass
from http import HTTPStatus
from typing import Annotated
from urllib.parse import urlsplit

from fastapi import APIRouter, Query, Request, Response

from service.leads import handling, merging, pictures
from service.leads.lead import Lead, NotFound, Quote
from service.leads.limits import PICTURES, keep_to
from service.leads.messages import Message
from service.leads.ports import UnitOfWork
from service.leads.price_books import book_of
from service.leads.words import Words
from service.pages.visit import Visit, Visiting
from service.rendering import picture
from service.rendering.picture import Format, NoPicture

router = APIRouter()

_TYPES = {Format.PNG: "image/png", Format.WEBP: "image/webp"}
_GUARDS = {
    "Content-Security-Policy": "default-src 'none'",
    # Whoever holds the link may keep it; nobody in between.
    "Cache-Control": "private, max-age=3600",
    # The web chat is at an address of its own.
    "Cross-Origin-Resource-Policy": "cross-origin",
    "Referrer-Policy": "same-origin",
    "X-Content-Type-Options": "nosniff",
    "X-Robots-Tag": "noindex",
}

Number = Annotated[str | None, Query(alias="of", max_length=40)]


@dataclass(frozen=True, kw_only=True, slots=True)
class Framed:
    """A picture on a page: where it is, what it shows, what is said below it, its size [px]."""

    path: str
    alt: str
    caption: str
    width: int = picture.WIDTH
    height: int = picture.height_of(picture.WIDTH)


def framed(quote: Quote, words: Words, *, owner: str, path: str) -> Framed:
    """A quote's picture for a page of `owner`'s shop."""
    note = pictures.stand_in_note(quote, owner, words)
    caption = " ".join(filter(None, (pictures.caption(words), note)))
    return Framed(path=path, alt=pictures.alt_of(quote, words), caption=caption)


def came_with(message: Message, words: Words) -> Framed | None:
    """The picture that a message came with, for a page of ours."""
    if message.picture is None:
        return None
    # The public address need not be the one that the person typed.
    parts = urlsplit(message.picture.page_url)
    path = f"{parts.path}?{parts.query}"
    return Framed(path=path, alt=message.picture.alt, caption=pictures.caption(words))


@router.get("/quotes/{token}/picture.png")
def for_chats(token: str, visit: Visiting, request: Request, number: Number = None) -> Response:
    """The picture as a chat shows it, of the newest quote or of the one with this number."""
    return _behind_link(token, visit, request, number, Format.PNG)


@router.get("/quotes/{token}/picture.webp")
def for_pages(token: str, visit: Visiting, request: Request, number: Number = None) -> Response:
    """The same for pages, which say its caption."""
    return _behind_link(token, visit, request, number, Format.WEBP)


def _behind_link(
    token: str, visit: Visit, request: Request, number: str | None, format_: Format
) -> Response:
    with visit.ports.read() as work:
        opened = handling.lead_of_link(work, visit.ports, token, purpose=handling.QUOTE_LINK)
        quote = _quote(work, opened, number)
    keep_to(visit.ports.limits, PICTURES, opened.id)
    return drawn(request, visit, quote, visit.speaking(opened.language).words, format_)


def _quote(work: UnitOfWork, opened: Lead, number: str | None) -> Quote:
    """A message shows the quote that it came with, whatever was sent since."""
    kept = merging.kept_with_price(work, opened)
    if number is None:
        quote = work.quotes.latest(kept.id, sent=True)
    else:
        theirs = (*work.quotes.of_lead(opened.id), *work.quotes.of_lead(kept.id))
        quote = next((each for each in theirs if each.number == number and each.sent_at), None)
    if quote is None:
        raise NotFound("There is no such quote.")
    return quote


def drawn(request: Request, visit: Visit, quote: Quote, words: Words, format_: Format) -> Response:
    """A quote's picture as an answer. Raises NotFound where there is none of it."""
    try:
        found = picture.of_quote(quote, book_of(visit.ports.price_books, quote), words, format_)
    except NoPicture:
        raise NotFound("There is no picture of this quote.") from None
    headers = {**_GUARDS, "ETag": picture.tag_of(found)}
    if request.headers.get("if-none-match") == headers["ETag"]:
        return Response(status_code=HTTPStatus.NOT_MODIFIED, headers=headers)
    return Response(found, media_type=_TYPES[format_], headers=headers)
