"""A bot that receives from the loopback server, for the tests of this room."""

import asyncio
import socket
from collections.abc import AsyncIterator, Callable
from contextlib import asynccontextmanager
from datetime import UTC, datetime

from bot.gateway import Gateway
from bot.telegram import Polling, Webhook, open_bot
from bot.turns import Turns
from bot.wording import load
from tests.bot.webchat.memory import STARTED
from tests.bot_api import BotApiServer

CANARY = "7000000002:canary-that-must-not-sing"
SECRET = "a-secret-of-the-webhook"
PHRASEBOOK = load(None)

_PAUSES_S = (0.02, 0.05)


def clock() -> datetime:
    return STARTED.astimezone(UTC)


async def until(done: Callable[[], bool], timeout_s: float = 8) -> None:
    """Wait until it is so."""
    async with asyncio.timeout(timeout_s):
        while not done():
            await asyncio.sleep(0.005)


@asynccontextmanager
async def receiving(
    api: BotApiServer, gateway: Gateway, token: str = CANARY
) -> AsyncIterator[Turns]:
    """By long polling."""
    turns = Turns(gateway, clock, PHRASEBOOK)
    bot = open_bot(token, api.base_url)
    polling = Polling(bot, turns, PHRASEBOOK, long_poll_s=5, pauses_s=_PAUSES_S)
    async with _running(asyncio.create_task(polling.run())):
        yield turns


@asynccontextmanager
async def hooked(
    api: BotApiServer,
    gateway: Gateway,
    *,
    port: int = 0,
    announced_port: int | None = None,
    secrets: tuple[str, ...] = (SECRET,),
) -> AsyncIterator[str]:
    """By webhook, on a port of its own; the address that it gives to Telegram.

    With `announced_port` Telegram hears of that one: of whatever stands before it.
    """
    listening = socket.create_server(("127.0.0.1", port))
    own_port = listening.getsockname()[1]
    webhook = Webhook(
        open_bot(api.token, api.base_url),
        Turns(gateway, clock, PHRASEBOOK),
        PHRASEBOOK,
        address=f"http://127.0.0.1:{announced_port or own_port}/telegram",
        secrets=secrets,
        listening=listening,
        pauses_s=_PAUSES_S,
    )
    async with _running(asyncio.create_task(webhook.run())):
        await until(lambda: api.hook is not None)
        yield f"http://127.0.0.1:{own_port}/telegram"


@asynccontextmanager
async def _running(task: asyncio.Task[None]) -> AsyncIterator[None]:
    try:
        yield
    finally:
        task.cancel()
        await asyncio.wait([task], timeout=3)
        assert task.done()
