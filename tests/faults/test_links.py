"""What lies between two processes breaks as it is told to, and mends."""

import asyncio
import time
from collections.abc import Awaitable, Callable

import pytest

from tests.faults.links import Link

Ask = Callable[[], Awaitable[bytes]]


async def _echo(reader: asyncio.StreamReader, writer: asyncio.StreamWriter) -> None:
    while data := await reader.read(100):
        writer.write(data)
        await writer.drain()
    writer.close()


def _over_a_link(act: Callable[[Link, Ask], Awaitable[None]]) -> None:
    async def run() -> None:
        async with await asyncio.start_server(_echo, "127.0.0.1", 0) as far:
            link = Link(lambda: ("127.0.0.1", far.sockets[0].getsockname()[1]))
            port = await link.open()
            reader, writer = await asyncio.open_connection("127.0.0.1", port)

            async def ask() -> bytes:
                writer.write(b"hi")
                return await asyncio.wait_for(reader.read(100), 0.3)

            try:
                await act(link, ask)
            finally:
                writer.close()
                await link.close()

    asyncio.run(run())


def test_it_passes_everything_on_and_tells_of_a_request() -> None:
    async def act(link: Link, ask: Ask) -> None:
        asked = asyncio.create_task(link.asked())
        await asyncio.sleep(0)
        assert not asked.done()
        assert await ask() == b"hi"
        await asked

    _over_a_link(act)


def test_a_silent_one_keeps_what_was_sent_until_it_is_mended() -> None:
    async def act(link: Link, ask: Ask) -> None:
        async with link.faulty("hush"):
            with pytest.raises(TimeoutError):
                await ask()
        assert await ask() in (b"hi", b"hihi")

    _over_a_link(act)


def test_a_cut_one_breaks_what_is_open_and_refuses_what_is_new() -> None:
    async def act(link: Link, ask: Ask) -> None:
        assert await ask() == b"hi"
        async with link.faulty("cut"):
            with pytest.raises(ConnectionError):
                await ask()

    _over_a_link(act)


def test_a_slow_one_takes_its_time() -> None:
    async def act(link: Link, ask: Ask) -> None:
        began = time.monotonic()
        async with link.faulty("delay"):
            with pytest.raises(TimeoutError):  # 0.2 s there, 0.2 s back
                await ask()
            assert await ask() == b"hi"
        assert time.monotonic() - began > 0.4

    _over_a_link(act)


def test_a_stuttering_one_answers_twice() -> None:
    async def act(link: Link, ask: Ask) -> None:
        async with link.faulty("stutter"):
            assert (await ask() + await ask()).startswith(b"hihi")

    _over_a_link(act)
