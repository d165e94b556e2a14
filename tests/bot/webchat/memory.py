"""A gateway whose service is a few lists, for tests of the channels."""

import asyncio
from collections.abc import Iterable
from dataclasses import replace
from datetime import UTC, datetime
from typing import Any

from bot.dialogue.messages import Incoming, Message, ShopCard, Submission
from bot.gateway import (
    Channel,
    Gateway,
    Pending,
    Received,
    ServiceUnavailable,
    Shown,
    Standing,
    TurnConflict,
)

CARD = ShopCard(
    name="The Paper Ribbon",
    town="Alder Ferry",
    owner_name="Noor",
    contact="hello@paper-ribbon.example",
    time_zone="America/New_York",
    currency="USD",
    contacts={"es": "correo hello@paper-ribbon.example"},
)
STARTED = datetime(2027, 1, 10, 15, 0, tzinfo=UTC)


class MemoryGateway(Gateway):
    """Keeps inbox, conversations and messages in plain sight.

    `down` names the calls that get no answer; `answer_lost` those that take effect and then get
    none; `stuck` the updates whose turn cannot be stored. `answered` lists the turns in order.
    """

    def __init__(self) -> None:
        self.inbox: list[tuple[Channel, str, str, Incoming]] = []
        self.open: set[int] = set()
        self.standings: dict[tuple[str, str], Standing] = {}
        self.shown: dict[tuple[Channel, str], list[Shown]] = {}
        self.photos: dict[tuple[Channel, str, str], bytes] = {}
        self.leads: dict[str, tuple[Channel, str, Submission]] = {}
        self.down: set[str] = set()
        self.answer_lost: set[str] = set()
        self.stuck: set[int] = set()
        self.answered: list[int] = []
        self.visits: list[tuple[str, str, str]] = []
        self.waits_s = 0.0
        self.slow_chats: dict[str, asyncio.Event] = {}
        self._news = asyncio.Condition()

    async def shop(self) -> ShopCard:
        self._reach("shop")
        return CARD

    async def receive(
        self,
        channel: Channel,
        chat_id: str,
        update_id: str,
        incoming: Incoming,
        *,
        claims: bool = False,  # noqa: ARG002  there is one process
    ) -> Received:
        self._reach("receive")
        known = [(c, u) for c, _, u, _ in self.inbox]
        if (channel, update_id) not in known:
            self.inbox.append((channel, chat_id, update_id, incoming))
            self.open.add(len(self.inbox))
            said = Message(kind="say", text=incoming.label or incoming.text)
            await self._show(channel, chat_id, "in", said, update_id, incoming.photo)
        inbox_id = [*known, (channel, update_id)].index((channel, update_id)) + 1
        if "receive" in self.answer_lost:
            self.answer_lost.discard("receive")
            raise ServiceUnavailable("receive")
        return Received(inbox_id=inbox_id, handled=inbox_id not in self.open)

    async def wait_for_s(self, visitor: str, chat_id: str, brings: str) -> float:
        self._reach("wait_for_s")
        self.visits.append((visitor, chat_id, brings))
        return self.waits_s

    async def keep_photo(self, photo_id: str, channel: Channel, chat_id: str, jpeg: bytes) -> None:
        self._reach("keep_photo")
        self.photos[channel, chat_id, photo_id] = jpeg

    async def photo(self, photo_id: str, channel: Channel, chat_id: str) -> bytes | None:
        self._reach("photo")
        return self.photos.get((channel, chat_id, photo_id))

    async def pending(
        self,
        channel: Channel,
        *,
        older_than_s: float,  # noqa: ARG002  nothing here has an age
    ) -> list[Pending]:
        self._reach("pending")
        return self._waiting(channel)

    def _waiting(self, channel: Channel) -> list[Pending]:
        numbered = list(enumerate(self.inbox, start=1))
        return [
            Pending(inbox_id=number, chat_id=chat_id, update_id=update_id, incoming=incoming)
            for number, (came_by, chat_id, update_id, incoming) in numbered
            if number in self.open and came_by == channel
        ]

    async def conversation(self, channel: Channel, chat_id: str) -> Standing:
        self._reach("conversation")
        if chat_id in self.slow_chats:
            await self.slow_chats[chat_id].wait()
        standing = self.standings.get((channel, chat_id), Standing(version=0, state={}))
        waiting = self._waiting(channel)
        return replace(standing, pending=tuple(one for one in waiting if one.chat_id == chat_id))

    async def claim(self, channel: Channel, chat_id: str) -> Standing:
        return await self.conversation(channel, chat_id)

    async def let_go(self, channel: Channel, chat_id: str) -> None:  # noqa: ARG002
        self._reach("let_go")

    async def turn(
        self,
        channel: Channel,
        chat_id: str,
        *,
        inbox_id: int,
        version: int,
        state: dict[str, Any],
        messages: Iterable[Message],
        calls_owner: bool = False,  # noqa: ARG002  no desk is at the other end
        photo_id: str | None = None,  # noqa: ARG002  told when it was received
        stops: bool | None = None,  # noqa: ARG002  nothing is written unasked here
        lets_go: bool = False,  # noqa: ARG002  there is one process
    ) -> None:
        self._reach("turn")
        if inbox_id in self.stuck:
            raise ServiceUnavailable("turn")
        standing = self.standings.get((channel, chat_id), Standing(version=0, state={}))
        if inbox_id not in self.open:
            return
        if version != standing.version:
            raise TurnConflict
        self.open.discard(inbox_id)
        self.answered.append(inbox_id)
        self.standings[channel, chat_id] = Standing(version=version + 1, state=state)
        for message in messages:
            await self._show(channel, chat_id, "out", message, None)

    async def take_lead(
        self, channel: Channel, chat_id: str, submission: Submission, *, key: str
    ) -> None:
        self._reach("take_lead")
        self.leads.setdefault(key, (channel, chat_id, submission))

    async def messages(
        self, channel: Channel, chat_id: str, after: int = 0, wait_s: float = 0
    ) -> list[Shown]:
        self._reach("messages")

        def later() -> list[Shown]:
            return [one for one in self.shown.get((channel, chat_id), []) if one.seq > after]

        if wait_s and not later():
            async with self._news:
                try:
                    await asyncio.wait_for(self._news.wait_for(later), wait_s)
                except TimeoutError:
                    return []
        return later()

    async def say(self, channel: Channel, chat_id: str, message: Message) -> None:
        """A message that no turn brings, such as a ballpark."""
        await self._show(channel, chat_id, "out", message, None)

    def answer_once(self, inbox_id: int) -> bool:
        """Whether the update was still open; it is not any more."""
        was_open = inbox_id in self.open
        self.open.discard(inbox_id)
        return was_open

    def turns_of(self, chat_id: str) -> int:
        """How many turns a chat took."""
        return sum(
            standing.version for (_, chat), standing in self.standings.items() if chat == chat_id
        )

    async def _show(
        self,
        channel: Channel,
        chat_id: str,
        direction: Any,
        message: Message,
        update_id: str | None,
        photo_id: str | None = None,
    ) -> None:
        so_far = self.shown.setdefault((channel, chat_id), [])
        so_far.append(
            Shown(
                seq=len(so_far) + 1,
                direction=direction,
                kind=message.kind,
                text=message.text,
                buttons=message.buttons,
                asks=message.asks,
                at=STARTED,
                update_id=update_id,
                swatches=message.swatches,
                edits=message.edits,
                photo_id=photo_id,
            )
        )
        async with self._news:
            self._news.notify_all()

    def _reach(self, call: str) -> None:
        if call in self.down:
            raise ServiceUnavailable(call)
