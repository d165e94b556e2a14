"""What every request passes: it is followed, counted and timed."""

import logging
import time
from collections.abc import Iterator, Sequence
from http import HTTPStatus

from fastapi import FastAPI
from fastapi.routing import iter_route_contexts
from prometheus_client import CollectorRegistry, Counter, Histogram, ProcessCollector
from starlette.routing import BaseRoute, Mount
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from service.contract import tracing

_log = logging.getLogger("service.requests")
_HEADER = tracing.HEADER.encode()

# Seconds. The first are for an API that answers at once, the last for documents of a month.
_REQUEST_S = (0.005, 0.01, 0.025, 0.05, 0.1, 0.25, 0.5, 1.0, 2.5, 5.0, 10.0, 30.0)
# From a client's request to its first answer.
_ANSWER_S = (0.1, 0.25, 0.5, 1.0, 2.5, 5.0, 10.0, 30.0, 60.0, 300.0, 1800.0)

# Ids in paths that somebody may search the logs for.
_TELLING = ("lead_id", "step_id", "message_id", "reminder_id", "part_id")


class Figures:
    """What one process has done since it started. No ids, no names, no addresses."""

    def __init__(self) -> None:
        self.registry = CollectorRegistry()
        self.draining = False
        ProcessCollector(registry=self.registry)
        self.requests = Counter(
            "garlandry_http_requests",
            "Requests by the route's own path; 429 are those that came too often.",
            ["method", "route", "status"],
            registry=self.registry,
        )
        self.took = Histogram(
            "garlandry_http_request_seconds",
            "How long requests took.",
            ["route"],
            buckets=_REQUEST_S,
            registry=self.registry,
        )
        self._answers = Histogram(
            "garlandry_answer_seconds",
            "From a client's request to its first answer: a price, or that the owner looks first.",
            ["outcome"],
            buckets=_ANSWER_S,
            registry=self.registry,
        )
        for outcome in ("price", "review"):  # seen from the start, so that none is not unknown
            self._answers.labels(outcome)

    def answered(self, outcome: str, seconds: float) -> None:
        """A client's request has its first answer, `price` or `review`."""
        self._answers.labels(outcome).observe(seconds)


class Watching:
    """Puts each request on its way, and notes by its route what came of it.

    Whoever brings a trace, as bot and workers do, is on the way of a message: that is logged.
    """

    def __init__(self, app: ASGIApp, figures: Figures) -> None:
        self._app = app
        self._figures = figures
        self._paths: dict[object, str] = {}

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] != "http":
            await self._app(scope, receive, send)
            return
        if not self._paths:
            application: FastAPI = scope["app"]
            # What serves several paths is known by the first.
            self._paths = dict(reversed(list(_paths(application.routes))))
        status = int(HTTPStatus.INTERNAL_SERVER_ERROR)
        began = time.perf_counter()

        async def noting(message: Message) -> None:
            nonlocal status
            if message["type"] == "http.response.start":
                status = message["status"]
            await send(message)

        token = tracing.enter(_brought(scope))
        try:
            await self._app(scope, receive, noting)
        finally:
            self._note(scope, status, time.perf_counter() - began)
            tracing.leave(token)

    def _note(self, scope: Scope, status: int, seconds: float) -> None:
        # The route's own path: an address may hold ids and signed links.
        method, route = scope["method"], self._paths.get(scope.get("endpoint"), "other")
        self._figures.requests.labels(method, route, status).inc()
        self._figures.took.labels(route).observe(seconds)
        way = tracing.current()
        failed = status == HTTPStatus.INTERNAL_SERVER_ERROR
        if way is None or not (way.is_continued or failed):
            return
        params = scope.get("path_params") or {}
        tracing.note(**{name: str(params[name]) for name in _TELLING if name in params})
        level = logging.WARNING if failed else logging.INFO
        _log.log(level, "%s %s: %d in %.0f ms", method, route, status, seconds * 1000)


def _brought(scope: Scope) -> str | None:
    for name, value in scope["headers"]:
        if name == _HEADER:
            return str(value, "latin-1")
    return None


def _paths(routes: Sequence[BaseRoute], prefix: str = "") -> Iterator[tuple[object, str]]:
    """The path of each endpoint, in applications that are mounted as well."""
    for context in iter_route_contexts(routes):
        path = prefix + (context.path or "")
        if isinstance(context.original_route, Mount):
            yield from _paths(context.original_route.routes, path.rstrip("/"))
        elif context.endpoint is not None:
            yield context.endpoint, path
