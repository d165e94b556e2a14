"""The security headers of every answer, where it has none of its own."""

import base64
import hashlib
import re

from starlette.types import ASGIApp, Message, Receive, Scope, Send

_NOTHING = (
    b"default-src 'none'; object-src 'none'; base-uri 'none'; form-action 'none'; "
    b"frame-ancestors 'none'"
)

ALWAYS: tuple[tuple[bytes, bytes], ...] = (
    (b"content-security-policy", _NOTHING),
    (b"x-content-type-options", b"nosniff"),
    (b"referrer-policy", b"same-origin"),
    (b"cross-origin-resource-policy", b"same-origin"),
)
"""What an answer that is no page needs: a browser neither runs, frames nor guesses it."""

# A year. Whether other hosts of the same name speak TLS too is not ours to say.
_ONLY_TLS = (b"strict-transport-security", b"max-age=31536000")
_UNKEPT = (b"cache-control", b"no-store")
_KEPT_FOR_GOOD = (b"cache-control", b"public, max-age=31536000, immutable")
_ASKED_AGAIN = (b"cache-control", b"no-cache")

_DOCS = "/docs"
_OWN_SCRIPT = re.compile(rb"<script>(.*?)</script>", re.DOTALL)


class Guards:
    """Puts the headers on. `tls`: clients reach us by https, and should by nothing else.

    What is personal is not to be kept by anybody; files of ours that are named by their content
    are. The documentation's own scripts are let run by what is in them.
    """

    def __init__(self, app: ASGIApp, *, tls: bool) -> None:
        self._app = app
        self._always = (*ALWAYS, _ONLY_TLS) if tls else ALWAYS

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] != "http":
            await self._app(scope, receive, send)
            return
        path: str = scope["path"]
        always = (*self._always, _keeping(path, scope["query_string"]))
        begun: Message | None = None

        async def guarded(message: Message) -> None:
            nonlocal begun
            if message["type"] == "http.response.start":
                if path.startswith(_DOCS):
                    begun = message
                    return
                _add(message, always)
            elif begun is not None:
                _add(begun, ((b"content-security-policy", _running(message["body"])), *always))
                await send(begun)
                begun = None
            await send(message)

        await self._app(scope, receive, guarded)


def _add(start: Message, headers: tuple[tuple[bytes, bytes], ...]) -> None:
    given = start["headers"] = list(start.get("headers", ()))
    known = {name.lower() for name, _ in given}
    for header in headers:
        if header[0] not in known:
            known.add(header[0])
            given.append(header)


def _keeping(path: str, query: bytes) -> tuple[bytes, bytes]:
    if not path.startswith("/static"):
        return _UNKEPT
    return _KEPT_FOR_GOOD if query.startswith(b"v=") else _ASKED_AGAIN


def _running(page: bytes) -> bytes:
    digests = (
        base64.b64encode(hashlib.sha256(script).digest()).decode()
        for script in _OWN_SCRIPT.findall(page)
    )
    allowed = " ".join(f"'sha256-{digest}'" for digest in digests)
    return (
        f"default-src 'none'; script-src 'self' {allowed}; style-src 'self' 'unsafe-inline'; "
        "img-src 'self' data:; connect-src 'self'; object-src 'none'; base-uri 'none'; "
        "form-action 'none'; frame-ancestors 'none'"
    ).encode()
