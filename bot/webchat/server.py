"""The web chat's HTTP: a page, updates in, messages out.

The cookie `chat` is the chat's identity and its only key: whoever holds it reads and continues
the conversation, so it is random, out of scripts' reach, and never in an address or a log.
"""

import asyncio
import logging
import os
import re
import secrets
from collections.abc import AsyncIterator, Coroutine
from http import HTTPStatus
from pathlib import Path
from typing import Any, TypeVar

from jinja2 import Environment, FileSystemLoader
from starlette.applications import Starlette
from starlette.datastructures import MutableHeaders
from starlette.exceptions import HTTPException
from starlette.middleware import Middleware
from starlette.requests import Request
from starlette.responses import HTMLResponse, JSONResponse, Response, StreamingResponse
from starlette.routing import Mount, Route
from starlette.staticfiles import StaticFiles
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from bot.dialogue.messages import ShopCard
from bot.gateway import Gateway, ServiceRefused, ServiceUnavailable
from bot.turns import Turns
from bot.webchat import problems
from bot.webchat.incoming import TEXT_MOST, read
from bot.webchat.outgoing import as_event, as_json, inbox_id
from bot.webchat.problems import Refusal
from bot.webchat.words import language_of, words

_log = logging.getLogger(__name__)
_HERE = Path(__file__).parent
_T = TypeVar("_T")

COOKIE = "chat"
_CHAT_ID = re.compile(r"[A-Za-z0-9_-]{22,64}")
_CHAT_ID_BYTES = 24
_COOKIE_LASTS_S = 180 * 24 * 3600

# Proxies and browsers give up a silent connection after 30 s and more.
_HEARTBEAT_S = 15.0
_SERVICE_PAUSE_S = 1.0

_HEADERS = {
    "Content-Security-Policy": (
        "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self'; "
        "connect-src 'self'; base-uri 'none'; form-action 'none'; frame-ancestors 'self'"
    ),
    "X-Content-Type-Options": "nosniff",
    "Referrer-Policy": "same-origin",
}


