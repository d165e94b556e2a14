"""What is answered to an update: by the dialogue to a client, by the owner's own talk to the owner.

Nothing of it is stored here but a lead, or the owner's decision, which go before their turn.
"""

import asyncio
from collections.abc import Callable
from dataclasses import asdict
from datetime import datetime
from functools import partial
from typing import TypedDict
from zoneinfo import ZoneInfo

from bot import owner
from bot.dialogue import refused_turn, stumbled_turn, take_turn
from bot.dialogue.messages import Found, Message, Outcome, ShopCard
from bot.dialogue.phrases import Phrasebook
from bot.gateway import Gateway, LeadRefused, Standing
from bot.turns.due import Due
from bot.turns.finding import Finder, Looked

# A turn wants one thing looked up, at most two; what was not found is not wanted again.
_LOOK_UPS = 3

# A longer text takes up to a second to understand, which no other chat should wait for.
_LONG = 500


class Answering:
    """Works out turns. `clock` gives the present moment, with a time zone."""

    def __init__(
        self,
        gateway: Gateway,
        clock: Callable[[], datetime],
        phrasebook: Phrasebook,
        finder: Finder,
    ) -> None:
        self._gateway = gateway
        self._clock = clock
        self._phrasebook = phrasebook
        self._finder = finder
        # Understanding takes a processor: one at a time leaves the rest to the others.
        self._long = asyncio.Semaphore(1)

    async def answer(self, due: Due, standing: Standing, looked: Looked) -> Outcome:
        """What comes of an update, from where its conversation stands."""
        if owner.is_invitation(due.incoming):
            return await self._invited(due, standing)
        if standing.owner:
            return await self._owners(due, standing)
        return await self._clients(due, standing, looked)

    async def apologise(self, due: Due, standing: Standing) -> Outcome:
        """What is said where working it out went wrong."""
        if standing.owner:
            turned = owner.stumbled(standing.state)
            return Outcome(state=turned.state, messages=turned.messages)
        return stumbled_turn(
            standing.state,
            due.incoming,
            shop=await self._gateway.shop(),
            phrasebook=self._phrasebook,
        )

    async def _clients(self, due: Due, standing: Standing, looked: Looked) -> Outcome:
        shop = await self._gateway.shop()
        now = self._clock().astimezone(ZoneInfo(shop.time_zone))
        told: _Told = {"now": now, "shop": shop, "phrasebook": self._phrasebook}
        outcome = await self._looked_up(due, standing, looked.found, told)
        if outcome.submit is None:
            return outcome
        # The lead goes first: a turn that says "working it out" without a lead behind it could
        # never be made good, while a lead taken twice is the same lead.
        key = f"{due.channel}-{due.chat_id}-{outcome.submit.key_suffix}"
        try:
            await self._gateway.take_lead(due.channel, due.chat_id, outcome.submit, key=key)
        except LeadRefused as refused:
            return refused_turn(standing.state, refused.faults, **told)
        return outcome

    async def _looked_up(
        self, due: Due, standing: Standing, found: Found, told: "_Told"
    ) -> Outcome:
        outcome = await self._taken(due, standing, found, told)
        for _ in range(_LOOK_UPS):
            if outcome.wants is None:
                break
            found = await self._finder.look_up(due.channel, due.chat_id, outcome.wants, found)
            outcome = await self._taken(due, standing, found, told)
        return outcome

    async def _taken(self, due: Due, standing: Standing, found: Found, told: "_Told") -> Outcome:
        turn = partial(
            take_turn,
            standing.state,
            due.incoming,
            found=found,
            owner_spoke=standing.owner_spoke,
            under_review=standing.under_review,
            stopped=standing.stopped,
            **told,
        )
        if len(due.incoming.text) <= _LONG:
            return turn()
        async with self._long:
            return await asyncio.to_thread(turn)

    async def _invited(self, due: Due, standing: Standing) -> Outcome:
        """The chat brings an invitation from the owner's desk."""
        token, name = owner.token_of(due.incoming), due.incoming.sender_name
        if await self._gateway.pair_owner(token, due.channel, due.chat_id, name):
            turned = owner.paired(await self._gateway.shop())
        else:
            turned = owner.unpaired(standing.state)
        return Outcome(state=turned.state, messages=turned.messages)

    async def _owners(self, due: Due, standing: Standing) -> Outcome:
        """A turn of the owner. The decision goes first, as a lead does, and has its own key."""
        shop = await self._gateway.shop()
        turned = owner.take(standing.state, due.incoming, now=self._clock(), shop=shop)
        messages = list(turned.messages)
        if turned.decision is not None:
            why_not = await self._gateway.owner_decides(
                due.channel, due.chat_id, asdict(turned.decision), key=f"turn-{due.inbox_id}"
            )
            messages.append(Message(kind="owner", text=why_not or turned.done))
        if turned.shows is not None:
            messages += await self._gateway.owner_sees(due.channel, due.chat_id, turned.shows)
        return Outcome(state=turned.state, messages=tuple(messages))


class _Told(TypedDict):
    """What every turn of the dialogue is told besides."""

    now: datetime
    shop: ShopCard
    phrasebook: Phrasebook
