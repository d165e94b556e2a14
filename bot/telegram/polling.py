"""Receiving by long polling.

The library's own updater confirms updates before anybody has looked at them. Here an update is
confirmed, by the offset of the next request, only after the inbox has committed it: what Telegram
forgets is safe on our side, and what is not safe comes again.
"""

import asyncio
import logging
from collections.abc import Sequence
from contextlib import suppress
from functools import partial
from typing import Literal

from telegram import Bot, Update
from telegram.error import InvalidToken

from bot.dialogue.phrases import Phrasebook
from bot.stopping import until
from bot.telegram.incoming import ALLOWED_UPDATES
from bot.telegram.patience import PAUSES_S, persist, tell_refused_token
from bot.telegram.reception import Reception
from bot.turns import Turns

_log = logging.getLogger(__name__)

# Beyond the long poll itself.
_ANSWERS_WITHIN_S = 15.0


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
        self._heard_at: float | None = None
        self._is_refused = False

    @property
    def contact(self) -> Literal["starting", "receiving", "away", "refused"]:
        """How it stands with Telegram."""
        if self._is_refused:
            return "refused"
        if self._heard_at is None:
            return "starting"
        silent_s = asyncio.get_running_loop().time() - self._heard_at
        return "receiving" if silent_s < self._long_poll_s + _ANSWERS_WITHIN_S else "away"

    async def run(self, stopping: asyncio.Event | None = None) -> None:
        """Receive until cancelled, or until `stopping`: then the turns in hand are finished.

        Returns also when Telegram refuses the token.
        """
        try:
            async with asyncio.TaskGroup() as tasks:
                receiving = tasks.create_task(self._receive(tasks))
                await until(receiving, stopping or asyncio.Event())
                receiving.cancel()
        finally:
            await self._bot.shutdown()

    async def _receive(self, tasks: asyncio.TaskGroup) -> None:
        try:
            await persist(self._bot.initialize, self._pauses_s)
            # A webhook left over from before would turn every poll into a conflict.
            await persist(self._bot.delete_webhook, self._pauses_s)
            self._heard_at = asyncio.get_running_loop().time()
            _log.info("Telegram: receiving as @%s", self._bot.username)
            while True:
                await persist(partial(self._round, tasks), self._pauses_s)
        except InvalidToken:
            self._is_refused = True
            tell_refused_token()

    async def _round(self, tasks: asyncio.TaskGroup) -> None:
        updates = await self._bot.get_updates(
            offset=self._offset,
            timeout=self._long_poll_s,
            allowed_updates=ALLOWED_UPDATES,
        )
        self._heard_at = asyncio.get_running_loop().time()
        for update in updates:
            await self._accept(update, tasks)
            self._offset = max(self._offset, update.update_id + 1)

    async def _accept(self, update: Update, tasks: asyncio.TaskGroup) -> None:
        accepting = asyncio.create_task(self._reception.accept(update, tasks))
        try:
            await asyncio.shield(accepting)
        except asyncio.CancelledError:
            # Its commit is under way: whatever comes of that, the turn is to come with it.
            with suppress(Exception):
                await accepting
            raise
