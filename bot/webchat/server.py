"""The web chat's HTTP: a page, updates and photos in, messages out."""

import logging
import os
from collections.abc import Sequence
from http import HTTPStatus
from math import ceil
from pathlib import Path
from typing import Literal

from starlette.applications import Starlette
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import JSONResponse, Response
from starlette.routing import Mount, Route
from starlette.staticfiles import StaticFiles
from starlette.types import ASGIApp

from bot.dialogue.messages import ShopCard
from bot.dialogue.phrases import Phrasebook, Phrases
from bot.gateway import Gateway, ServiceUnavailable
from bot.turns import Turns
from bot.webchat import problems
from bot.webchat.headers import Headers
from bot.webchat.identity import chat_of, is_framed, keep_chat, refuse_strangers, set_cookie
from bot.webchat.incoming import Arrival, read
from bot.webchat.outgoing import as_json, inbox_id
from bot.webchat.pacing import Pace
from bot.webchat.pages import Pages
from bot.webchat.pictures import Pictures
from bot.webchat.problems import Refusal
from bot.webchat.streams import Streams
from bot.webchat.visitors import visitor_of
from bot.webchat.words import CHOICE, chosen, language_of

_log = logging.getLogger(__name__)
_STATIC = Path(__file__).parent / "static"

# Faster than anybody taps through a calendar; a program slows down.
_UPDATES_AT_ONCE, _UPDATE_EVERY_S = 30, 0.5
_PHOTOS_AT_ONCE, _PHOTO_EVERY_S = 6, 10.0

# Whoever has to wait longer is told for how long.
_A_MOMENT_S = 60


