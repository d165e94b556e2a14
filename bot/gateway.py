"""The bot's door to the service: dialogue values on this side, the wire on the other.

`ServiceUnavailable` leaves every call that got no answer: the update stays in the inbox and is
taken again later.
"""

import asyncio
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any, Literal

from pydantic import ValidationError

from bot.dialogue.messages import (
    Button,
    Fault,
    Incoming,
    Message,
    MessageKind,
    ShopCard,
    Submission,
    Swatch,
)
from service.contract.brief import Brief
from service.contract.client import ServiceClient, ServiceRefused, ServiceUnavailable
from service.contract.estimate import Channel
from service.contract.leads import Client, LeadRequest
from service.contract.talk import Button as WireButton
from service.contract.talk import ChatMessage, OutgoingMessage, PendingUpdate, Turn, Update

__all__ = [
    "Channel",
    "Gateway",
    "LeadRefused",
    "Pending",
    "Received",
    "ServiceClient",
    "ServiceRefused",
    "ServiceUnavailable",
    "Shown",
    "Standing",
    "TurnConflict",
]

# The owner's edits to the card show within this time; a card asked for at each message would
# double the calls of a turn.
_CARD_LASTS_S = 60.0


class TurnConflict(Exception):
    """Another turn of this conversation was stored first: read again and redo."""


class LeadRefused(Exception):
    """The service cannot take this brief; `faults` names each field and what is wrong."""

    def __init__(self, faults: Sequence[Fault]) -> None:
        super().__init__(f"{len(faults)} faults")
        self.faults = tuple(faults)


@dataclass(frozen=True, kw_only=True)
class Received:
    """An update is committed; `handled` tells whether its turn was already taken."""

    inbox_id: int
    handled: bool


@dataclass(frozen=True, kw_only=True)
class Pending:
    """A committed update whose turn nobody has finished."""

    inbox_id: int
    chat_id: str
    update_id: str
    incoming: Incoming


@dataclass(frozen=True, kw_only=True)
class Standing:
    """Where a conversation stands; a new one has version 0 and an empty state.

    `pending` are its committed updates whose turns are open, oldest first. `owner_spoke` tells
    that the client was written to by the owner and has not answered yet.
    """

    version: int
    state: dict[str, Any]
    pending: tuple[Pending, ...] = ()
    owner_spoke: bool = False


@dataclass(frozen=True, kw_only=True)
class Shown:
    """One message of a conversation, in the order `seq`."""

    seq: int
    direction: Literal["in", "out"]
    kind: MessageKind
    text: str
    buttons: tuple[Button, ...]
    asks: str | None
    at: datetime
    update_id: str | None


