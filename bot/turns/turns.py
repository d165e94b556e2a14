"""Takes turns with clients, and with the owner in the owner's own chats."""

import asyncio
import logging
from collections.abc import Callable, Iterator, Mapping
from dataclasses import asdict
from datetime import datetime
from functools import partial
from typing import TypedDict
from zoneinfo import ZoneInfo

from bot import owner
from bot.dialogue import refused_turn, stumbled_turn, take_turn
from bot.dialogue.messages import Found, Incoming, Message, Outcome, ShopCard
from bot.dialogue.phrases import Phrasebook
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
from bot.turns.finding import Finder, Looked, PhotoSource
from bot.turns.lines import Lines
from service.contract import tracing

_log = logging.getLogger(__name__)

# Two processes rarely meet in one chat; five meetings in a row mean that something is broken.
_ATTEMPTS = 5
# A turn wants one thing looked up, at most two; what was not found is not wanted again.
_LOOK_UPS = 3

# A longer text takes up to a second to understand, which no other chat should wait for.
_LONG = 500


# So many chats' left-over updates are answered side by side.
_REPLAYED_AT_ONCE = 8

# Waiting for another process that takes the chat's turns: it may be done at once, or be dead.
_HELD_PAUSE_S, _LONGEST_HELD_PAUSE_S = 0.05, 0.4


