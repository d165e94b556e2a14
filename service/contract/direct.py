"""HTTP/1.1 to one server over connections that are kept, as a transport of httpx.

It knows just what calls between our own processes need, and so takes a fraction of the processor
time of httpx' own: a call is one write and, mostly, one read. As many calls as there are go side by
side: every open page of the web chat holds one.
"""

import asyncio
import ssl
from collections.abc import AsyncIterator, Iterator
from contextlib import contextmanager
from dataclasses import dataclass

import httpx

_HEAD_ENDS = b"\r\n\r\n"
_BODILESS = (204, 304)
# More than are in use at once on most days; more than these are not kept.
_KEPT_MOST = 200


@dataclass(frozen=True, slots=True)
class _Connection:
    reader: asyncio.StreamReader
    writer: asyncio.StreamWriter


class Direct(httpx.AsyncBaseTransport):
    """A transport to one server, whatever address a request names."""

    def __init__(self, server: str) -> None:
        self._server = httpx.URL(server)
        self._kept: list[_Connection] = []
        self._secure: ssl.SSLContext | None = None

    async def handle_async_request(self, request: httpx.Request) -> httpx.Response:
        """Ask once. Raises httpx.TransportError."""
        patience = request.extensions.get("timeout", {})
        message = _head(request) + await request.aread()
        while True:
            connection, is_kept = self._next()
            with _named(httpx.ConnectTimeout, httpx.ConnectError):
                async with asyncio.timeout(patience.get("connect")):
                    connection = connection or await self._open()
            try:
                with _named(httpx.ReadTimeout, httpx.ReadError):
                    async with asyncio.timeout(patience.get("read")):
                        return await self._exchange(connection, message)
            except httpx.ReadError:
                # One that was kept may just have been closed by the server: nothing was done then,
                # and whatever we ask may be asked again.
                if not is_kept:
                    raise

    async def aclose(self) -> None:
        """Close the connections."""
        while self._kept:
            self._kept.pop().writer.close()

    def _next(self) -> tuple[_Connection | None, bool]:
        while self._kept:
            connection = self._kept.pop()
            if not connection.reader.at_eof() and not connection.writer.is_closing():
                return connection, True
            connection.writer.close()
        return None, False

    async def _open(self) -> _Connection:
        server = self._server
        if server.scheme == "https" and self._secure is None:
            self._secure = ssl.create_default_context()
        port = server.port or (443 if self._secure else 80)
        return _Connection(*await asyncio.open_connection(server.host, port, ssl=self._secure))

    async def _exchange(self, connection: _Connection, message: bytes) -> httpx.Response:
        is_whole = False
        try:
            connection.writer.write(message)
            response, is_last = await _answer(connection.reader)
            is_whole = not is_last and len(self._kept) < _KEPT_MOST
            return response
        finally:
            if is_whole:
                self._kept.append(connection)
            else:  # also where the caller gave up: what is on its way belongs to nobody
                connection.writer.close()


def _head(request: httpx.Request) -> bytes:
    target = request.url.raw_path
    lines = [b"%s %s HTTP/1.1" % (request.method.encode("ascii"), target)]
    lines += [b"%s: %s" % header for header in request.headers.raw]
    return b"\r\n".join(lines) + _HEAD_ENDS


async def _answer(reader: asyncio.StreamReader) -> tuple[httpx.Response, bool]:
    """An answer, and whether it is the connection's last."""
    head = await reader.readuntil(_HEAD_ENDS)
    version, _, rest = head.partition(b" ")
    status, *lines = rest[:-4].split(b"\r\n")
    code = int(status[:3])
    headers = httpx.Headers(
        [(n, v.strip()) for n, _, v in (line.partition(b":") for line in lines)]
    )
    if code in _BODILESS:
        content = b""
    elif (length := headers.get("content-length")) is not None:
        content = await reader.readexactly(int(length))
    elif headers.get("transfer-encoding", "").lower() == "chunked":
        content = b"".join([chunk async for chunk in _chunks(reader)])
        del headers["transfer-encoding"]
    else:
        raise httpx.RemoteProtocolError("an answer of unknown length")
    is_last = version != b"HTTP/1.1" or headers.get("connection", "").lower() == "close"
    return httpx.Response(code, headers=headers, content=content), is_last


async def _chunks(reader: asyncio.StreamReader) -> AsyncIterator[bytes]:
    while size := int((await reader.readuntil(b"\r\n")).partition(b";")[0], 16):
        yield await reader.readexactly(size)
        await reader.readuntil(b"\r\n")
    while await reader.readuntil(b"\r\n") != b"\r\n":
        pass  # what a server may say of the body afterwards


@contextmanager
def _named(late: type[httpx.TransportError], failed: type[httpx.TransportError]) -> Iterator[None]:
    """Trouble by httpx' names."""
    try:
        yield
    except TimeoutError as error:
        raise late(type(error).__name__) from None
    except (OSError, EOFError, ValueError, asyncio.LimitOverrunError) as error:
        raise failed(type(error).__name__) from None
