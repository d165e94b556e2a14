"""Any text of any length, through the dialogue to Telegram: no request that it would refuse."""

import asyncio
import json
from collections.abc import Iterator
from dataclasses import dataclass, field
from itertools import count

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from telegram import Bot

from bot.dialogue.messages import Incoming, IncomingKind, Message
from bot.gateway import wire
from service.contract.talk import OutgoingMessage, Turn, Update
from tests.bot.dialogue.talking import WHOLE
from tests.bot.dialogue.walking import turn
from tests.bot_api import BotApiServer
from tests.bot_api.world import Call
from workers.channels.telegram import Telegram
from workers.pacing import Pacing

chats = count(501)

# Every character there is: NUL, halves of surrogate pairs, joiners, marks that turn the line.
words = st.text(st.characters(exclude_categories=[]), max_size=40)
plain = st.sampled_from(
    [WHOLE, "a hoop", "6 ft", "june 6", "sage and gold", "yes", "dos columnas", "no sé", "help"]
)
# As much as a channel lets through; repeated, since hypothesis prints its examples.
times = st.one_of(st.just(1), st.integers(1, 500))
MOST = 4096


@dataclass(frozen=True)
class Act:
    """What a client does, and with what words; `press` counts the buttons of the last message."""

    kind: IncomingKind | None
    words: str
    times: int
    aside: str
    press: int

    def incoming(self, shown: tuple[Message, ...], ref: str) -> Incoming:
        """The update that it comes as; the button's own value where there is one to press."""
        told = {"label": self.aside, "sender_name": self.aside, "locale": self.aside}
        if self.kind is not None:
            photo = "p1" if self.kind == "photo" else None
            text = self.words if self.kind == "button" else self.words * self.times
            return Incoming(kind=self.kind, text=text[:MOST], photo=photo, **told)
        values = [b.value for message in shown for b in message.buttons if b.value]
        value = values[self.press % len(values)] if values else "confirm"
        return Incoming(kind="button", text=value, message_ref=ref, **told)


kinds: st.SearchStrategy[IncomingKind | None] = st.sampled_from(
    [None, None, "text", "text", "text", "photo", "contact", "location", "button", "start", "other"]
)
acts = st.builds(Act, kinds, st.one_of(words, plain), times, words, st.integers(0, 40))


@dataclass
class Chat:
    """One chat with the bot: dialogue, wire and channel, one after the other."""

    api: BotApiServer
    channel: Telegram
    chat_id: int = field(default_factory=lambda: next(chats))
    state: str = "{}"
    shown: tuple[Message, ...] = ()
    after_share: bool = False
    language: str | None = None  # as the client last pressed it

    async def act(self, act: Act) -> None:
        sent = self.api.sent(self.chat_id)
        ref = str(sent[-1].message_id) if sent else ""
        incoming = act.incoming(self.shown, ref)
        if incoming.kind == "button" and incoming.text.startswith("language:"):
            self.language = incoming.text.removeprefix("language:")
        update = wire.update("telegram", str(self.chat_id), "1", incoming)
        update = Update.model_validate_json(update.model_dump_json())
        came = {name: getattr(update, name) for name in Incoming.__dataclass_fields__}
        outcome = turn(self.state, Incoming(**came))
        stored = Turn(
            inbox_id=1,
            version=1,
            state=outcome.state,
            messages=[wire.outgoing(message) for message in outcome.messages],
        )
        stored = Turn.model_validate_json(stored.model_dump_json())
        self.state = json.dumps(stored.state, allow_nan=False)
        self.shown = outcome.messages or self.shown
        for message in stored.messages:
            await self._deliver(message)

    async def _deliver(self, message: OutgoingMessage) -> None:
        await self.channel.send(str(self.chat_id), message, after_share=self.after_share)
        self.after_share = any(button.share is not None for button in message.buttons)


class Unhurried(Pacing):
    """How fast messages go out is no concern here."""

    async def wait_s(self, chat_id: str, messages: int = 1) -> float:  # noqa: ARG002
        return 0.0


@pytest.fixture(scope="module")
def api() -> Iterator[BotApiServer]:
    with BotApiServer() as server:
        yield server


@pytest.fixture(scope="module")
def runner() -> Iterator[asyncio.Runner]:
    with asyncio.Runner() as runner:
        yield runner


@pytest.fixture(scope="module")
def channel(api: BotApiServer, runner: asyncio.Runner) -> Iterator[Telegram]:
    channel = Telegram(Bot(api.token, base_url=f"{api.base_url}/bot"), Unhurried(None))
    yield channel
    runner.run(channel.aclose())


def refused(call: Call) -> bool:
    # An edit shows by its refusal that there is nothing to edit, and the message is sent anew.
    return call.status != 200 and call.method != "editMessageText"


@settings(max_examples=40, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(language=st.sampled_from(["en", "es"]), done=st.lists(acts, min_size=1, max_size=5))
def test_nothing_that_a_client_does_leads_to_a_request_that_is_refused(
    api: BotApiServer,
    runner: asyncio.Runner,
    channel: Telegram,
    language: str,
    done: list[Act],
) -> None:
    chat, calls = Chat(api, channel), len(api.calls)
    api.say(chat.chat_id, "hello")
    for act in (Act("button", f"language:{language}", 1, "", 0), *done):
        runner.run(chat.act(act))
    assert [call for call in api.calls[calls:] if refused(call)] == []
    assert api.sent(chat.chat_id)
    assert json.loads(chat.state)["language"] == chat.language
