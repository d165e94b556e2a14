"""Receiving by long polling.

The library's own updater confirms updates before anybody has looked at them. Here an update is
confirmed, by the offset of the next request, only after the inbox has committed it: what Telegram
forgets is safe on our side, and what is not safe comes again.
"""

import asyncio
import logging
from collections.abc import Sequence
from functools import partial

from telegram import Bot
from telegram.error import InvalidToken

from bot.dialogue.phrases import Phrasebook
from bot.telegram.incoming import ALLOWED_UPDATES
from bot.telegram.patience import PAUSES_S, persist, tell_refused_token
from bot.telegram.reception import Reception
from bot.turns import Turns

_log = logging.getLogger(__name__)


class Polling:
    """Fetches a bot's updates.

    `long_poll_s` is how long the Bot API server may hold a request that finds nothing, in
    seconds. `pauses_s` are the waits after failures in a row, in seconds; the last repeats.
    """

    def __init__(
        self,
        bot: Bot,
        turns: Turns,
        phrasebook: Phrasebook,
        *,
        long_poll_s: int = 25,
        pauses_s: Sequence[float] = PAUSES_S,
    ) -> None:
        self._bot = bot
        self._reception = Reception(bot, turns, phrasebook, pauses_s)
        self._long_poll_s = long_poll_s
        self._pauses_s = pauses_s
        self._offset = 0

    async def run(self) -> None:
        """Receive until cancelled. Returns only when Telegram refuses the token."""
        try:
            async with asyncio.TaskGroup() as tasks:
                await self._receive(tasks)
        finally:
            await self._bot.shutdown()

    async def _receive(self, tasks: asyncio.TaskGroup) -> None:
        try:
            await persist(self._bot.initialize, self._pauses_s)
            # A webhook left over from before would turn every poll into a conflict.
            await persist(self._bot.delete_webhook, self._pauses_s)
            _log.info("Telegram: receiving as @%s", self._bot.username)
            while True:
                await persist(partial(self._round, tasks), self._pauses_s)
        except InvalidToken:
            tell_refused_token()

    async def _round(self, tasks: asyncio.TaskGroup) -> None:
        updates = await self._bot.get_updates(
            offset=self._offset,
            timeout=self._long_poll_s,
            allowed_updates=ALLOWED_UPDATES,
        )
        for update in updates:
            await self._reception.accept(update, tasks)
            self._offset = max(self._offset, update.update_id + 1)
