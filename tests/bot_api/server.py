"""The server itself: one bot, its clients, and every call the bot makes."""

import asyncio
import contextlib
import re
import socket
import threading
import time
from collections.abc import AsyncIterator
from dataclasses import replace
from typing import Any, Self

import uvicorn
from starlette.applications import Starlette
from starlette.datastructures import UploadFile
from starlette.requests import Request
from starlette.responses import JSONResponse, Response
from starlette.routing import Route

from tests.bot_api import rules
from tests.bot_api.methods import Methods
from tests.bot_api.people import People
from tests.bot_api.posting import Posting
from tests.bot_api.refusals import Refusal, flooded
from tests.bot_api.views import Views, wait
from tests.bot_api.world import Call, Fault, World

_LOOPBACK_TOKEN = "7000000001:loopback-only-token"
_TOKEN = re.compile(r"\d+:[\w-]+")
# A long poll looks this often for something new.
_LOOK_S = 0.005


class BotApiServer(People, Views):
    """A Bot API server on a free loopback port, for one bot.

    Use it as a context manager. With `limited` it refuses floods. `base_url` goes without the
    `/bot` that the library wants appended.
    """

    def __init__(self, token: str = _LOOPBACK_TOKEN, *, limited: bool = False) -> None:
        self.token = token
        bot = {"id": int(token.split(":")[0]), "is_bot": True, "first_name": "Ribbon"}
        super().__init__(World(bot={**bot, "username": "ribbon_bot"}), threading.RLock())
        self._methods = Methods(self._world, limited=limited)
        self._posting = Posting(self._world, self._lock)
        self._socket = socket.create_server(("127.0.0.1", 0))
        self.base_url = f"http://127.0.0.1:{self._socket.getsockname()[1]}"
        routes = [Route("/{path:path}", self._serve, methods=["GET", "POST"])]
        self._server = uvicorn.Server(
            uvicorn.Config(
                Starlette(routes=routes, lifespan=self._while_posting),
                log_config=None,
                # Its own access log would tell the token that tests look for in the bot's log.
                log_level="critical",
                timeout_graceful_shutdown=1,
            )
        )
        self._thread = threading.Thread(
            target=self._server.run, kwargs={"sockets": [self._socket]}, daemon=True
        )

    def __enter__(self) -> Self:
        self._thread.start()
        wait(lambda: self._server.started, 10, "the server starts")
        return self

    def __exit__(self, *exc: object) -> None:
        self._server.should_exit = True
        self._thread.join(timeout=10)
        self._socket.close()

    @contextlib.asynccontextmanager
    async def _while_posting(self, _: Starlette) -> AsyncIterator[None]:
        posting = asyncio.create_task(self._posting.run())
        yield
        posting.cancel()
        await asyncio.wait([posting])

    # What goes wrong

    def fail(
        self,
        method: str,
        status: int,
        *,
        retry_after: int | None = None,
        times: int = 1,
        chat_id: int | None = None,
    ) -> None:
        """The next `times` calls of `method`, of all or about one chat, are answered with an
        error and have no effect."""
        fault = Fault(status=status, retry_after=retry_after, chat_id=chat_id)
        self._script(method, [fault] * times)

    def stall(
        self, method: str, seconds: float, *, times: int = 1, after_effect: bool = False
    ) -> None:
        """The next `times` calls of `method` wait `seconds` and are then answered with a 500.

        With `after_effect` the call took effect before: the caller cannot know that it did.
        """
        fault = Fault(status=500, stall_s=seconds, after_effect=after_effect)
        self._script(method, [fault] * times)

    def lose(self, method: str, *, times: int = 1) -> None:
        """The next `times` calls of `method` take effect, and their answers are lost."""
        self._script(method, [Fault(after_effect=True, silent=True)] * times)

    def flood(self, chat_id: int, seconds: float) -> None:
        """Everything sent to a chat is answered with a 429 for so long."""
        with self._lock:
            self._world.floods[chat_id] = time.monotonic() + seconds

    def lose_file(self, file_id: str) -> None:
        """A file that was sent cannot be had any more."""
        with self._lock:
            del self._world.files[file_id]

    def _script(self, method: str, faults: list[Fault]) -> None:
        with self._lock:
            self._world.faults.setdefault(method, []).extend(faults)

    # The server's side

    async def _serve(self, request: Request) -> Response:
        path = request.path_params["path"]
        found = re.fullmatch(r"(file/)?bot([^/]+)/(.+)", path)
        if found is None or not _TOKEN.fullmatch(found[2]):
            return _refused(Refusal(404, "Not Found"))
        if found[2] != self.token:
            return _refused(Refusal(401, "Unauthorized"))
        if found[1]:
            return self._file(found[3])
        try:
            params = await _parameters(request)
        except Refusal as refusal:
            return _refused(refusal)
        return await self._called(found[3], params)

    def _file(self, path: str) -> Response:
        with self._lock:
            data = self._world.files.get(path.removeprefix("photos/"))
        return _refused(Refusal(404, "Not Found")) if data is None else Response(data)

    async def _called(self, method: str, params: dict[str, Any]) -> Response:
        position = self._record(method, params)
        try:
            result = await self._answer(method, params)
            response: Response = JSONResponse({"ok": True, "result": result})
        except Refusal as refusal:
            response = _refused(refusal)
        except _Lost:
            return _Broken()
        self._settle(position, response.status_code)
        return response

    def _record(self, method: str, params: dict[str, Any]) -> int:
        with self._lock:
            call = Call(method=method, params=params, status=0, at=time.monotonic())
            self._world.calls.append(call)
            return len(self._world.calls) - 1

    def _settle(self, position: int, status: int) -> None:
        with self._lock:
            call = self._world.calls[position]
            took_s = time.monotonic() - call.at
            self._world.calls[position] = replace(call, status=status, took_s=took_s)

    async def _answer(self, method: str, params: dict[str, Any]) -> Any:
        fault = self._next_fault(method, params)
        if fault is None:
            return await self._act(method, params)
        if fault.after_effect:
            await self._act(method, params)
        await asyncio.sleep(fault.stall_s)
        if fault.silent:
            raise _Lost
        if fault.status == 429:
            raise flooded(fault.retry_after or 1)
        raise Refusal(fault.status, "scripted failure")

    def _next_fault(self, method: str, params: dict[str, Any]) -> Fault | None:
        with self._lock:
            for fault in self._world.faults.get(method, []):
                if fault.chat_id is None or str(fault.chat_id) == str(params.get("chat_id")):
                    self._world.faults[method].remove(fault)
                    return fault
        return None

    async def _act(self, method: str, params: dict[str, Any]) -> Any:
        if method == "getUpdates":
            return await self._get_updates(params)
        with self._lock:
            return self._methods.act(method, params)

    async def _get_updates(self, params: dict[str, Any]) -> list[dict[str, Any]]:
        offset, limit = int(params.get("offset") or 0), int(params.get("limit") or 100)
        deadline = time.monotonic() + float(params.get("timeout") or 0)
        with self._lock:
            self._world.poll += 1
            mine = self._world.poll
        while True:
            with self._lock:
                if self._world.hook is not None:
                    raise Refusal(409, "Conflict: can't use getUpdates while webhook is active")
                if mine != self._world.poll:
                    raise Refusal(409, "Conflict: terminated by other getUpdates request")
                ready = self._ready(offset, params.get("allowed_updates") or [])[:limit]
            if ready or time.monotonic() >= deadline or self._server.should_exit:
                return ready
            await asyncio.sleep(_LOOK_S)

    def _ready(self, offset: int, allowed: list[str]) -> list[dict[str, Any]]:
        # An offset confirms every update before it: they are gone for good.
        updates = self._world.updates
        updates[:] = [one for one in updates if int(one["update_id"]) >= offset]
        repeated, self._world.again = self._world.again, []
        ready = [*repeated, *updates]
        return [one for one in ready if not allowed or any(kind in one for kind in allowed)]


