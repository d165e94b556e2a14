"""The web chat on a free loopback port, over a gateway in memory."""

import asyncio
import socket
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from datetime import UTC, datetime

import httpx

from bot.turns import Turns
from bot.webchat import Chat, ChatServer
from tests.bot.webchat.memory import CARD, STARTED, MemoryGateway


def clock() -> datetime:
    return STARTED.astimezone(UTC)


@asynccontextmanager
async def serving(
    gateway: MemoryGateway,
    *,
    secure: bool = False,
    port: int = 0,
    form_url: str | None = None,
) -> AsyncIterator[str]:
    """Serve; gives the base address. Leaving stops the server as a signal would."""
    chat = Chat(gateway, Turns(gateway, clock), CARD, secure=secure, form_url=form_url)
    with socket.create_server(("127.0.0.1", port)) as listening:
        server = asyncio.create_task(ChatServer(chat, listening).run())
        try:
            yield f"http://127.0.0.1:{listening.getsockname()[1]}"
        finally:
            server.cancel()
            await asyncio.wait([server], timeout=5)
            assert server.done()


@asynccontextmanager
async def a_client(gateway: MemoryGateway) -> AsyncIterator[httpx.AsyncClient]:
    """A client with a chat of its own."""
    async with serving(gateway) as url, httpx.AsyncClient(base_url=url) as client:
        response = await client.post("/chat/session")
        assert response.status_code == 204
        yield client
