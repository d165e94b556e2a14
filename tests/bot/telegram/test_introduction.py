"""What Telegram shows of the bot before a word is said."""

import asyncio
import logging
from typing import Any

import pytest
from telegram import Bot

from bot.telegram import introduce, open_bot
from tests.bot.telegram.receiving import CANARY, PHRASEBOOK
from tests.bot.webchat.memory import CARD
from tests.bot_api import BotApiServer

CLIENTS = ["price", "back", "over", "status", "language", "person", "cancel", "help"]
SETTERS = ("setMyCommands", "setMyDescription", "setMyShortDescription")


def introduced(api: BotApiServer, *owners: str) -> None:
    async def run() -> None:
        async with open_bot(CANARY, api.base_url) as bot:
            await introduce(bot, PHRASEBOOK, CARD, owners)

    asyncio.run(run())


def told(api: BotApiServer) -> int:
    return sum(len(api.calls_of(method)) for method in SETTERS)


def test_clients_are_offered_the_commands_in_their_language(api: BotApiServer) -> None:
    introduced(api)
    english, spanish = (api.described_commands(501, language) for language in ("en", "es"))
    assert list(english) == list(spanish) == CLIENTS
    assert all(english[name] != spanish[name] for name in CLIENTS)
    assert api.described_commands(501, "de") == english


def test_the_owner_has_their_own_beside_them(api: BotApiServer) -> None:
    api.say(777, "hello")
    introduced(api, "777")
    for language in ("en", "es"):
        assert api.commands(777, language)[:2] == ["waiting", "today"]
        assert set(api.commands(777, language)) == {*CLIENTS, "waiting", "today"}
        assert api.commands(501, language) == CLIENTS


def test_the_description_names_the_shop(api: BotApiServer) -> None:
    introduced(api)
    for language in ("en", "es"):
        assert CARD.name in api.about("description", language)
        assert CARD.town in api.about("short_description", language)
    assert api.about("description", "en") != api.about("description", "es")


def test_only_what_differs_is_told_again(api: BotApiServer) -> None:
    api.say(777, "hello")
    introduced(api, "777")
    first = told(api)
    introduced(api, "777")
    assert told(api) == first > 0


def test_trouble_with_one_thing_stops_no_other(
    api: BotApiServer, caplog: pytest.LogCaptureFixture
) -> None:
    api.fail("getMyDescription", 500)
    api.fail("setMyCommands", 429, retry_after=900)
    caplog.set_level(logging.DEBUG)
    introduced(api, "999")  # a chat that the server does not know
    assert api.about("short_description", "en")
    assert api.commands(501, "es") == CLIENTS
    assert "not up to date" in caplog.text
    assert "canary" not in caplog.text


def test_an_answer_without_what_it_should_hold_stops_nothing(
    api: BotApiServer, caplog: pytest.LogCaptureFixture, monkeypatch: pytest.MonkeyPatch
) -> None:
    post = Bot._post

    async def answering(bot: Bot, endpoint: str, *sent: Any, **more: Any) -> Any:
        return {} if endpoint == "getMyDescription" else await post(bot, endpoint, *sent, **more)

    monkeypatch.setattr(Bot, "_post", answering)
    introduced(api)
    assert api.about("short_description", "es")
    assert api.commands(501, "en") == CLIENTS
    assert "not up to date (TypeError)" in caplog.text


def test_a_server_that_is_not_there_stops_nothing(caplog: pytest.LogCaptureFixture) -> None:
    async def run() -> None:
        bot = open_bot(CANARY, "http://127.0.0.1:9")
        await introduce(bot, PHRASEBOOK, CARD, ["777"])

    asyncio.run(run())
    assert "not up to date (NetworkError)" in caplog.text