class _Lost(Exception):
    """The answer does not arrive."""


class _Broken(Response):
    """Ends in the middle of what it announced: the server breaks the connection off."""

    def __init__(self) -> None:
        super().__init__(b"{", headers={"Content-Length": "4096"})


async def _parameters(request: Request) -> dict[str, Any]:
    if request.headers.get("content-type", "").startswith("application/json"):
        body = await request.json()
        return dict(body) if isinstance(body, dict) else {}
    read: dict[str, Any] = {k: rules.parameter(k, v) for k, v in request.query_params.items()}
    if request.method == "POST":
        async with request.form() as form:
            for key, value in form.items():
                if isinstance(value, UploadFile):
                    read[key] = await value.read()
                else:
                    read[key] = rules.parameter(key, value)
    return {name: _attached(value, read) for name, value in read.items()}


def _attached(value: Any, parts: dict[str, Any]) -> Any:
    """A file that is named `attach://part` is in the part of that name."""
    if isinstance(value, str) and value.startswith("attach://"):
        return parts.get(value.removeprefix("attach://"))
    return value


def _refused(refusal: Refusal) -> JSONResponse:
    body: dict[str, Any] = {
        "ok": False,
        "error_code": refusal.status,
        "description": refusal.description,
    }
    if refusal.retry_after is not None:
        body["parameters"] = {"retry_after": refusal.retry_after}
    return JSONResponse(body, status_code=refusal.status)
