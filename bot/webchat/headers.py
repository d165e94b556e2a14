"""The security headers of every answer."""

from collections.abc import Sequence

from starlette.datastructures import MutableHeaders
from starlette.types import ASGIApp, Message, Receive, Scope, Send

_POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src {pictures}; "
    "connect-src 'self'; object-src 'none'; base-uri 'none'; form-action 'none'; "
    "frame-ancestors {ancestors}"
)

# A year. Whether other hosts of the same name speak TLS too is not ours to say.
_ONLY_TLS = "max-age=31536000"


class Headers:
    """Puts the security headers on every answer. `websites` may show the page in a frame;
    `pictures_from` is the one other origin whose pictures the page shows; `tls` says that clients
    reach us by https."""

    def __init__(
        self,
        app: ASGIApp,
        websites: Sequence[str],
        pictures_from: str | None = None,
        *,
        tls: bool = False,
    ) -> None:
        self._app = app
        self._always = {
            "Content-Security-Policy": _POLICY.format(
                ancestors=" ".join(("'self'", *websites)),
                pictures=" ".join(filter(None, ("'self'", "blob:", pictures_from))),
            ),
            "X-Content-Type-Options": "nosniff",
            "Referrer-Policy": "same-origin",
        }
        if tls:
            self._always["Strict-Transport-Security"] = _ONLY_TLS

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        async def send_guarded(message: Message) -> None:
            if message["type"] == "http.response.start":
                headers = MutableHeaders(scope=message)
                headers.update(self._always)
                headers.setdefault("Cache-Control", "no-cache")
                headers.setdefault("Cross-Origin-Resource-Policy", "same-origin")
            await send(message)

        await self._app(scope, receive, send_guarded)
