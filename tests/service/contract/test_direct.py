"""Calls between our processes: over connections that are kept, none taken for another's."""

import asyncio
from collections.abc import Awaitable, Callable

import httpx
import pytest

from service.contract.direct import Direct

Serve = Callable[[asyncio.StreamReader, asyncio.StreamWriter], Awaitable[None]]
Use = Callable[[Direct], Awaitable[None]]


def asked(serve: Serve, use: Use) -> int:
    """Have `use` ask a server; how many connections that took."""
    opened = 0

    async def count(reader: asyncio.StreamReader, writer: asyncio.StreamWriter) -> None:
        nonlocal opened
        opened += 1
        try:
            await serve(reader, writer)
        except asyncio.IncompleteReadError:
            pass  # the other side is done
        finally:
            writer.close()

    async def run() -> None:
        server = await asyncio.start_server(count, "127.0.0.1", 0)
        direct = Direct(f"http://127.0.0.1:{server.sockets[0].getsockname()[1]}")
        async with server, direct:
            await use(direct)

    asyncio.run(run())
    return opened


async def get(direct: Direct, path: str, *, read_s: float = 5.0) -> str:
    request = httpx.Request(
        "GET", f"http://shop.test{path}", extensions={"timeout": {"connect": 1.0, "read": read_s}}
    )
    return (await direct.handle_async_request(request)).text


async def requested(reader: asyncio.StreamReader) -> bytes:
    return (await reader.readuntil(b"\r\n\r\n")).split()[1]


def whole(body: bytes, *headers: bytes) -> bytes:
    lines = [b"HTTP/1.1 200 OK", b"Content-Length: %d" % len(body), *headers]
    return b"\r\n".join(lines) + b"\r\n\r\n" + body


async def echo(reader: asyncio.StreamReader, writer: asyncio.StreamWriter) -> None:
    while True:
        writer.write(whole(await requested(reader)))


def test_calls_one_after_the_other_share_a_connection_and_calls_at_once_do_not() -> None:
    async def use(direct: Direct) -> None:
        for path in ("/a", "/b", "/c"):
            assert await get(direct, path) == path
        assert await asyncio.gather(*(get(direct, f"/{n}") for n in range(3))) == ["/0", "/1", "/2"]

    assert asked(echo, use) == 3


def test_a_body_goes_along_and_what_has_none_is_not_waited_for() -> None:
    async def serve(reader: asyncio.StreamReader, writer: asyncio.StreamWriter) -> None:
        await reader.readuntil(b"\r\n\r\n")
        assert await reader.readexactly(5) == b"brief"
        writer.write(b"HTTP/1.1 204 No Content\r\n\r\n")
        await requested(reader)
        writer.write(whole(b"next"))

    async def use(direct: Direct) -> None:
        request = httpx.Request("POST", "http://shop.test/", content=b"brief")
        answer = await direct.handle_async_request(request)
        assert (answer.status_code, answer.content) == (204, b"")
        assert await get(direct, "/") == "next"

    assert asked(serve, use) == 1


def test_an_answer_in_pieces_is_put_together() -> None:
    async def serve(reader: asyncio.StreamReader, writer: asyncio.StreamWriter) -> None:
        while True:
            await requested(reader)
            writer.write(b"HTTP/1.1 200 OK\r\nTransfer-Encoding: chunked\r\n\r\n4\r\nsage\r\n")
            await asyncio.sleep(0.01)
            writer.write(b"a;x=y\r\n and cream\r\n0\r\nX-Sum: 1\r\n\r\n")

    async def use(direct: Direct) -> None:
        assert await get(direct, "/") == "sage and cream"
        assert await get(direct, "/") == "sage and cream"

    assert asked(serve, use) == 1


@pytest.mark.parametrize("says", [True, False])
def test_a_connection_that_the_server_closed_is_not_asked_again(says: bool) -> None:
    async def serve(reader: asyncio.StreamReader, writer: asyncio.StreamWriter) -> None:
        path = await requested(reader)
        writer.write(whole(path, *([b"Connection: close"] if says else [])))

    async def use(direct: Direct) -> None:
        assert await get(direct, "/a") == "/a"
        await asyncio.sleep(0 if says else 0.05)
        assert await get(direct, "/b") == "/b"

    assert asked(serve, use) == 2


def test_a_kept_connection_that_breaks_at_the_next_call_is_replaced() -> None:
    async def serve(reader: asyncio.StreamReader, writer: asyncio.StreamWriter) -> None:
        path = await requested(reader)
        writer.write(whole(path))
        if path == b"/a":
            await requested(reader)  # and is gone without a word

    async def use(direct: Direct) -> None:
        assert await get(direct, "/a") == "/a"
        assert await get(direct, "/b") == "/b"

    assert asked(serve, use) == 2


def test_an_answer_that_nobody_waits_for_any_more_is_no_others() -> None:
    async def serve(reader: asyncio.StreamReader, writer: asyncio.StreamWriter) -> None:
        while True:
            path = await requested(reader)
            await asyncio.sleep(0.1 if path == b"/slow" else 0)
            writer.write(whole(path))

    async def use(direct: Direct) -> None:
        with pytest.raises(httpx.ReadTimeout):
            await get(direct, "/slow", read_s=0.02)
        gives_up = asyncio.create_task(get(direct, "/slow"))
        await asyncio.sleep(0.02)
        gives_up.cancel()
        assert [await get(direct, "/a") for _ in range(3)] == ["/a"] * 3

    assert asked(serve, use) == 3


@pytest.mark.parametrize(
    "answer",
    [b"", b"HTTP/1.1 200 OK\r\nContent-Length: 9\r\n\r\nshort", b"hello\r\n\r\n",
     b"HTTP/1.1 200 OK\r\nContent-Length: many\r\n\r\n", b"HTTP/1.1 200 OK\r\n\r\nendless"],
)  # fmt: skip
def test_half_an_answer_is_none(answer: bytes) -> None:
    async def serve(reader: asyncio.StreamReader, writer: asyncio.StreamWriter) -> None:
        await requested(reader)
        writer.write(answer)

    async def use(direct: Direct) -> None:
        with pytest.raises(httpx.TransportError):
            await get(direct, "/")

    asked(serve, use)


def test_a_server_that_is_not_there_is_told_as_that() -> None:
    async def use() -> None:
        async with Direct("http://127.0.0.1:9") as direct:
            with pytest.raises(httpx.ConnectError):
                await get(direct, "/")

    asyncio.run(use())
