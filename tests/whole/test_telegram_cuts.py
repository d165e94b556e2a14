"""A whole conversation on Telegram while the bot is killed between any two messages."""

import itertools
import os
import random
import re
import socket
import time
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st

from tests.bot_api import BotApiServer, Sent
from tests.whole.conftest import REFERENCE_DATE
from tests.whole.running import Running, running, wait_for

pytestmark = [pytest.mark.whole, pytest.mark.timeout(240)]

# What the client does, one thing after the other: types, or presses the newest button whose data
# begins so.
STEPS = (
    "hi, how much for balloons at our rowing club's anniversary?",
    "answer:1:support:0:hoop",
    "answer:1:size:0:hoop:72",
    "june 12",
    "actually, make it 7 ft",
    "02139",
    "answer:1:setting:indoor",
    "navy and white",
    "at 3 pm",
    "confirm:1",
)
_PATIENCE_S = 40.0
# Each takes half a minute: GARLANDRY_CUTS=50 for a long run.
EXAMPLES = int(os.environ.get("GARLANDRY_CUTS", "1"))


@dataclass(frozen=True, kw_only=True)
class Shop:
    """A running shop, the Bot API server beside it, and a new chat for every conversation."""

    running: Running
    api: BotApiServer
    chats: Iterator[int]


@pytest.fixture(scope="module")
def uncut(shop: Shop) -> int:
    """The chat of a conversation in which nobody is killed."""
    return _converse(shop, (), random.Random(0))


@pytest.fixture(scope="module", params=["polling", "webhook"])
def shop(
    request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory
) -> Iterator[Shop]:
    folder: Path = tmp_path_factory.mktemp(request.param)
    with BotApiServer() as api, running(folder, _settings(api, request.param)) as started:
        wait_for(lambda: api.calls_of("getMe") or None, "the bot introduces itself")
        yield Shop(running=started, api=api, chats=itertools.count(5001))


def _settings(api: BotApiServer, mode: str) -> dict[str, str]:
    plain = {
        "GARLANDRY_REFERENCE_DATE": REFERENCE_DATE,
        "GARLANDRY_TELEGRAM_TOKEN": api.token,
        "GARLANDRY_TELEGRAM_API": api.base_url,
    }
    if mode == "polling":
        return plain
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    return plain | {
        "GARLANDRY_TELEGRAM_WEBHOOK_URL": f"http://127.0.0.1:{port}/telegram",
        "GARLANDRY_TELEGRAM_WEBHOOK_SECRETS": "anchors-aweigh-since-1931",
        "GARLANDRY_TELEGRAM_WEBHOOK_PORT": str(port),
    }


def _converse(shop: Shop, cuts: Sequence[int], chances: random.Random) -> int:
    """The whole conversation in a chat of its own; the bot dies at the steps in `cuts`, some
    milliseconds before or after the client writes."""
    chat = next(shop.chats)
    for number, step in enumerate(STEPS):
        early, pause_s = chances.random() < 0.5, chances.uniform(0, 0.08)
        before = len(shop.api.sent(chat))
        if number in cuts and early:
            shop.running.kill("bot")
        _act(shop.api, chat, step)
        if number in cuts and not early:
            time.sleep(pause_s)
            shop.running.kill("bot")
        shop.api.wait_for_sent(chat, before + 1, _PATIENCE_S)
    wait_for(lambda: _priced(shop, chat), "the ballpark", timeout_s=_PATIENCE_S)
    time.sleep(0.5)  # a second copy of anything would come now
    return chat


def _priced(shop: Shop, chat: int) -> bool | None:
    return any("ballpark is $" in message.text for message in shop.api.sent(chat)) or None


def _act(api: BotApiServer, chat: int, step: str) -> None:
    if not re.match(r"(answer|confirm):", step):
        api.say(chat, step)
        return
    message_id, data = wait_for(
        lambda: _offered(api.sent(chat), step), f"a button {step}", timeout_s=_PATIENCE_S
    )
    api.press(chat, message_id, data)


def _offered(sent: Sequence[Sent], beginning: str) -> tuple[int, str] | None:
    for message in reversed(sent):
        for button in message.buttons:
            data = button.get("callback_data", "")
            if data.startswith(beginning):
                return message.message_id, data
    return None


def _said(shop: Shop, chat: int) -> list[str]:
    """What the bot said, without the addresses that are each request's own.

    That it is working on the price is left out: where the price is quicker, it is not said.
    """
    said = [re.sub(r"http://\S+", "…", message.text) for message in shop.api.sent(chat)]
    return [text for text in said if "Working it out" not in text]


def _brief(shop: Shop, chat: int) -> dict[str, Any]:
    """The brief of the chat's only lead."""
    with shop.running.api("owner") as owner:
        listed = owner.get("/v1/leads").json()["leads"]
        leads = [owner.get(f"/v1/leads/{one['lead_id']}").json() for one in listed]
    (lead,) = [lead for lead in leads if lead["chat_id"] == str(chat)]
    brief: dict[str, Any] = lead["brief"]
    return brief


@settings(
    max_examples=EXAMPLES,
    deadline=None,
    derandomize=True,
    phases=[Phase.generate],
    suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow],
)
@given(
    cuts=st.lists(st.integers(0, len(STEPS) - 1), min_size=3, max_size=5, unique=True),
    seed=st.integers(0, 2**16),
)
def test_a_bot_killed_anywhere_says_the_same_and_asks_nothing_twice(
    shop: Shop, uncut: int, cuts: list[int], seed: int
) -> None:
    cut = _converse(shop, cuts, random.Random(seed))
    assert _said(shop, cut) == _said(shop, uncut)
    assert _brief(shop, cut) == _brief(shop, uncut)
    # The server may still hold the dead bot's last poll, and says so to the next one; a press that
    # comes again has had its sign of life already.
    assert {call.method for call in shop.api.refused} <= {"getUpdates", "answerCallbackQuery"}


def test_what_was_written_while_the_bot_was_away_is_answered_in_order(shop: Shop) -> None:
    chat = next(shop.chats)
    shop.running.kill("bot")
    for text in ("a 6 ft hoop please", "june 12", "02139", "indoors"):
        shop.api.say(chat, text)
    wait_for(lambda: _asked(shop, chat)[3:] or None, "four answers", timeout_s=_PATIENCE_S)
    time.sleep(1.0)  # a fifth answer would be one too many
    assert _asked(shop, chat) == ["day", "where", "indoors", "colors"]


def _asked(shop: Shop, chat: int) -> list[str]:
    """What the bot's questions are about, by the word that each of them has."""
    said = " ".join(message.text for message in shop.api.sent(chat))
    return re.findall(r"\b(?:day|where|indoors|colors)\b(?=[^?]*\?)", said.lower())
