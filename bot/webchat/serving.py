"""Running the web chat inside the bot's process."""

import asyncio
import socket
from collections.abc import Iterator
from contextlib import contextmanager

import uvicorn

from bot.stopping import until
from bot.webchat.server import Chat

# Answers under way get this long when the process stops.
_GRACE_S = 8


class ChatServer:
    """Serves the chat on a socket that already listens, until cancelled.

    `trusted_proxies` are addresses whose X-Forwarded-For says who calls, comma separated.
    """

    def __init__(self, chat: Chat, listening: socket.socket, trusted_proxies: str = "") -> None:
        self._chat = chat
        self._socket = listening
        self._server = _Server(
            uvicorn.Config(
                chat.app,
                log_config=None,
                proxy_headers=True,
                forwarded_allow_ips=trusted_proxies,
                access_log=False,
                lifespan="off",
                server_header=False,
                timeout_graceful_shutdown=_GRACE_S,
            )
        )

    async def run(self, stopping: asyncio.Event | None = None) -> None:
        """Serve until cancelled or `stopping`: live streams end, answers under way finish."""
        serving = asyncio.create_task(self._server.serve(sockets=[self._socket]))
        try:
            await until(serving, stopping or asyncio.Event())
        finally:
            self._chat.close_streams()
            self._server.should_exit = True
            await serving


class _Server(uvicorn.Server):
    """Leaves signals alone: one place of the process decides when all of it stops."""

    @contextmanager
    def capture_signals(self) -> Iterator[None]:
        yield
