"""Calls the service in the dialogue's own values."""

import asyncio
import secrets
from collections.abc import Iterable, Mapping
from decimal import Decimal
from typing import Any, Literal

from pydantic import ValidationError

from bot.dialogue.messages import Incoming, Message, Offer, ShopCard, Submission
from bot.gateway import wire
from bot.gateway.values import LeadRefused, Pending, Received, Shown, Standing, TurnConflict
from service.contract.client import ServiceClient, ServiceRefused
from service.contract.estimate import Channel
from service.contract.owner import OwnerDecision, Pairing
from service.contract.talk import Claim, Turn
from service.contract.visits import Visit

# The owner's edits to the card show within this time; a card asked for at each message would
# double the calls of a turn.
_CARD_LASTS_S = 60.0

_NOT_UNDERSTOOD = "That could not be understood, and nothing was changed. Look again: /waiting"


class Gateway:
    """Calls the service in the dialogue's own values.

    `holder` is what this process calls itself when it claims a conversation: the same again
    after a restart, if it can be. Without one it is a new name.
    """

    def __init__(self, client: ServiceClient, holder: str | None = None) -> None:
        self._client = client
        self._holder = holder or secrets.token_hex(16)
        self._card: ShopCard | None = None
        self._card_read_at = 0.0

    async def service_answers(self) -> bool:
        """Whether the service answers at all."""
        return await self._client.answers()

    async def shop(self) -> ShopCard:
        """The shop's card, at most a minute old."""
        instant = asyncio.get_running_loop().time()
        if self._card is None or instant - self._card_read_at > _CARD_LASTS_S:
            self._card = wire.card(await self._client.shop())
            self._card_read_at = instant
        return self._card

    async def receive(
        self,
        channel: Channel,
        chat_id: str,
        update_id: str,
        incoming: Incoming,
        *,
        claims: bool = False,
    ) -> Received:
        """Commit an update to the inbox. The same `update_id` again is the same update.

        With `claims` its turn comes next: the conversation's turns are claimed in the same call.
        """
        update = wire.update(channel, chat_id, update_id, incoming)
        receipt = await self._client.receive(update, holder=self._holder if claims else None)
        standing = wire.standing(receipt.conversation) if receipt.conversation else None
        return Received(inbox_id=receipt.inbox_id, handled=receipt.handled, standing=standing)

    async def pending(self, channel: Channel, *, older_than_s: float) -> list[Pending]:
        """Updates of `channel` that were committed but not answered, oldest first."""
        found = await self._client.pending(channel, older_than_s=older_than_s)
        return [wire.pending(one) for one in found]

    async def conversation(self, channel: Channel, chat_id: str) -> Standing:
        """Where the conversation stands."""
        return wire.standing(await self._client.conversation(channel, chat_id))

    async def claim(self, channel: Channel, chat_id: str) -> Standing:
        """Take the conversation's turns upon this process for a while, and see where it stands."""
        return wire.standing(await self._client.claim(channel, chat_id, Claim(holder=self._holder)))

    async def let_go(self, channel: Channel, chat_id: str) -> None:
        """Leave the conversation's turns to other processes."""
        await self._client.let_go(channel, chat_id, self._holder)

    async def turn(
        self,
        channel: Channel,
        chat_id: str,
        *,
        inbox_id: int,
        version: int,
        state: dict[str, Any],
        messages: Iterable[Message],
        calls_owner: bool = False,
        photo_id: str | None = None,
        stops: bool | None = None,
        lets_go: bool = False,
    ) -> None:
        """Store a turn that started from `version`. Raises `TurnConflict` when it is outdated.

        With `lets_go` the conversation's turns are left to other processes afterwards.
        """
        turn = Turn(
            inbox_id=inbox_id,
            version=version,
            state=state,
            messages=[wire.outgoing(message) for message in messages],
            calls_owner=calls_owner,
            photo_id=photo_id,
            stops=stops,
            lets_go=self._holder if lets_go else None,
        )
        try:
            await self._client.turn(channel, chat_id, turn)
        except ServiceRefused as refused:
            if refused.problem.status == 409:
                raise TurnConflict from refused
            raise

    async def take_lead(
        self, channel: Channel, chat_id: str, submission: Submission, *, key: str
    ) -> None:
        """Store a lead once per `key`. Raises `LeadRefused` when its brief cannot be taken."""
        try:
            await self._client.take_lead(wire.lead(channel, chat_id, submission), key=key)
        except ServiceRefused as refused:
            if refused.problem.status == 422:
                raise LeadRefused(wire.faults(refused)) from refused
            raise

    async def messages(
        self, channel: Channel, chat_id: str, after: int = 0, wait_s: float = 0
    ) -> list[Shown]:
        """Messages with `seq` beyond `after`; waits up to `wait_s` seconds for the first."""
        found = await self._client.messages(channel, chat_id, after=after, wait_s=wait_s)
        return [wire.shown(message) for message in found]

    async def wait_for_s(
        self, visitor: str, chat_id: str, brings: Literal["update", "photo"]
    ) -> float:
        """Count what a visitor of the web chat brings; the seconds to wait first, 0 to go on.

        `visitor` stands for where from, in 32 hexadecimal digits.
        """
        visit = Visit(visitor=visitor, chat_id=chat_id, brings=brings)
        return (await self._client.visit(visit)).seconds

    async def keep_photo(self, photo_id: str, channel: Channel, chat_id: str, jpeg: bytes) -> None:
        """Keep a photo of a conversation; the same `photo_id` again changes nothing."""
        await self._client.keep_photo(photo_id, channel, chat_id, jpeg)

    async def photo(self, photo_id: str, channel: Channel, chat_id: str) -> bytes | None:
        """A photo of a conversation, a JPEG; None where it has no such photo."""
        try:
            return await self._client.photo(photo_id, channel, chat_id)
        except ServiceRefused as refused:
            if refused.problem.status in (404, 422):
                return None
            raise

    async def nearest_place(self, latitude: float, longitude: float) -> tuple[str, str] | None:
        """Postal code and town that a location in degrees is in or next to, where one is known."""
        place = await self._client.nearest_place(latitude, longitude)
        return None if place is None else (place.postal_code, place.town)

    async def options(self, brief: Mapping[str, Any], budget: Decimal | None) -> list[Offer]:
        """What else could be built than `brief` (wire JSON), the nearest first; none where it
        cannot be estimated."""
        try:
            found = await self._client.options(wire.brief(brief, budget))
        except ValidationError:
            return []
        except ServiceRefused as refused:
            if refused.problem.status == 422:
                return []
            raise
        return [wire.offer(option) for option in found]

    async def pair_owner(
        self, token: str, channel: Channel, chat_id: str, name: str | None
    ) -> bool:
        """Make the chat the owner's; False where the token is no good any more."""
        try:
            pairing = Pairing(
                channel=channel, chat_id=chat_id, token=token, name=wire.clipped(name, 200)
            )
            await self._client.pair_owner(pairing)
        except ValidationError:
            return False
        except ServiceRefused as refused:
            if refused.problem.status in (404, 410):
                return False
            raise
        return True

    async def owner_chats(self, channel: Channel) -> list[str]:
        """The chats of `channel` that are the owner's."""
        return [one.chat_id for one in await self._client.owner_chats() if one.channel == channel]

    async def owner_sees(
        self, channel: Channel, chat_id: str, view: Literal["waiting", "today"]
    ) -> tuple[Message, ...]:
        """What the owner asked to see."""
        found = await self._client.owner_sees(channel, chat_id, view)
        return tuple(wire.message(one) for one in found)

    async def owner_decides(
        self, channel: Channel, chat_id: str, decision: Mapping[str, Any], *, key: str
    ) -> str | None:
        """Carry out, once per `key`, what the owner decided (wire JSON of `OwnerDecision`).

        None where it is done, else the sentence that says why not.
        """
        try:
            decided = OwnerDecision.model_validate(decision)
            await self._client.owner_decides(channel, chat_id, decided, key=key)
        except ValidationError:
            return _NOT_UNDERSTOOD
        except ServiceRefused as refused:
            # 422: the words hold what cannot be stored, or the key was used for something else.
            if refused.problem.status == 422:
                return _NOT_UNDERSTOOD
            if refused.problem.status in (403, 404, 409):
                return refused.problem.detail or refused.problem.title
            raise
        return None
