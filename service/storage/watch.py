"""Wakes readers that wait for news in a conversation."""

import asyncio
from collections import defaultdict
from datetime import timedelta

# Another service process may have written the news; then nobody wakes us and we look again.
_LOOK_AGAIN_S = 1.0


class ConversationWatch:
    """`service.leads.ports.Watch` within one process, safe to wake from any thread."""

    def __init__(self) -> None:
        self._waiting: defaultdict[tuple[str, str], set[asyncio.Event]] = defaultdict(set)
        self._loop: asyncio.AbstractEventLoop | None = None

    def attach(self) -> None:
        """Remember the running loop; called once at start."""
        self._loop = asyncio.get_running_loop()

    def wake(self, channel: str, chat_id: str) -> None:
        """Something was committed in this conversation."""
        if self._loop is not None and not self._loop.is_closed():
            self._loop.call_soon_threadsafe(self._wake, (channel, chat_id))

    async def news(self, channel: str, chat_id: str, *, timeout: timedelta) -> None:
        """Return when the conversation may have changed, or after `timeout`."""
        event = asyncio.Event()
        key = (channel, chat_id)
        self._waiting[key].add(event)
        try:
            async with asyncio.timeout(min(timeout.total_seconds(), _LOOK_AGAIN_S)):
                await event.wait()
        except TimeoutError:
            return
        finally:
            self._waiting[key].discard(event)
            if not self._waiting[key]:
                del self._waiting[key]

    def _wake(self, key: tuple[str, str]) -> None:
        for event in self._waiting.get(key, ()):
            event.set()
