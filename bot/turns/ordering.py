"""One chat's turns in order: what it said first is answered first, whoever receives it, once."""

import asyncio
import logging
from collections.abc import Iterator
from dataclasses import replace

from bot.gateway import Gateway, ServiceUnavailable, Standing, TurnConflict
from bot.turns.answering import Answering
from bot.turns.due import Due
from bot.turns.finding import Finder, Looked
from bot.turns.lines import Lines

_log = logging.getLogger(__name__)

# Two processes rarely meet in one chat; five meetings in a row mean that something is broken.
_ATTEMPTS = 5

# Waiting for another process that takes the chat's turns: it may be done at once, or be dead.
_HELD_PAUSE_S, _LONGEST_HELD_PAUSE_S = 0.05, 0.4


class Held(Exception):
    """Another process takes the chat's turns."""


class Ordering:
    """Has each update answered after those that its chat sent before, and stores its turn."""

    def __init__(
        self, gateway: Gateway, answering: Answering, finder: Finder, lines: Lines
    ) -> None:
        self._gateway = gateway
        self._answering = answering
        self._finder = finder
        self._lines = lines

    async def take_up_to(
        self, due: Due, standing: Standing | None = None, *, waits: bool = True
    ) -> None:
        """Answer an update, and before it what the chat said first and nobody answered.

        `standing` is where the chat stood a moment ago, when it was claimed. Raises Held where
        another process is at it and this one is not to wait.
        """
        passed: set[int] = set()
        while True:
            if standing is None or standing.held:
                standing = await self._claimed(due, waits=waits)
            left = [one for one in standing.pending if one.inbox_id not in passed]
            if not left or left[0].inbox_id >= due.inbox_id:
                break
            earlier = replace(due, inbox_id=left[0].inbox_id, incoming=left[0].incoming)
            try:
                await self._persist(earlier, standing)
            except ServiceUnavailable:
                raise
            except Exception as error:
                # One update that cannot be answered must not silence the chat for good.
                _log.error("update %s passed over: %s", earlier.inbox_id, type(error).__name__)
                passed.add(earlier.inbox_id)
            standing = None
        if left and left[0].inbox_id == due.inbox_id:
            await self._persist(due, standing)
        elif standing.pending and self._lines.is_last(due.chat):
            await self._gateway.let_go(due.channel, due.chat_id)

    async def _claimed(self, due: Due, *, waits: bool) -> Standing:
        """Where the chat stands, once its turns are ours or the update is answered."""
        for pause_s in _held_pauses():
            standing = await self._gateway.claim(due.channel, due.chat_id)
            if not standing.held or not _open_up_to(standing, due.inbox_id):
                break
            if not waits:
                raise Held
            await asyncio.sleep(pause_s)
        return standing

    async def _persist(self, due: Due, standing: Standing) -> None:
        looked = await self._finder.look(due.channel, due.chat_id, due.incoming)
        for _ in range(_ATTEMPTS):
            try:
                await self._attempt(due, looked, standing)
            except TurnConflict:
                standing = await self._gateway.claim(due.channel, due.chat_id)
                continue
            except ServiceUnavailable:
                raise
            except Exception as error:
                # Trying again would end the same way, and silence is no answer.
                _log.error("update %s went wrong: %s", due.inbox_id, type(error).__name__)
                await self._apologise(due)
            return
        raise TurnConflict

    async def _attempt(self, due: Due, looked: Looked, standing: Standing) -> None:
        if all(one.inbox_id != due.inbox_id for one in standing.pending):
            # It was answered meanwhile, before a later update or by another process. What it
            # said then would now be taken for an answer to what came after it.
            return
        outcome = await self._answering.answer(due, standing, looked)
        await self._gateway.turn(
            due.channel,
            due.chat_id,
            inbox_id=due.inbox_id,
            version=standing.version,
            state=outcome.state,
            messages=outcome.messages,
            calls_owner=outcome.calls_owner,
            photo_id=looked.photo_id,
            stops=outcome.stops,
            lets_go=self._lines.is_last(due.chat),
        )

    async def _apologise(self, due: Due) -> None:
        standing = await self._gateway.conversation(due.channel, due.chat_id)
        outcome = await self._answering.apologise(due, standing)
        await self._gateway.turn(
            due.channel,
            due.chat_id,
            inbox_id=due.inbox_id,
            version=standing.version,
            state=outcome.state,
            messages=outcome.messages,
            calls_owner=outcome.calls_owner,
        )


def _held_pauses() -> Iterator[float]:
    pause_s = _HELD_PAUSE_S
    while True:
        yield pause_s
        pause_s = min(pause_s * 1.5, _LONGEST_HELD_PAUSE_S)


def _open_up_to(standing: Standing, inbox_id: int) -> bool:
    """Whether the update, or one before it, is still to be answered: they are listed in order."""
    return any(one.inbox_id <= inbox_id for one in standing.pending)
