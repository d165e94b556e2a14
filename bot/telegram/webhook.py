"""Receiving by webhook: Telegram posts each update, and any number of processes may take them.

An update is answered with 200 only after the inbox has committed it. Everything else that Telegram
gets makes it post the update again.
"""

import asyncio
import hmac
import json
import logging
import os
import re
import socket
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from functools import partial
from http import HTTPStatus
from typing import Literal
from urllib.parse import urlsplit

import uvicorn
from starlette.applications import Starlette
from starlette.requests import Request
from starlette.responses import JSONResponse, Response
from starlette.routing import Route
from telegram import Bot, Update
from telegram.error import InvalidToken

from bot.dialogue.phrases import Phrasebook
from bot.stopping import until
from bot.telegram.incoming import ALLOWED_UPDATES
from bot.telegram.patience import PAUSES_S, persist, tell_refused_token
from bot.telegram.reception import Reception
from bot.turns import Turns

_log = logging.getLogger(__name__)

_SECRET_HEADER = "x-telegram-bot-api-secret-token"  # noqa: S105  # a name
# Telegram allows 1 to 256 of these; a short one could be guessed.
_SECRET = re.compile(r"[A-Za-z0-9_-]{16,256}")
_SECRETS_MOST = 2

# Far above what an update can hold.
_BODY_MOST_BYTES = 1_000_000
# Posts that Telegram may have under way at once: a commit takes milliseconds.
_CONNECTIONS = 40
# A turn in hand is finished when the process stops.
_GRACE_S = 8


def secrets_in(text: str) -> tuple[str, ...]:
    """The secrets of a setting, separated by commas. Raises ValueError where one will not do."""
    secrets = tuple(one.strip() for one in text.split(",") if one.strip())
    if not 1 <= len(secrets) <= _SECRETS_MOST:
        raise ValueError("give one secret, or two while the first takes the second's place")
    if not all(_SECRET.fullmatch(secret) for secret in secrets):
        raise ValueError("a secret has 16 to 256 letters, digits, - and _")
    return secrets


class Webhook:
    """Serves the path of `address` on a socket that already listens, and tells Telegram of it.

    `secrets` as `secrets_in` reads them: the first goes to Telegram, each of them is accepted.
    """

    def __init__(
        self,
        bot: Bot,
        turns: Turns,
        phrasebook: Phrasebook,
        *,
        address: str,
        secrets: Sequence[str],
        listening: socket.socket,
        pauses_s: Sequence[float] = PAUSES_S,
    ) -> None:
        self._bot = bot
        self._reception = Reception(bot, turns, phrasebook, pauses_s)
        self._address = address
        self._secrets = [secret.encode() for secret in secrets]
        self._socket = listening
        self._pauses_s = pauses_s
        self.contact: Literal["starting", "receiving", "refused"] = "starting"

    async def run(self, stopping: asyncio.Event | None = None) -> None:
        """Receive until cancelled, or until `stopping`: then the turns in hand are finished.

        Returns also when Telegram refuses the token.
        """
        stopping = stopping or asyncio.Event()
        try:
            async with asyncio.TaskGroup() as tasks:
                serving = tasks.create_task(self._serve(tasks, stopping))
                announcing = tasks.create_task(self._announce_it())
                await until(announcing, stopping)
                announcing.cancel()
                if self.contact == "refused":
                    serving.cancel()
        finally:
            self._socket.close()
            await self._bot.shutdown()

    async def _announce_it(self) -> None:
        try:
            await persist(self._bot.initialize, self._pauses_s)
            await persist(self._announce, self._pauses_s)
        except InvalidToken:
            self.contact = "refused"
            tell_refused_token()
            return
        self.contact = "receiving"
        _log.info("Telegram: receiving as @%s by webhook", self._bot.username)

    async def _announce(self) -> None:
        await self._bot.set_webhook(
            self._address,
            secret_token=self._secrets[0].decode(),
            allowed_updates=ALLOWED_UPDATES,
            max_connections=_CONNECTIONS,
        )

    async def _serve(self, tasks: asyncio.TaskGroup, stopping: asyncio.Event) -> None:
        routes = [
            Route(
                urlsplit(self._address).path or "/", partial(self._take, tasks), methods=["POST"]
            ),
            Route("/healthz", _healthy),
        ]
        server = _Server(
            uvicorn.Config(
                Starlette(routes=routes),
                log_config=None,
                access_log=False,
                lifespan="off",
                server_header=False,
                timeout_graceful_shutdown=_GRACE_S,
            )
        )
        serving = asyncio.create_task(server.serve(sockets=[self._socket]))
        try:
            await until(serving, stopping)
        finally:
            server.should_exit = True
            await serving

    async def _take(self, tasks: asyncio.TaskGroup, request: Request) -> Response:
        if not self._is_from_telegram(request):
            return Response(status_code=HTTPStatus.FORBIDDEN)
        body = await _bounded(request)
        if body is None:
            return Response(status_code=HTTPStatus.REQUEST_ENTITY_TOO_LARGE)
        update = _update(body)
        if update is None:
            return Response(status_code=HTTPStatus.BAD_REQUEST)
        try:
            await self._reception.accept(update, tasks)
        except (ValueError, TypeError, AttributeError):
            # Its fields are not of the kinds that an update has.
            return Response(status_code=HTTPStatus.BAD_REQUEST)
        except Exception as error:
            # Only the kind is told: its text may quote what a client wrote.
            _log.warning("update %d waits at Telegram: %s", update.update_id, type(error).__name__)
            return Response(status_code=HTTPStatus.SERVICE_UNAVAILABLE)
        return Response()

    def _is_from_telegram(self, request: Request) -> bool:
        given = request.headers.get(_SECRET_HEADER, "").encode()
        # Each is compared, so that time tells nothing of which one came near.
        matches = [hmac.compare_digest(given, secret) for secret in self._secrets]
        return any(matches)


async def _bounded(request: Request) -> bytes | None:
    body = bytearray()
    async for chunk in request.stream():
        body += chunk
        if len(body) > _BODY_MOST_BYTES:
            return None
    return bytes(body)


def _update(body: bytes) -> Update | None:
    """The update in a post; None where there is none."""
    try:
        return Update.de_json(json.loads(body), None)
    except (ValueError, TypeError, KeyError, AttributeError, RecursionError):
        return None


async def _healthy(request: Request) -> Response:  # noqa: ARG001
    return JSONResponse({"status": "alive", "pid": os.getpid()})


class _Server(uvicorn.Server):
    """Leaves signals alone: one place of the process decides when all of it stops."""

    @contextmanager
    def capture_signals(self) -> Iterator[None]:
        yield
