"""The web chat on a free loopback port, over a gateway in memory."""

import asyncio
import socket
from collections.abc import AsyncIterator, Callable, Sequence
from contextlib import asynccontextmanager
from datetime import UTC, datetime

import httpx

from bot.dialogue.messages import Incoming, Message
from bot.gateway import Channel, Received
from bot.turns import Turns
from bot.webchat import Chat, ChatServer
from bot.wording import load
from tests.bot.webchat.memory import CARD, STARTED, MemoryGateway

PHRASEBOOK = load(None)

Answers = Callable[[Incoming], Sequence[Message]]


def clock() -> datetime:
    return STARTED.astimezone(UTC)


def greeting(incoming: Incoming) -> Sequence[Message]:
    """Says something at the start, and nothing afterwards."""
    return [Message(kind="say", text="Hello there")] if incoming.kind == "start" else []


class Scripted(Turns):
    """Answers by a function of what came in, where the dialogue is of no concern."""

    def __init__(self, gateway: MemoryGateway, answers: Answers) -> None:
        super().__init__(gateway, clock, PHRASEBOOK)
        self._memory = gateway
        self._answers = answers

    async def take(
        self, channel: Channel, chat_id: str, received: Received, incoming: Incoming
    ) -> None:
        if self._memory.answer_once(received.inbox_id):
            for message in self._answers(incoming):
                await self._memory.say(channel, chat_id, message)


@asynccontextmanager
async def serving(
    gateway: MemoryGateway,
    *,
    answers: Answers | None = None,
    secure: bool = False,
    port: int = 0,
    form_url: str | None = None,
    website_origins: tuple[str, ...] = (),
    pictures_from: str | None = None,
) -> AsyncIterator[str]:
    """Serve; gives the base address. Leaving stops the server as a signal would.

    The dialogue itself answers, or `answers` where they are given.
    """
    scripted = Scripted(gateway, answers) if answers else None
    chat = Chat(
        gateway,
        scripted or Turns(gateway, clock, PHRASEBOOK),
        CARD,
        PHRASEBOOK,
        secure=secure,
        form_url=form_url,
        website_origins=website_origins,
        pictures_from=pictures_from,
    )
    with socket.create_server(("127.0.0.1", port)) as listening:
        server = asyncio.create_task(ChatServer(chat, listening, "127.0.0.1").run())
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
