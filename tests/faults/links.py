"""What lies between two processes: a way that can be slowed, cut, and fall silent."""

import asyncio
import contextlib
from collections.abc import AsyncIterator, Callable

_CHUNK = 65_536


class Link:
    """Passes bytes on to wherever `target` says, host and port, from a port of its own."""

    def __init__(self, target: Callable[[], tuple[str, int]], host: str = "127.0.0.1") -> None:
        self._target = target
        self._host = host
        self._server: asyncio.Server | None = None
        self._passable = asyncio.Event()
        self._passable.set()
        self._cut = False
        self._twice = False
        self._delay_s = 0.0
        self._open: set[asyncio.StreamWriter] = set()
        self._busy: set[asyncio.Task[None]] = set()
        self._asked: set[asyncio.Event] = set()

    async def open(self) -> int:
        """Listen; returns the port."""
        self._server = await asyncio.start_server(self._accept, self._host, 0)
        return int(self._server.sockets[0].getsockname()[1])

    async def close(self) -> None:
        """Let go of everything."""
        if self._server is not None:
            self._server.close()
        self._break()
        await asyncio.gather(*self._busy, return_exceptions=True)

    async def asked(self) -> None:
        """Return at the next request that passes."""
        event = asyncio.Event()
        self._asked.add(event)
        try:
            await event.wait()
        finally:
            self._asked.discard(event)

    @contextlib.asynccontextmanager
    async def faulty(self, how: str) -> AsyncIterator[None]:
        """Broken in a way: `delay`, `cut`, `hush` or `stutter` (answers come twice)."""
        self._set(how, on=True)
        try:
            yield
        finally:
            self._set(how, on=False)

    def _set(self, how: str, *, on: bool) -> None:
        if how == "delay":
            self._delay_s = 0.2 if on else 0.0
        elif how == "hush":
            (self._passable.clear if on else self._passable.set)()
        elif how == "stutter":
            self._twice = on
        else:
            self._cut = on
            self._break()

    def _break(self) -> None:
        for writer in self._open:
            writer.transport.abort()

    async def _accept(self, reader: asyncio.StreamReader, writer: asyncio.StreamWriter) -> None:
        task = asyncio.current_task()
        if task is not None:
            self._busy.add(task)
            task.add_done_callback(self._busy.discard)
        with contextlib.suppress(OSError):
            if self._cut:
                writer.transport.abort()
                return
            far_reader, far_writer = await asyncio.open_connection(*self._target())
            await self._both_ways(reader, writer, far_reader, far_writer)
        writer.transport.abort()

    async def _both_ways(
        self,
        reader: asyncio.StreamReader,
        writer: asyncio.StreamWriter,
        far_reader: asyncio.StreamReader,
        far_writer: asyncio.StreamWriter,
    ) -> None:
        ends = {writer, far_writer}
        self._open |= ends
        ways = [
            asyncio.create_task(self._pass(reader, far_writer, asks=True)),
            asyncio.create_task(self._pass(far_reader, writer, asks=False)),
        ]
        try:
            await asyncio.wait(ways, return_when=asyncio.FIRST_COMPLETED)
        finally:
            for way in ways:
                way.cancel()
            await asyncio.gather(*ways, return_exceptions=True)
            self._open -= ends
            for end in ends:
                with contextlib.suppress(OSError):
                    end.close()

    async def _pass(
        self, reader: asyncio.StreamReader, writer: asyncio.StreamWriter, *, asks: bool
    ) -> None:
        while data := await reader.read(_CHUNK):
            if asks:
                for event in self._asked:
                    event.set()
            if self._delay_s:
                await asyncio.sleep(self._delay_s)
            await self._passable.wait()
            writer.write(data)
            if self._twice and not asks:
                writer.write(data)
            await writer.drain()