class Gateway:
    """Calls the service in the dialogue's own values."""

    def __init__(self, client: ServiceClient) -> None:
        self._client = client
        self._card: ShopCard | None = None
        self._card_read_at = 0.0

    async def shop(self) -> ShopCard:
        """The shop's card, at most a minute old."""
        instant = asyncio.get_running_loop().time()
        if self._card is None or instant - self._card_read_at > _CARD_LASTS_S:
            self._card = await self._read_card()
            self._card_read_at = instant
        return self._card

    async def _read_card(self) -> ShopCard:
        shop = await self._client.shop()
        return ShopCard(
            name=shop.name,
            town=shop.town,
            owner_name=shop.owner_name,
            contact=shop.contact,
            time_zone=shop.time_zone,
            currency=shop.currency,
            colours=tuple(Swatch(name=c.name, hex=c.hex) for c in shop.colours),
        )

    async def receive(
        self, channel: Channel, chat_id: str, update_id: str, incoming: Incoming
    ) -> Received:
        """Commit an update to the inbox. The same `update_id` again is the same update."""
        receipt = await self._client.receive(_to_wire(channel, chat_id, update_id, incoming))
        return Received(inbox_id=receipt.inbox_id, handled=receipt.handled)

    async def pending(self, channel: Channel, *, older_than_s: float) -> list[Pending]:
        """Updates of `channel` that were committed but not answered, oldest first."""
        found = await self._client.pending(channel, older_than_s=older_than_s)
        return [_from_pending(one) for one in found]

    async def conversation(self, channel: Channel, chat_id: str) -> Standing:
        """Where the conversation stands."""
        conversation = await self._client.conversation(channel, chat_id)
        return Standing(
            version=conversation.version,
            state=conversation.state,
            pending=tuple(_from_pending(one) for one in conversation.pending),
            owner_spoke=conversation.owner_spoke,
        )

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
    ) -> None:
        """Store a turn that started from `version`. Raises `TurnConflict` when it is outdated."""
        turn = Turn(
            inbox_id=inbox_id,
            version=version,
            state=state,
            messages=[_outgoing(message) for message in messages],
            calls_owner=calls_owner,
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
            await self._client.take_lead(_request(channel, chat_id, submission), key=key)
        except ServiceRefused as refused:
            if refused.problem.status == 422:
                raise LeadRefused(_faults(refused)) from refused
            raise

    async def messages(
        self, channel: Channel, chat_id: str, after: int = 0, wait_s: float = 0
    ) -> list[Shown]:
        """Messages with `seq` beyond `after`; waits up to `wait_s` seconds for the first."""
        found = await self._client.messages(channel, chat_id, after=after, wait_s=wait_s)
        return [_shown(message) for message in found]


def _to_wire(channel: Channel, chat_id: str, update_id: str, incoming: Incoming) -> Update:
    return Update(
        channel=channel,
        chat_id=chat_id,
        update_id=update_id,
        kind=incoming.kind,
        text=incoming.text,
        label=_clipped(incoming.label, 200),
        sender_name=_clipped(incoming.sender_name, 200),
        locale=_clipped(incoming.locale, 35),
    )


def _clipped(text: str | None, most: int) -> str | None:
    return text if text is None else text[:most]


def _from_pending(pending: PendingUpdate) -> Pending:
    update = pending.update
    incoming = Incoming(
        kind=update.kind,
        text=update.text,
        label=update.label,
        sender_name=update.sender_name,
        locale=update.locale,
    )
    return Pending(
        inbox_id=pending.inbox_id,
        chat_id=update.chat_id,
        update_id=update.update_id,
        incoming=incoming,
    )


def _outgoing(message: Message) -> OutgoingMessage:
    return OutgoingMessage(
        kind=message.kind,
        text=message.text,
        buttons=[WireButton(label=b.label, value=b.value, url=b.url) for b in message.buttons],
        asks=message.asks,
    )


def _shown(message: ChatMessage) -> Shown:
    return Shown(
        seq=message.seq,
        direction=message.direction,
        kind=message.kind,
        text=message.text,
        buttons=tuple(Button(label=b.label, value=b.value, url=b.url) for b in message.buttons),
        asks=message.asks,
        at=message.at,
        update_id=message.update_id,
    )


def _request(channel: Channel, chat_id: str, submission: Submission) -> LeadRequest:
    try:
        return LeadRequest(
            brief=Brief.model_validate(submission.brief),
            client=Client(name=_clipped(submission.name, 120)),
            channel=channel,
            chat_id=chat_id,
            language=submission.language,
            revises=submission.revises,
        )
    except ValidationError as error:
        # The same fault that the service would find, found one call earlier.
        raise LeadRefused([_fault(dict(detail)) for detail in error.errors()]) from error


def _fault(detail: dict[str, Any]) -> Fault:
    field = ".".join(str(part) for part in detail["loc"] if part != "brief")
    return Fault(field=field, detail=str(detail["msg"]))


def _faults(refused: ServiceRefused) -> list[Fault]:
    problem = refused.problem
    if problem.errors:
        return [Fault(field=one.field, detail=one.detail) for one in problem.errors]
    return [Fault(field="", detail=problem.detail or problem.title)]