class Chat:
    """The web chat as an ASGI application. `secure` marks the cookies for https only.

    `card` is the shop's card for the page while the service does not answer; `form_url` is the
    website form, for browsers without scripts; `website_origins` may show the page in a frame;
    `pictures_from` is the origin of the service's pages, which draw the garlands; `monitoring`
    are further routes, for whoever watches the process.
    """

    def __init__(
        self,
        gateway: Gateway,
        turns: Turns,
        card: ShopCard,
        phrasebook: Phrasebook,
        *,
        secure: bool,
        form_url: str | None = None,
        website_origins: tuple[str, ...] = (),
        pictures_from: str | None = None,
        monitoring: Sequence[Route] = (),
    ) -> None:
        self._gateway = gateway
        self._turns = turns
        self._card = card
        self._phrasebook = phrasebook
        self._secure = secure
        self._monitoring = monitoring
        self._pages = Pages(phrasebook, form_url)
        self._pictures = Pictures(gateway)
        self._streams = Streams(gateway)
        self._paces = {
            "update": Pace(at_once=_UPDATES_AT_ONCE, every_s=_UPDATE_EVERY_S),
            "photo": Pace(at_once=_PHOTOS_AT_ONCE, every_s=_PHOTO_EVERY_S),
        }
        routed = Starlette(
            routes=self._routes(),
            exception_handlers={
                Refusal: problems.refused,
                HTTPException: self._unroutable,
                Exception: self._broken,
            },
        )
        routed.state.secure = secure
        # Around all of it: a fault of ours is answered beyond what Starlette calls middleware.
        self.app: ASGIApp = Headers(routed, website_origins, pictures_from, tls=secure)

    def _routes(self) -> list[Route | Mount]:
        return [
            Route("/", self._show_page),
            Route("/embed.js", self._show_tag),
            Route("/chat/session", self._open_session, methods=["POST"]),
            Route("/chat/updates", self._take_update, methods=["POST"]),
            Route("/chat/photos", self._take_photo, methods=["POST"]),
            Route("/chat/photos/{photo}", self._show_photo),
            Route("/chat/messages", self._list_messages),
            Route("/chat/stream", self._stream),
            Route("/healthz", _healthy),
            *self._monitoring,
            Mount("/static", StaticFiles(directory=_STATIC)),
        ]

    def close_streams(self) -> None:
        """End the live streams; their pages connect again when somebody answers."""
        self._streams.close()

    async def _show_page(self, request: Request) -> Response:
        response = self._pages.chat(request, await self._last_card())
        keep_chat(request, response, secure=self._secure)
        if language := chosen(request, self._phrasebook.languages):
            framed = is_framed(request)
            set_cookie(response, CHOICE, language, framed=framed, secure=self._secure)
        return response

    async def _show_tag(self, request: Request) -> Response:  # noqa: ARG002
        return self._pages.tag(await self._last_card())

    async def _last_card(self) -> ShopCard:
        try:
            self._card = await self._gateway.shop()
        except ServiceUnavailable:
            _log.warning("the page shows the last known card: the service does not answer")
        return self._card

    async def _unroutable(self, request: Request, error: Exception) -> Response:
        """A page for whoever follows a wrong address in a browser, a problem for a program."""
        assert isinstance(error, HTTPException)  # noqa: S101  registered for this type
        if error.status_code == HTTPStatus.NOT_FOUND and "text/html" in request.headers.get(
            "accept", ""
        ):
            return self._pages.lost(request, self._card)
        return problems.unroutable(request, error)

    async def _broken(self, request: Request, error: Exception) -> Response:  # noqa: ARG002
        """A fault of ours. What went wrong is for the log, not for the client."""
        detail = self._phrases(request).say("page.problem.broken")
        return problems.problem(request, HTTPStatus.INTERNAL_SERVER_ERROR, detail)

    async def _open_session(self, request: Request) -> Response:
        refuse_strangers(request)
        response = Response(status_code=HTTPStatus.NO_CONTENT)
        keep_chat(request, response, secure=self._secure)
        return response

    async def _take_update(self, request: Request) -> Response:
        chat_id, phrases = await self._admitted(request, "update")
        arrival = await read(request, phrases)
        await self._commit_and_answer(chat_id, arrival, phrases)
        return JSONResponse({"update_id": arrival.update_id}, status_code=HTTPStatus.ACCEPTED)

    async def _commit_and_answer(self, chat_id: str, arrival: Arrival, phrases: Phrases) -> None:
        incoming = arrival.incoming
        try:
            received = await self._turns.receive(
                "webchat", chat_id, inbox_id(chat_id, arrival.update_id), incoming
            )
        except ServiceUnavailable as error:
            raise _unavailable(phrases) from error
        try:
            await self._turns.take("webchat", chat_id, received, incoming)
        except Exception:
            # It is committed, which is what 202 promises; the replay takes its turn later.
            _log.exception("update %s stays pending", received.inbox_id)

    async def _take_photo(self, request: Request) -> Response:
        chat_id, phrases = await self._admitted(request, "photo")
        return await self._pictures.take(request, chat_id, phrases)

    async def _show_photo(self, request: Request) -> Response:
        return await self._pictures.show(request, chat_of(request), self._phrases(request))

    async def _list_messages(self, request: Request) -> Response:
        chat_id = chat_of(request)
        after = _sequence(request.query_params.get("after", "0"))
        try:
            shown = await self._gateway.messages("webchat", chat_id, after)
        except ServiceUnavailable as error:
            raise _unavailable(self._phrases(request)) from error
        listed = [as_json(message, chat_id) for message in shown]
        return JSONResponse(listed, headers={"Cache-Control": "no-store"})

    async def _stream(self, request: Request) -> Response:
        # A browser that reconnects repeats the old address; where it stopped is in the header.
        resumed = request.headers.get("last-event-id") or request.query_params.get("after", "0")
        return self._streams.open(chat_of(request), _sequence(resumed))

    async def _admitted(
        self, request: Request, brings: Literal["update", "photo"]
    ) -> tuple[str, Phrases]:
        """The chat that may do this now, and the phrases to speak to it. Refuses others."""
        refuse_strangers(request)
        chat_id, phrases = chat_of(request), self._phrases(request)
        wait_s = self._paces[brings].wait_s(chat_id)
        visitor = visitor_of(request)
        if not wait_s and visitor:
            try:
                wait_s = await self._gateway.wait_for_s(visitor, chat_id, brings)
            except ServiceUnavailable as error:
                raise _unavailable(phrases) from error
        if wait_s:
            detail = _too_soon(phrases, wait_s)
            raise Refusal(HTTPStatus.TOO_MANY_REQUESTS, detail, retry_after_s=wait_s)
        return chat_id, phrases

    def _phrases(self, request: Request) -> Phrases:
        return self._phrasebook.in_language(language_of(request, self._phrasebook.languages))


async def _healthy(request: Request) -> Response:  # noqa: ARG001
    return JSONResponse({"status": "alive", "pid": os.getpid()})


def _sequence(given: str) -> int:
    if not given.isascii() or not given.isdigit() or len(given) > 18:
        detail = "after is the seq of the last message you have: a whole number, 0 for none."
        raise Refusal(HTTPStatus.UNPROCESSABLE_ENTITY, detail, faults=[("after", detail)])
    return int(given)


def _too_soon(phrases: Phrases, wait_s: float) -> str:
    if wait_s <= _A_MOMENT_S:
        return phrases.say("page.problem.too_fast")
    return phrases.say("page.problem.too_many", minutes=ceil(wait_s / 60))


def _unavailable(phrases: Phrases) -> Refusal:
    detail = phrases.say("page.problem.unavailable")
    return Refusal(HTTPStatus.SERVICE_UNAVAILABLE, detail)