class Chat:
    """The web chat as an ASGI application. `secure` marks the cookie for https only.

    `card` is the shop's card for the page while the service does not answer; `form_url` is the
    website form, for browsers without scripts.
    """

    def __init__(
        self,
        gateway: Gateway,
        turns: Turns,
        card: ShopCard,
        *,
        secure: bool,
        form_url: str | None = None,
    ) -> None:
        self._gateway = gateway
        self._turns = turns
        self._card = card
        self._secure = secure
        self._form_url = form_url
        self._closing = asyncio.Event()
        pages = Environment(loader=FileSystemLoader(_HERE / "templates"), autoescape=True)
        self._page = pages.get_template("chat.html")
        self._lost = pages.get_template("lost.html")
        self.app: ASGIApp = Starlette(
            routes=[
                Route("/", self._show_page),
                Route("/chat/session", self._open_session, methods=["POST"]),
                Route("/chat/updates", self._take_update, methods=["POST"]),
                Route("/chat/messages", self._list_messages),
                Route("/chat/stream", self._stream),
                Route("/healthz", _healthy),
                Mount("/static", StaticFiles(directory=_HERE / "static")),
            ],
            middleware=[Middleware(_Headers)],
            exception_handlers={
                Refusal: problems.refused,
                HTTPException: self._unroutable,
                Exception: problems.broken,
            },
        )

    def close_streams(self) -> None:
        """End the live streams; their pages connect again when somebody answers."""
        self._closing.set()

    async def _show_page(self, request: Request) -> Response:
        try:
            self._card = await self._gateway.shop()
        except ServiceUnavailable:
            _log.warning("the page shows the last known card: the service does not answer")
        language = language_of(request)
        html = self._page.render(
            shop=self._card,
            language=language,
            words=words(language),
            text_most=TEXT_MOST,
            form_url=self._form_url,
        )
        headers = {"Cache-Control": "no-store", "Vary": "Accept-Language"}
        return self._with_cookie(request, HTMLResponse(html, headers=headers))

    async def _unroutable(self, request: Request, error: Exception) -> Response:
        """A page for whoever follows a wrong address in a browser, a problem for a program."""
        browses = "text/html" in request.headers.get("accept", "")
        if not (browses and isinstance(error, HTTPException) and error.status_code == 404):
            return problems.unroutable(request, error)
        language = language_of(request)
        html = self._lost.render(shop=self._card, language=language, words=words(language))
        return HTMLResponse(html, status_code=HTTPStatus.NOT_FOUND)

    async def _open_session(self, request: Request) -> Response:
        return self._with_cookie(request, Response(status_code=HTTPStatus.NO_CONTENT))

    def _with_cookie(self, request: Request, response: Response) -> Response:
        response.set_cookie(
            COOKIE,
            _presented(request) or secrets.token_urlsafe(_CHAT_ID_BYTES),
            max_age=_COOKIE_LASTS_S,
            httponly=True,
            samesite="lax",
            secure=self._secure,
        )
        return response

    async def _take_update(self, request: Request) -> Response:
        chat_id = _chat_id(request)
        arrival = await read(request)
        try:
            received = await self._turns.receive(
                "webchat", chat_id, inbox_id(chat_id, arrival.update_id), arrival.incoming
            )
        except ServiceUnavailable as error:
            raise _unavailable() from error
        try:
            await self._turns.take("webchat", chat_id, received, arrival.incoming)
        except Exception:
            # It is committed, which is what 202 promises; the replay takes its turn later.
            _log.exception("update %s stays pending", received.inbox_id)
        return JSONResponse({"update_id": arrival.update_id}, status_code=HTTPStatus.ACCEPTED)

    async def _list_messages(self, request: Request) -> Response:
        chat_id = _chat_id(request)
        after = _sequence(request.query_params.get("after", "0"))
        try:
            shown = await self._gateway.messages("webchat", chat_id, after)
        except ServiceUnavailable as error:
            raise _unavailable() from error
        listed = [as_json(message, chat_id) for message in shown]
        return JSONResponse(listed, headers={"Cache-Control": "no-store"})

    async def _stream(self, request: Request) -> Response:
        chat_id = _chat_id(request)
        # A browser that reconnects repeats the old address; where it stopped is in the header.
        resumed = request.headers.get("last-event-id") or request.query_params.get("after", "0")
        return StreamingResponse(
            self._events(chat_id, _sequence(resumed)),
            media_type="text/event-stream",
            headers={"Cache-Control": "no-store", "X-Accel-Buffering": "no"},
        )

    async def _events(self, chat_id: str, after: int) -> AsyncIterator[str]:
        yield "retry: 2000\n\n"
        while not self._closing.is_set():
            try:
                shown = await self._unless_closing(
                    self._gateway.messages("webchat", chat_id, after, _HEARTBEAT_S)
                )
            except (ServiceUnavailable, ServiceRefused):
                await self._unless_closing(asyncio.sleep(_SERVICE_PAUSE_S))
                shown = None
            for message in shown or ():
                yield as_event(message, chat_id)
                after = message.seq
            if not shown:
                yield ": still here\n\n"

    async def _unless_closing(self, call: Coroutine[Any, Any, _T]) -> _T | None:
        """What `call` answers, or None as soon as the streams close."""
        work = asyncio.create_task(call)
        closing = asyncio.create_task(self._closing.wait())
        try:
            await asyncio.wait({work, closing}, return_when=asyncio.FIRST_COMPLETED)
            return await work if work.done() else None
        finally:
            work.cancel()
            closing.cancel()


class _Headers:
    """Puts the security headers on every answer."""

    def __init__(self, app: ASGIApp) -> None:
        self._app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        async def send_guarded(message: Message) -> None:
            if message["type"] == "http.response.start":
                headers = MutableHeaders(scope=message)
                headers.update(_HEADERS)
                headers.setdefault("Cache-Control", "no-cache")
            await send(message)

        await self._app(scope, receive, send_guarded)


async def _healthy(request: Request) -> Response:  # noqa: ARG001
    return JSONResponse({"status": "alive", "pid": os.getpid()})


def _presented(request: Request) -> str | None:
    cookie = request.cookies.get(COOKIE, "")
    return cookie if _CHAT_ID.fullmatch(cookie) else None


def _chat_id(request: Request) -> str:
    chat_id = _presented(request)
    if chat_id is None:
        detail = "Open the chat at / or call POST /chat/session first, and keep its cookie."
        raise Refusal(HTTPStatus.UNAUTHORIZED, detail)
    return chat_id


def _sequence(given: str) -> int:
    if not given.isascii() or not given.isdigit() or len(given) > 18:
        detail = "after is the seq of the last message you have: a whole number, 0 for none."
        raise Refusal(HTTPStatus.UNPROCESSABLE_ENTITY, detail, faults=[("after", detail)])
    return int(given)


def _unavailable() -> Refusal:
    detail = "Messages cannot be taken just now. Please send yours again in a moment."
    return Refusal(HTTPStatus.SERVICE_UNAVAILABLE, detail)