class _Held(Exception):
    """Another process takes the chat's turns."""


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
        self._clock = clock
        self._phrasebook = phrasebook
        self._finder = Finder(gateway, photos or {})
        # Understanding takes a processor: one at a time leaves the rest to the others.
        self._long = asyncio.Semaphore(1)
        self._lines = Lines()

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
        async with self._lines.turn((channel, chat_id)):
            await self._take_up_to(channel, chat_id, received.inbox_id, incoming)

    async def replay(self, channel: Channel, older_than_s: float) -> int:
        """Answer updates that were committed but not answered; returns how many were."""
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
        async with at_once:
            for number, pending in enumerate(waiting):
                if not await self._is_retaken(channel, pending):
                    # What a chat said later must not be answered before what it said first.
                    return number
        return len(waiting)

    async def _is_retaken(self, channel: Channel, pending: Pending) -> bool:
        chat_id, inbox_id = pending.chat_id, pending.inbox_id
        tracing.enter()
        try:
            async with self._lines.turn((channel, chat_id)):
                await self._take_up_to(channel, chat_id, inbox_id, pending.incoming, waits=False)
        except ServiceUnavailable:
            raise
        except _Held:
            return False
        except Exception as error:
            # One update that cannot be answered must not keep other chats waiting. Only the kind
            # of error is logged: its text may quote what the client wrote.
            _log.error("update %s stays pending: %s", inbox_id, type(error).__name__)
            return False
        return True

    async def _take_up_to(
        self,
        channel: Channel,
        chat_id: str,
        inbox_id: int,
        incoming: Incoming,
        *,
        waits: bool = True,
    ) -> None:
        """Answer an update, and before it what the chat said first and nobody answered.

        Raises _Held where another process is at it and this one is not to wait.
        """
        passed: set[int] = set()
        while True:
            standing = await self._claimed(channel, chat_id, inbox_id, waits=waits)
            due = [one.inbox_id for one in standing.pending if one.inbox_id not in passed]
            if not due or due[0] >= inbox_id:
                break
            earlier = next(one for one in standing.pending if one.inbox_id == due[0])
            try:
                await self._persist(channel, chat_id, due[0], earlier.incoming, standing)
            except ServiceUnavailable:
                raise
            except Exception as error:
                # One update that cannot be answered must not silence the chat for good.
                _log.error("update %s passed over: %s", due[0], type(error).__name__)
                passed.add(due[0])
        if due and due[0] == inbox_id:
            await self._persist(channel, chat_id, inbox_id, incoming, standing)
        elif standing.pending and self._lines.is_last((channel, chat_id)):
            await self._gateway.let_go(channel, chat_id)

    async def _claimed(
        self, channel: Channel, chat_id: str, inbox_id: int, *, waits: bool
    ) -> Standing:
        """Where the chat stands, once its turns are ours or the update is answered."""
        for pause_s in _held_pauses():
            standing = await self._gateway.claim(channel, chat_id)
            if not standing.held or not _open_up_to(standing, inbox_id):
                break
            if not waits:
                raise _Held
            await asyncio.sleep(pause_s)
        return standing

    async def _persist(
        self,
        channel: Channel,
        chat_id: str,
        inbox_id: int,
        incoming: Incoming,
        standing: Standing,
    ) -> None:
        looked = await self._finder.look(channel, chat_id, incoming)
        for _ in range(_ATTEMPTS):
            try:
                await self._attempt(channel, chat_id, inbox_id, incoming, looked, standing)
            except TurnConflict:
                standing = await self._gateway.claim(channel, chat_id)
                continue
            except ServiceUnavailable:
                raise
            except Exception as error:
                # Trying again would end the same way, and silence is no answer.
                _log.error("update %s went wrong: %s", inbox_id, type(error).__name__)
                await self._apologise(channel, chat_id, inbox_id, incoming)
            return
        raise TurnConflict

    async def _apologise(
        self, channel: Channel, chat_id: str, inbox_id: int, incoming: Incoming
    ) -> None:
        standing = await self._gateway.conversation(channel, chat_id)
        if standing.owner:
            turned = owner.stumbled(standing.state)
            outcome = Outcome(state=turned.state, messages=turned.messages)
        else:
            shop = await self._gateway.shop()
            outcome = stumbled_turn(
                standing.state, incoming, shop=shop, phrasebook=self._phrasebook
            )
        await self._gateway.turn(
            channel,
            chat_id,
            inbox_id=inbox_id,
            version=standing.version,
            state=outcome.state,
            messages=outcome.messages,
            calls_owner=outcome.calls_owner,
        )

    async def _attempt(
        self,
        channel: Channel,
        chat_id: str,
        inbox_id: int,
        incoming: Incoming,
        looked: Looked,
        standing: Standing,
    ) -> None:
        if all(one.inbox_id != inbox_id for one in standing.pending):
            # It was answered meanwhile, before a later update or by another process. What it
            # said then would now be taken for an answer to what came after it.
            return
        if owner.is_invitation(incoming):
            outcome = await self._invited(channel, chat_id, standing, incoming)
        elif standing.owner:
            outcome = await self._owners(channel, chat_id, inbox_id, standing, incoming)
        else:
            outcome = await self._outcome(channel, chat_id, standing, incoming, looked)
        await self._gateway.turn(
            channel,
            chat_id,
            inbox_id=inbox_id,
            version=standing.version,
            state=outcome.state,
            messages=outcome.messages,
            calls_owner=outcome.calls_owner,
            photo_id=looked.photo_id,
            stops=outcome.stops,
            lets_go=self._lines.is_last((channel, chat_id)),
        )

    async def _outcome(
        self,
        channel: Channel,
        chat_id: str,
        standing: Standing,
        incoming: Incoming,
        looked: Looked,
    ) -> Outcome:
        shop = await self._gateway.shop()
        now = self._clock().astimezone(ZoneInfo(shop.time_zone))
        told: _Told = {"now": now, "shop": shop, "phrasebook": self._phrasebook}
        found = looked.found
        outcome = await self._taken(standing, incoming, found, told)
        for _ in range(_LOOK_UPS):
            if outcome.wants is None:
                break
            found = await self._finder.look_up(channel, chat_id, outcome.wants, found)
            outcome = await self._taken(standing, incoming, found, told)
        if outcome.submit is None:
            return outcome
        # The lead goes first: a turn that says "working it out" without a lead behind it could
        # never be made good, while a lead taken twice is the same lead.
        key = f"{channel}-{chat_id}-{outcome.submit.key_suffix}"
        try:
            await self._gateway.take_lead(channel, chat_id, outcome.submit, key=key)
        except LeadRefused as refused:
            return refused_turn(standing.state, refused.faults, **told)
        return outcome

    async def _taken(
        self, standing: Standing, incoming: Incoming, found: Found, told: "_Told"
    ) -> Outcome:
        turn = partial(
            take_turn,
            standing.state,
            incoming,
            found=found,
            owner_spoke=standing.owner_spoke,
            under_review=standing.under_review,
            stopped=standing.stopped,
            **told,
        )
        if len(incoming.text) <= _LONG:
            return turn()
        async with self._long:
            return await asyncio.to_thread(turn)

    async def _invited(
        self, channel: Channel, chat_id: str, standing: Standing, incoming: Incoming
    ) -> Outcome:
        """The chat brings an invitation from the owner's desk."""
        token, name = owner.token_of(incoming), incoming.sender_name
        if await self._gateway.pair_owner(token, channel, chat_id, name):
            turned = owner.paired(await self._gateway.shop())
        else:
            turned = owner.unpaired(standing.state)
        return Outcome(state=turned.state, messages=turned.messages)

    async def _owners(
        self,
        channel: Channel,
        chat_id: str,
        inbox_id: int,
        standing: Standing,
        incoming: Incoming,
    ) -> Outcome:
        """A turn of the owner. The decision goes first, as a lead does, and has its own key."""
        shop = await self._gateway.shop()
        turned = owner.take(standing.state, incoming, now=self._clock(), shop=shop)
        messages = list(turned.messages)
        if turned.decision is not None:
            why_not = await self._gateway.owner_decides(
                channel, chat_id, asdict(turned.decision), key=f"turn-{inbox_id}"
            )
            messages.append(Message(kind="owner", text=why_not or turned.done))
        if turned.shows is not None:
            messages += await self._gateway.owner_sees(channel, chat_id, turned.shows)
        return Outcome(state=turned.state, messages=tuple(messages))


class _Told(TypedDict):
    """What every turn of the dialogue is told besides."""

    now: datetime
    shop: ShopCard
    phrasebook: Phrasebook


def _held_pauses() -> Iterator[float]:
    pause_s = _HELD_PAUSE_S
    while True:
        yield pause_s
        pause_s = min(pause_s * 1.5, _LONGEST_HELD_PAUSE_S)


def _open_up_to(standing: Standing, inbox_id: int) -> bool:
    """Whether the update, or one before it, is still to be answered: they are listed in order."""
    return any(one.inbox_id <= inbox_id for one in standing.pending)
