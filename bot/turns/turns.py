"""Takes turns with clients, and with the owner in the owner's own chats."""

import asyncio
import logging
from collections.abc import Callable, Mapping
from datetime import datetime

from bot.dialogue.messages import Incoming
from bot.dialogue.phrases import Phrasebook
from bot.gateway import Channel, Gateway, Pending, Received, ServiceUnavailable
from bot.turns.answering import Answering
from bot.turns.due import Due
from bot.turns.finding import Finder, PhotoSource
from bot.turns.lines import Lines
from bot.turns.ordering import Held, Ordering
from service.contract import tracing

_log = logging.getLogger(__name__)

# So many chats' left-over updates are answered side by side.
_REPLAYED_AT_ONCE = 8


class Turns:
    """Receives updates and answers them. Holds nothing that a restart would lose.

    `clock` gives the present moment, with a time zone. `photos` are where channels keep what was
    sent through them; a channel without one keeps its photos at the service before their update.
    """

    def __init__(
        self,
        gateway: Gateway,
        clock: Callable[[], datetime],
        phrasebook: Phrasebook,
        photos: Mapping[Channel, PhotoSource] | None = None,
    ) -> None:
        self._gateway = gateway
        self._lines = Lines()
        finder = Finder(gateway, photos or {})
        answering = Answering(gateway, clock, phrasebook, finder)
        self._ordering = Ordering(gateway, answering, finder, self._lines)

    async def receive(
        self, channel: Channel, chat_id: str, update_id: str, incoming: Incoming
    ) -> Received:
        """Commit the update. Only once this returns may the channel be told that it arrived."""
        # Where nobody is in line its turn comes next: that saves asking where the chat stands.
        claims = self._lines.is_free((channel, chat_id))
        return await self._gateway.receive(channel, chat_id, update_id, incoming, claims=claims)

    async def take(
        self, channel: Channel, chat_id: str, received: Received, incoming: Incoming
    ) -> None:
        """Answer a received update; nothing happens when that was done before.

        Raises `ServiceUnavailable` when the service does not answer: the update stays pending
        and `replay` takes it later.
        """
        if received.handled:
            return
        due = Due(channel=channel, chat_id=chat_id, inbox_id=received.inbox_id, incoming=incoming)
        # Whoever has to wait finds the chat elsewhere than it was.
        standing = received.standing if self._lines.is_free(due.chat) else None
        async with self._lines.turn(due.chat):
            await self._ordering.take_up_to(due, standing)

    async def replay(self, channel: Channel, older_than_s: float) -> int:
        """Answer updates that were committed but not answered; returns how many were.

        Of a chat with many only the first: the rest is for the next time.
        """
        chats: dict[str, list[Pending]] = {}
        for pending in await self._gateway.pending(channel, older_than_s=older_than_s):
            chats.setdefault(pending.chat_id, []).append(pending)
        at_once = asyncio.Semaphore(_REPLAYED_AT_ONCE)
        # A chat with hundreds of them must not keep the others waiting.
        async with asyncio.TaskGroup() as tasks:
            replays = [
                tasks.create_task(self._retake(channel, waiting, at_once))
                for waiting in chats.values()
            ]
        return sum(replay.result() for replay in replays)

    async def _retake(
        self, channel: Channel, waiting: list[Pending], at_once: asyncio.Semaphore
    ) -> int:
        """Answer what a chat left open, in order; how many were answered."""
        for number, pending in enumerate(waiting):
            # Behind the other chats that wait: one with a long backlog takes its place again.
            async with at_once:
                if not await self._is_retaken(channel, pending):
                    # What a chat said later must not be answered before what it said first.
                    return number
        return len(waiting)

    async def _is_retaken(self, channel: Channel, pending: Pending) -> bool:
        due = Due(
            channel=channel,
            chat_id=pending.chat_id,
            inbox_id=pending.inbox_id,
            incoming=pending.incoming,
        )
        tracing.enter()
        try:
            async with self._lines.turn(due.chat):
                await self._ordering.take_up_to(due, waits=False)
        except ServiceUnavailable:
            raise
        except Held:
            return False
        except Exception as error:
            # One update that cannot be answered must not keep other chats waiting. Only the kind
            # of error is logged: its text may quote what the client wrote.
            _log.error("update %s stays pending: %s", pending.inbox_id, type(error).__name__)
            return False
        return True
