"""Taking turns: every committed update gets its answer, in the order of its chat, once."""

import asyncio
import logging
from collections.abc import Callable
from datetime import datetime
from weakref import WeakValueDictionary
from zoneinfo import ZoneInfo

from bot.dialogue import refused_turn, take_turn
from bot.dialogue.messages import Incoming, Outcome
from bot.gateway import (
    Channel,
    Gateway,
    LeadRefused,
    Pending,
    Received,
    ServiceUnavailable,
    Standing,
    TurnConflict,
)

_log = logging.getLogger(__name__)

# Two processes rarely meet in one chat; five meetings in a row mean that something is broken.
_ATTEMPTS = 5


class Turns:
    """Receives updates and answers them. Holds nothing that a restart would lose.

    `clock` gives the present moment, with a time zone.
    """

    def __init__(self, gateway: Gateway, clock: Callable[[], datetime]) -> None:
        self._gateway = gateway
        self._clock = clock
        # A lock lives as long as somebody waits for it: chats come and go by the thousand.
        self._locks: WeakValueDictionary[tuple[str, str], asyncio.Lock] = WeakValueDictionary()

    async def receive(
        self, channel: Channel, chat_id: str, update_id: str, incoming: Incoming
    ) -> Received:
        """Commit the update. Only once this returns may the channel be told that it arrived."""
        return await self._gateway.receive(channel, chat_id, update_id, incoming)

    async def take(
        self, channel: Channel, chat_id: str, received: Received, incoming: Incoming
    ) -> None:
        """Answer a received update; nothing happens when that was done before.

        Raises `ServiceUnavailable` when the service does not answer: the update stays pending
        and `replay` takes it later.
        """
        if received.handled:
            return
        async with self._lock(channel, chat_id):
            await self._take_earlier(channel, chat_id, received.inbox_id)
            await self._persist(channel, chat_id, received.inbox_id, incoming)

    async def replay(self, channel: Channel, older_than_s: float) -> int:
        """Answer updates that were committed but not answered; returns how many were."""
        taken = 0
        stuck: set[str] = set()
        for pending in await self._gateway.pending(channel, older_than_s=older_than_s):
            if pending.chat_id in stuck:
                continue
            if await self._retake(channel, pending):
                taken += 1
            else:
                # What a chat said later must not be answered before what it said first.
                stuck.add(pending.chat_id)
        return taken

    async def _retake(self, channel: Channel, pending: Pending) -> bool:
        received = Received(inbox_id=pending.inbox_id, handled=False)
        try:
            await self.take(channel, pending.chat_id, received, pending.incoming)
        except ServiceUnavailable:
            raise
        except Exception as error:
            # One update that cannot be answered must not keep other chats waiting. Only the kind
            # of error is logged: its text may quote what the client wrote.
            _log.error("update %s stays pending: %s", pending.inbox_id, type(error).__name__)
            return False
        return True

    def _lock(self, channel: Channel, chat_id: str) -> asyncio.Lock:
        return self._locks.setdefault((channel, chat_id), asyncio.Lock())

    async def _take_earlier(self, channel: Channel, chat_id: str, inbox_id: int) -> None:
        """Answer first what the chat said first, where an earlier turn was cut off."""
        standing = await self._gateway.conversation(channel, chat_id)
        for earlier in standing.pending:
            if earlier.inbox_id >= inbox_id:
                return
            try:
                await self._persist(channel, chat_id, earlier.inbox_id, earlier.incoming)
            except ServiceUnavailable:
                raise
            except Exception as error:
                # One update that cannot be answered must not silence the chat for good.
                _log.error("update %s passed over: %s", earlier.inbox_id, type(error).__name__)

    async def _persist(
        self, channel: Channel, chat_id: str, inbox_id: int, incoming: Incoming
    ) -> None:
        for _ in range(_ATTEMPTS):
            try:
                await self._attempt(channel, chat_id, inbox_id, incoming)
            except TurnConflict:
                continue
            return
        raise TurnConflict

    async def _attempt(
        self, channel: Channel, chat_id: str, inbox_id: int, incoming: Incoming
    ) -> None:
        standing = await self._gateway.conversation(channel, chat_id)
        outcome = await self._outcome(channel, chat_id, standing, incoming)
        await self._gateway.turn(
            channel,
            chat_id,
            inbox_id=inbox_id,
            version=standing.version,
            state=outcome.state,
            messages=outcome.messages,
            calls_owner=outcome.calls_owner,
        )

    async def _outcome(
        self, channel: Channel, chat_id: str, standing: Standing, incoming: Incoming
    ) -> Outcome:
        shop = await self._gateway.shop()
        now = self._clock().astimezone(ZoneInfo(shop.time_zone))
        outcome = take_turn(
            standing.state, incoming, now=now, shop=shop, owner_spoke=standing.owner_spoke
        )
        if outcome.submit is None:
            return outcome
        # The lead goes first: a turn that says "working it out" without a lead behind it could
        # never be made good, while a lead taken twice is the same lead.
        key = f"{channel}-{chat_id}-{outcome.submit.key_suffix}"
        try:
            await self._gateway.take_lead(channel, chat_id, outcome.submit, key=key)
        except LeadRefused as refused:
            return refused_turn(standing.state, refused.faults, now=now, shop=shop)
        return outcome
