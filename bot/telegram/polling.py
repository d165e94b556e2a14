"""Receiving by long polling.

The library's own updater confirms updates before anybody has looked at them. Here an update is
confirmed, by the offset of the next request, only after the inbox has committed it: what Telegram
forgets is safe on our side, and what is not safe comes again.
"""

import asyncio
import logging
from collections.abc import Awaitable, Callable, Sequence
from datetime import timedelta
from functools import partial
from itertools import chain, repeat

from telegram import Bot, Update
from telegram.constants import ChatAction
from telegram.error import Conflict, InvalidToken, NetworkError, RetryAfter

from bot.gateway import Received, ServiceRefused, ServiceUnavailable
from bot.telegram.incoming import ALLOWED_UPDATES, Arrival, read
from bot.turns import Turns

_log = logging.getLogger(__name__)

PAUSES_S = (0.5, 1.0, 2.0, 4.0, 8.0, 16.0, 30.0)


class Polling:
    """Receives a bot's updates and has each answered: a chat in order, chats side by side.

    `long_poll_s` is how long the Bot API server may hold a request that finds nothing, in
    seconds. `pauses_s` are the waits after failures in a row, in seconds; the last repeats.
    """

    def __init__(
        self,
        bot: Bot,
        turns: Turns,
        *,
        long_poll_s: int = 25,
        pauses_s: Sequence[float] = PAUSES_S,
    ) -> None:
        self._bot = bot
        self._turns = turns
        self._long_poll_s = long_poll_s
        self._pauses_s = pauses_s
        self._offset = 0
        self._latest: dict[str, asyncio.Task[None]] = {}

    async def run(self) -> None:
        """Receive until cancelled. Returns only when Telegram refuses the token."""
        try:
            async with asyncio.TaskGroup() as tasks:
                await self._receive(tasks)
        finally:
            await self._bot.shutdown()

    async def _receive(self, tasks: asyncio.TaskGroup) -> None:
        try:
            await self._persist(self._bot.initialize)
            # A webhook left over from before would turn every poll into a conflict.
            await self._persist(self._bot.delete_webhook)
            _log.info("Telegram: receiving as @%s", self._bot.username)
            while True:
                await self._persist(partial(self._round, tasks))
        except InvalidToken:
            _log.error(
                "Telegram: the token is refused, so nothing is received from Telegram. "
                "Check GARLANDRY_TELEGRAM_TOKEN and start again"
            )

    async def _round(self, tasks: asyncio.TaskGroup) -> None:
        updates = await self._bot.get_updates(
            offset=self._offset,
            timeout=self._long_poll_s,
            allowed_updates=ALLOWED_UPDATES,
        )
        for update in updates:
            await self._accept(update, tasks)
            self._offset = max(self._offset, update.update_id + 1)

    async def _accept(self, update: Update, tasks: asyncio.TaskGroup) -> None:
        arrival = read(update)
        if arrival is None:
            return
        received = await self._turns.receive(
            "telegram", arrival.chat_id, arrival.update_id, arrival.incoming
        )
        tasks.create_task(self._acknowledge(arrival, received))
        self._follow(arrival.chat_id, partial(self._take, arrival, received), tasks)

    async def _acknowledge(self, arrival: Arrival, received: Received) -> None:
        courtesies: list[Awaitable[bool]] = []
        if arrival.query_id is not None:
            courtesies.append(self._bot.answer_callback_query(arrival.query_id))
        if not received.handled:
            courtesies.append(self._bot.send_chat_action(arrival.chat_id, ChatAction.TYPING))
        # Signs of life and no more: an old press or a flood limit must not cost the answer.
        await asyncio.gather(*courtesies, return_exceptions=True)

    def _follow(
        self, chat_id: str, turn: Callable[[], Awaitable[None]], tasks: asyncio.TaskGroup
    ) -> None:
        """Run `turn` after the chat's turns before it."""
        task = tasks.create_task(_after(self._latest.get(chat_id), turn))
        self._latest[chat_id] = task

        def forget(done: asyncio.Task[None]) -> None:
            if self._latest.get(chat_id) is done:
                del self._latest[chat_id]

        task.add_done_callback(forget)

    async def _take(self, arrival: Arrival, received: Received) -> None:
        """Answer a committed update, however long the service is away.

        Going on without it would answer the chat's next update first.
        """
        for pause_s in chain(self._pauses_s, repeat(self._pauses_s[-1])):
            try:
                await self._turns.take("telegram", arrival.chat_id, received, arrival.incoming)
            except ServiceUnavailable:
                await asyncio.sleep(pause_s)
            except Exception:
                _log.exception("update %s stays pending", received.inbox_id)
                return
            else:
                return

    async def _persist(self, step: Callable[[], Awaitable[object]]) -> None:
        """Make `step` succeed, with growing waits. Only a refused token ends it."""
        for failures, pause_s in enumerate(chain(self._pauses_s, repeat(self._pauses_s[-1]))):
            try:
                await step()
            except InvalidToken:
                raise
            except Exception as error:
                wait_s = _asked_pause_s(error) or pause_s
                _log.warning("Telegram: %s. Trying again in %g s", _trouble(error), wait_s)
                await asyncio.sleep(wait_s)
            else:
                if failures:
                    _log.info("Telegram: receiving again")
                return


async def _after(before: asyncio.Task[None] | None, turn: Callable[[], Awaitable[None]]) -> None:
    if before is not None:
        await asyncio.wait([before])
    await turn()


def _asked_pause_s(error: Exception) -> float | None:
    if not isinstance(error, RetryAfter):
        return None
    asked = error.retry_after
    return asked.total_seconds() if isinstance(asked, timedelta) else float(asked)


def _trouble(error: Exception) -> str:
    # Only kinds are told: an error's own text may quote the token or what a client wrote.
    match error:
        case Conflict():
            return (
                "another program receives this bot's messages. "
                "Stop it, or use a bot of its own for each"
            )
        case RetryAfter():
            return "the server asks for a pause"
        case NetworkError():
            return f"the server cannot be reached ({type(error).__name__})"
        case ServiceUnavailable():
            return "the service does not answer, so messages wait at Telegram"
        case ServiceRefused():
            return f"the service refused an update ({error}), so it waits at Telegram"
        case _:
            return f"an unexpected {type(error).__name__}"
