"""Who waits for a turn in which chat, within this process."""

import asyncio
from collections import Counter
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from weakref import WeakValueDictionary

Chat = tuple[str, str]


class Lines:
    """One line for each chat: whoever came first goes first, chats go side by side."""

    def __init__(self) -> None:
        # A lock lives as long as somebody waits for it: chats come and go by the thousand.
        self._locks: WeakValueDictionary[Chat, asyncio.Lock] = WeakValueDictionary()
        self._in_line: Counter[Chat] = Counter()

    @asynccontextmanager
    async def turn(self, chat: Chat) -> AsyncIterator[None]:
        """Wait for those of the chat who came before."""
        self._in_line[chat] += 1
        try:
            async with self._locks.setdefault(chat, asyncio.Lock()):
                yield
        finally:
            self._in_line[chat] -= 1
            if not self._in_line[chat]:
                del self._in_line[chat]

    def is_free(self, chat: Chat) -> bool:
        """Whether nobody has the chat's turn or waits for it."""
        return chat not in self._in_line

    def is_last(self, chat: Chat) -> bool:
        """Whether nobody waits behind the one whose turn it is."""
        return self._in_line[chat] <= 1
