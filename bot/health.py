"""Is the bot alive, can it take messages, and what has it done: for whoever watches it."""

import asyncio
import hmac
from collections.abc import Awaitable, Callable
from http import HTTPStatus

from prometheus_client import CONTENT_TYPE_LATEST
from starlette.requests import Request
from starlette.responses import JSONResponse, Response
from starlette.routing import Route

from bot.metrics import Figures

# What was found out is good for so long, however often somebody asks.
_KEPT_S = 2.0


class Health:
    """Answers `/readyz` and `/metrics`.

    `service_answers` asks the service; `telegram` tells how that channel stands: `off`,
    `starting`, `receiving`, `away` or `refused`. Without a `metrics_key` there are no metrics.
    """

    def __init__(
        self,
        figures: Figures,
        *,
        service_answers: Callable[[], Awaitable[bool]],
        telegram: Callable[[], str],
        stopping: asyncio.Event,
        metrics_key: str | None,
    ) -> None:
        self._figures = figures
        self._service_answers = service_answers
        self._telegram = telegram
        self._stopping = stopping
        self._key = metrics_key
        self._answered = False
        self._asked_at = float("-inf")

    def routes(self) -> list[Route]:
        """Both, for a web server."""
        return [Route("/readyz", self._ready), Route("/metrics", self._metrics)]

    async def _ready(self, request: Request) -> Response:  # noqa: ARG002
        """Ready where messages can be committed. Telegram's absence keeps no page out."""
        answers, telegram = await self._look()
        status = "ready" if telegram in ("off", "receiving") else "degraded"
        if not answers:
            status = "not ready"
        if self._stopping.is_set():
            status = "draining"
        takes = status in ("ready", "degraded")
        return JSONResponse(
            {"status": status, "service": "up" if answers else "down", "telegram": telegram},
            status_code=HTTPStatus.OK if takes else HTTPStatus.SERVICE_UNAVAILABLE,
            headers={"Cache-Control": "no-store"},
        )

    async def _metrics(self, request: Request) -> Response:
        given = request.headers.get("authorization", "").removeprefix("Bearer ")
        if self._key is None or not hmac.compare_digest(given.encode(), self._key.encode()):
            return Response(status_code=HTTPStatus.NOT_FOUND)
        answers, telegram = await self._look()
        self._figures.service_up.set(answers)
        self._figures.telegram_up.set(telegram in ("off", "receiving"))
        return Response(self._figures.text(), media_type=CONTENT_TYPE_LATEST)

    async def _look(self) -> tuple[bool, str]:
        instant = asyncio.get_running_loop().time()
        if instant - self._asked_at > _KEPT_S:
            self._asked_at = instant
            self._answered = await self._service_answers()
        return self._answered, self._telegram()
