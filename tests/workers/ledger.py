"""A small service on loopback: leases its one step, and writes down every call in order."""

import threading
import time
from collections.abc import Mapping
from typing import Any, Self

import uvicorn
from pydantic import BaseModel
from starlette.applications import Starlette
from starlette.requests import Request
from starlette.responses import JSONResponse, Response
from starlette.routing import Route

Answer = BaseModel | tuple[int, Mapping[str, Any]]


class Ledger:
    """`answers` by path; a list is used up one by one, its last answer stays."""

    def __init__(self) -> None:
        self.answers: dict[str, list[Answer]] = {}
        self._calls: list[tuple[float, str]] = []
        self._bodies: dict[str, bytes] = {}
        config = uvicorn.Config(
            Starlette(routes=[Route("/{path:path}", self._serve, methods=["GET", "POST"])]),
            port=0,
            log_config=None,
            lifespan="off",
            timeout_graceful_shutdown=1,
        )
        self._server = uvicorn.Server(config)
        self._thread = threading.Thread(target=self._server.run, daemon=True)

    def __enter__(self) -> Self:
        self._thread.start()
        wait_for(lambda: self._server.started, "the ledger listens")
        return self

    def __exit__(self, *exc: object) -> None:
        self._server.should_exit = True
        self._thread.join(timeout=5)

    @property
    def url(self) -> str:
        port = self._server.servers[0].sockets[0].getsockname()[1]
        return f"http://127.0.0.1:{port}"

    def begin(self, **answers: list[Answer]) -> None:
        """Forget what was; `lease__s1` answers /v1/steps/s1/lease and so on."""
        self.answers = {path.replace("__", "/"): listed for path, listed in answers.items()}
        self._calls.clear()
        self._bodies.clear()

    @property
    def calls(self) -> list[str]:
        return [path for _, path in self._calls]

    def times(self, path: str) -> list[float]:
        return [at for at, called in self._calls if called == path]

    def body(self, path: str) -> str:
        return self._bodies[path].decode()

    async def _serve(self, request: Request) -> Response:
        path = request.path_params["path"].removeprefix("v1/")
        came_at = time.monotonic()
        # Before the call is known: whoever waits for it looks into its body next.
        self._bodies[path] = await request.body()
        self._calls.append((came_at, path))
        left = self.answers.get(path)
        if not left:
            return JSONResponse({"title": "No such step", "status": 404}, status_code=404)
        answer = left.pop(0) if len(left) > 1 else left[0]
        if isinstance(answer, BaseModel):
            return Response(answer.model_dump_json(), media_type="application/json")
        status, body = answer
        return JSONResponse(dict(body), status_code=status)


def wait_for(condition: Any, what: str, timeout_s: float = 15) -> None:
    deadline = time.monotonic() + timeout_s
    while not condition():
        if time.monotonic() > deadline:
            raise AssertionError(f"waited {timeout_s} s until {what}")
        time.sleep(0.02)
