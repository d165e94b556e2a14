"""What every page is handed, and how it is shown."""

import re
from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import datetime
from http import HTTPStatus
from typing import Annotated, Any
from urllib.parse import parse_qsl, urlencode, urlsplit
from zoneinfo import ZoneInfo

from fastapi import Depends, Request
from fastapi.responses import HTMLResponse, RedirectResponse, Response

from service.estimating import PriceBook, Shop
from service.leads.ports import Ports
from service.leads.shop_time import zone_of
from service.leads.words import ENGLISH, Words, address
from service.pages.languages import preferred
from service.pages.templates import render

_POLICY = (
    "default-src 'none'; style-src 'self'; img-src 'self' data:; script-src 'self'; "
    "connect-src 'self'; form-action 'self'; object-src 'none'; base-uri 'none'; frame-ancestors "
)


_LANGUAGE = "lang"


class Instead(Exception):
    """Raised by a page, or by what it depends on: this response is the answer instead."""

    def __init__(self, response: Response) -> None:
        super().__init__()
        self.response = response


@dataclass(frozen=True, kw_only=True, slots=True)
class Way:
    """One way to reach the shop; `href` where it can be followed."""

    text: str
    href: str | None


@dataclass(frozen=True, kw_only=True, slots=True)
class Visit:
    """One request for a page: the ports, the price book as it stands, the time at the shop.

    `words` is the language that the page speaks, `asked` the one that its address asks for, if
    any. `path` and `query` are of the address, `visitor` is where it was asked from.
    """

    ports: Ports
    book: PriceBook
    now: datetime
    words: Words = ENGLISH
    asked: str | None = None
    path: str = "/"
    query: str = ""
    visitor: str = ""

    @property
    def shop(self) -> Shop:
        """The shop that the page speaks for."""
        return self.book.shop

    @property
    def zone(self) -> ZoneInfo:
        """The shop's time zone."""
        return zone_of(self.book)

    def speaking(self, language: str) -> "Visit":
        """The visit in a lead's language, unless its address asks for another one."""
        if self.asked:
            return self
        return replace(self, words=self.ports.wording.in_language(language))

    def at(self, path: str) -> str:
        """A path of ours, in the language that this page's address asks for."""
        if not self.asked:
            return path
        return f"{path}{'&' if '?' in path else '?'}{urlencode({_LANGUAGE: self.asked})}"

    def in_other_languages(self) -> Mapping[str, str]:
        """The path of this page in every other language, by the language."""
        if _of_desk(self.path):
            return {}
        kept = [pair for pair in parse_qsl(self.query) if pair[0] != _LANGUAGE]
        return {
            language: f"{self.path}?{urlencode([*kept, (_LANGUAGE, language)])}"
            for language in self.ports.wording.languages
            if language != self.words.language
        }

    def show(
        self,
        template: str,
        *,
        status: HTTPStatus = HTTPStatus.OK,
        framed: bool = False,
        headers: Mapping[str, str] | None = None,
        **values: Any,
    ) -> Response:
        """The template as an answer. `framed` lets the owner's own website frame it."""
        html = render(
            template,
            words=self.words,
            asked_language=self.asked,
            at=self.at,
            framed=framed,
            websites=self.ports.website_origins,
            in_other_languages=self.in_other_languages(),
            shop=self.shop,
            ways=_ways(self.shop, self.words),
            chat_url=self.ports.chat_url,
            **values,
        )
        return HTMLResponse(
            html,
            status_code=status,
            headers=self._guards(framed=framed) | dict(headers or {}),
        )

    def trouble(
        self, status: HTTPStatus, title: str, *paragraphs: str, desk: bool = False
    ) -> Response:
        """A page that says what went wrong and where a client, or the owner, goes from here.

        The texts are named by their English, as in the catalogues.
        """
        return self.show(
            "trouble.html",
            status=status,
            framed=not desk,
            title=self.words.text(title),
            paragraphs=[self.words.text(paragraph) for paragraph in paragraphs],
            desk=desk,
        )

    def _guards(self, *, framed: bool) -> dict[str, str]:
        ancestors = " ".join(self.ports.website_origins) if framed else ""
        return {
            "Content-Security-Policy": _POLICY + (ancestors or "'none'"),
            # Addresses of pages are secrets: neither caches nor other sites may keep them.
            "Cache-Control": "no-store",
            "Referrer-Policy": "same-origin",
            "X-Content-Type-Options": "nosniff",
            "X-Robots-Tag": "noindex",
            "Cross-Origin-Opener-Policy": "same-origin",
        }


def visit_of(request: Request) -> Visit:
    """The visit that a request makes."""
    ports: Ports = request.app.state.ports
    book = ports.price_books.current()
    asked = request.query_params.get(_LANGUAGE)
    known = ports.wording.languages
    spoken = asked if asked in known else preferred(request.headers.get("accept-language"), known)
    return Visit(
        ports=ports,
        book=book,
        now=ports.clock().astimezone(zone_of(book)),
        # The desk is the owner's, and is in English.
        words=ports.wording.as_shipped("en")
        if at_desk(request)
        else ports.wording.in_language(spoken),
        asked=asked if asked in known else None,
        path=request.url.path,
        query=request.url.query,
        visitor=request.client.host if request.client else "",
    )


def trouble_at(request: Request, status: HTTPStatus, title: str, *paragraphs: str) -> Response:
    """A page that says what went wrong, with ways to go on that suit the address."""
    return visit_of(request).trouble(status, title, *paragraphs, desk=at_desk(request))


def at_desk(request: Request) -> bool:
    """Whether the address is one of the owner's desk."""
    return _of_desk(request.url.path)


def _of_desk(path: str) -> bool:
    return f"{path}/".startswith("/desk/")


Visiting = Annotated[Visit, Depends(visit_of)]


def go_to(path: str) -> Response:
    """After a form: read the result at this path."""
    return RedirectResponse(path, status_code=HTTPStatus.SEE_OTHER)


def path_of(url: str) -> str:
    """The path of one of our own addresses.

    A form may only lead to its own origin, and the public address need not be the one that
    the person typed.
    """
    return urlsplit(url).path


def _ways(shop: Shop, words: Words) -> tuple[Way, ...]:
    return tuple(Way(text=words.contact(text), href=_href(text)) for text in shop.contact)


def _href(contact: str) -> str | None:
    return address(contact) or (contact if re.match(r"https?://", contact) else None)
