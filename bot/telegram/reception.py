"""What becomes of an update, however it came: committed, then answered in the order of its chat."""

import asyncio
import logging
from collections.abc import Awaitable, Callable, Sequence
from dataclasses import replace
from functools import partial
from http import HTTPStatus

from telegram import Bot, Update

from bot.dialogue.messages import Incoming
from bot.dialogue.phrases import Phrasebook
from bot.gateway import Received, ServiceRefused, ServiceUnavailable
from bot.telegram.courtesies import Courtesies
from bot.telegram.groups import Groups
from bot.telegram.incoming import Arrival, read
from bot.telegram.patience import growing
from bot.turns import Lines, Turns

_log = logging.getLogger(__name__)


class Reception:
    """Commits updates and has each answered: a chat in order, chats side by side.

    `pauses_s` are the waits while the service is away, in seconds; the last repeats.
    """

    def __init__(
        self, bot: Bot, turns: Turns, phrasebook: Phrasebook, pauses_s: Sequence[float]
    ) -> None:
        self._turns = turns
        self._pauses_s = pauses_s
        self._courtesies = Courtesies(bot)
        self._groups = Groups(bot, phrasebook)
        self._arrivals = Lines()
        self._latest: dict[str, asyncio.Task[None]] = {}

    async def accept(self, update: Update, tasks: asyncio.TaskGroup) -> None:
        """Commit an update, and have it answered by `tasks`.

        Only once this returns may Telegram hear that it arrived. Raises what the inbox raises.
        """
        arrival = read(update)
        if arrival is None:
            tasks.create_task(_if_possible(partial(self._groups.answer, update)))
            return
        # One at a time: hundreds of one chat would have all others wait at the service.
        async with self._arrivals.turn(("telegram", arrival.chat_id)):
            await self._accept(arrival, tasks)

    async def _accept(self, arrival: Arrival, tasks: asyncio.TaskGroup) -> None:
        try:
            received = await self._commit(arrival)
        except ServiceRefused as refused:
            if refused.problem.status != HTTPStatus.UNPROCESSABLE_ENTITY:
                raise
            # It would come again for ever, and everything after it would wait.
            _log.error("update %s cannot be stored: only that it came is", arrival.update_id)
            arrival = _only_that_it_came(arrival)
            received = await self._commit(arrival)
        tasks.create_task(_if_possible(partial(self._courtesies.acknowledge, arrival)))
        self._follow(arrival.chat_id, partial(self._answer, arrival, received, tasks), tasks)

    async def _commit(self, arrival: Arrival) -> Received:
        return await self._turns.receive(
            "telegram", arrival.chat_id, arrival.update_id, arrival.incoming
        )

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

    async def _answer(self, arrival: Arrival, received: Received, tasks: asyncio.TaskGroup) -> None:
        if received.handled:
            return
        done = asyncio.Event()
        tasks.create_task(_if_possible(partial(self._courtesies.show_typing, arrival, done)))
        try:
            await self._take(arrival, received)
        finally:
            done.set()

    async def _take(self, arrival: Arrival, received: Received) -> None:
        """Answer a committed update, however long the service is away.

        Going on without it would answer the chat's next update first.
        """
        for pause_s in growing(self._pauses_s):
            try:
                await self._turns.take("telegram", arrival.chat_id, received, arrival.incoming)
            except ServiceUnavailable:
                await asyncio.sleep(pause_s)
            except Exception:
                _log.exception("update %s stays pending", received.inbox_id)
                return
            else:
                return


async def _after(before: asyncio.Task[None] | None, turn: Callable[[], Awaitable[None]]) -> None:
    if before is not None:
        await asyncio.wait([before])
    await turn()


async def _if_possible(courtesy: Callable[[], Awaitable[None]]) -> None:
    """What nobody waits for: trouble with it must not end receiving."""
    try:
        await courtesy()
    except Exception as error:
        # Only the kind is told: its text may quote what somebody wrote.
        _log.warning("a courtesy is left out: %s", type(error).__name__)


def _only_that_it_came(arrival: Arrival) -> Arrival:
    """The arrival without anything that was sent: the client hears that it was not understood."""
    told = arrival.incoming
    incoming = Incoming(kind="other", sender_name=told.sender_name, locale=told.locale)
    return replace(arrival, incoming=incoming)
