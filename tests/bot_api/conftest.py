"""The server, and the library's own bot at it."""

import asyncio
from collections.abc import AsyncIterator, Awaitable, Callable, Iterator
from contextlib import asynccontextmanager

import pytest
import telegram

from tests.bot_api import BotApiServer

Act = Callable[[telegram.Bot], Awaitable[None]]


@pytest.fixture
def api() -> Iterator[BotApiServer]:
    with BotApiServer() as server:
        yield server


@asynccontextmanager
async def a_bot(api: BotApiServer) -> AsyncIterator[telegram.Bot]:
    base = api.base_url
    bot = telegram.Bot(api.token, base_url=f"{base}/bot", base_file_url=f"{base}/file/bot")
    async with bot:
        yield bot


def on(api: BotApiServer, act: Act) -> None:
    """Let the bot act, having heard of the chat 501."""

    async def run() -> None:
        async with a_bot(api) as bot:
            await act(bot)

    asyncio.run(run())
