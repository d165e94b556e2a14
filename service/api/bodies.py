"""Refuses what no honest caller sends, before anything of it is parsed or any key is looked at."""

import json
import re
from http import HTTPStatus

from starlette.types import ASGIApp, Message, Receive, Scope, Send

from service.contract.estimate import Problem

# The largest body we know of, a worker's estimate of twenty pieces in twelve colours, is about
# a third of this.
LARGEST_BODY = 2 * 1024 * 1024

# PostgreSQL cannot store it in text, and no keyboard has it. Behind a backslash that is itself
# escaped stand the same signs, but somebody typed them one by one.
_NUL = re.compile(rb"(?<!\\)(?:\\\\)*\\u0000")

# Half of a sign: no text can hold it, and no database takes it. Nothing is looked for in what has
# no escape of that kind in it, which is nearly everything.
_SURROGATE = re.compile(rb"\\u[dD][89a-fA-F]")
_ESCAPES = re.compile(
    rb"\\u[dD][89abAB][0-9a-fA-F]{2}\\u[dD][c-fC-F][0-9a-fA-F]{2}"
    rb"|\\u([dD][89a-fA-F])|\\.",
    re.DOTALL,
)

# Where photos come in. These pages look at who asks first, and count what they read then.
_UNREAD = re.compile(r"/desk/leads/[^/]+/actuals")


class BodyLimit:
    """Answers 413 to bodies over the limit and 422 to text that cannot be stored, as problems.

    Counts what arrives and not what is announced.
    """

    def __init__(self, app: ASGIApp) -> None:
        self._app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] != "http":
            await self._app(scope, receive, send)
            return
        if "\x00" in scope["path"]:
            await _refuse(send, HTTPStatus.NOT_FOUND, "There is no such address.")
            return
        if _UNREAD.fullmatch(scope["path"]):
            await self._app(scope, receive, send)
            return
        body = await _whole(receive)
        if body is None:
            detail = f"Send at most {LARGEST_BODY // 1024} kB; shorten the longest text."
            await _refuse(send, HTTPStatus.REQUEST_ENTITY_TOO_LARGE, detail)
        elif _holds_half_a_sign(body) and not _is_picture(scope):
            detail = "A text holds half of a sign (\\ud800 to \\udfff by itself); leave it out."
            await _refuse(send, HTTPStatus.UNPROCESSABLE_ENTITY, detail)
        elif _NUL.search(body):
            detail = "A text holds a NUL character (\\u0000); leave it out."
            await _refuse(send, HTTPStatus.UNPROCESSABLE_ENTITY, detail)
        else:
            await self._app(scope, _Replay(body, receive), send)


def _holds_half_a_sign(body: bytes) -> bool:
    if not _SURROGATE.search(body):
        return False
    return any(found[1] for found in _ESCAPES.finditer(body))


def _is_picture(scope: Scope) -> bool:
    """Whether the bytes are no text, where by chance anything may stand."""
    return any(
        name == b"content-type" and value.startswith(b"image/") for name, value in scope["headers"]
    )


class _Replay:
    """Gives the body that was read, then whatever the connection says next."""

    def __init__(self, body: bytes, receive: Receive) -> None:
        self._body: bytes | None = body
        self._receive = receive

    async def __call__(self) -> Message:
        if self._body is None:
            return await self._receive()
        body, self._body = self._body, None
        return {"type": "http.request", "body": body, "more_body": False}


async def _whole(receive: Receive) -> bytes | None:
    """The body; None once it is larger than the limit."""
    parts: list[bytes] = []
    size = 0
    while True:
        message = await receive()
        part: bytes = message.get("body", b"")
        size += len(part)
        if size > LARGEST_BODY:
            return None
        parts.append(part)
        if not message.get("more_body", False):
            return b"".join(parts)


async def _refuse(send: Send, status: HTTPStatus, detail: str) -> None:
    problem = Problem(title=status.phrase, status=status, detail=detail)
    body = json.dumps(problem.model_dump(mode="json", exclude_none=True)).encode()
    headers = [
        (b"content-type", b"application/problem+json"),
        (b"content-length", str(len(body)).encode()),
        # What is still under way of the body is not read.
        (b"connection", b"close"),
    ]
    await send({"type": "http.response.start", "status": int(status), "headers": headers})
    await send({"type": "http.response.body", "body": body})
