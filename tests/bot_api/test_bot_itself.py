"""What the bot tells the server of itself, what it fetches, and where it wants its updates."""

import asyncio
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

import httpx
import pytest
import telegram
import uvicorn
from starlette.applications import Starlette
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route
from telegram import BotCommand, BotCommandScopeAllPrivateChats, BotCommandScopeChat
from telegram.error import BadRequest, Conflict

from tests.bot_api import BotApiServer
from tests.bot_api.conftest import on

HELP = BotCommand("help", "How this works")
AYUDA = BotCommand("help", "Cómo funciona")
TODAY = BotCommand("today", "What is on today")
SECRET = "a-secret-of-the-webhook"


def test_commands_are_kept_by_scope_and_language_and_the_nearest_is_shown(
    api: BotApiServer,
) -> None:
    async def act(bot: telegram.Bot) -> None:
        private, owner = BotCommandScopeAllPrivateChats(), BotCommandScopeChat(502)
        assert await bot.get_my_commands(private) == ()
        await bot.set_my_commands([HELP], private)
        await bot.set_my_commands([AYUDA], private, "es")
        await bot.set_my_commands([TODAY, HELP], owner)
        assert await bot.get_my_commands(private, "es") == (AYUDA,)
        assert await bot.get_my_commands(owner) == (TODAY, HELP)
        assert await bot.get_my_commands() == ()

    api.say(502, "hello")
    on(api, act)
    assert api.described_commands(501, "fr") == {"help": "How this works"}
    assert api.described_commands(501, "es") == {"help": "Cómo funciona"}
    assert api.commands(502, "es") == ["today", "help"]


@pytest.mark.parametrize(
    ("commands", "scope", "language"),
    [
        ([BotCommand("Help", "x")], None, None),
        ([BotCommand("help", "x" * 257)], None, None),
        ([BotCommand("help", "")], None, None),
        ([HELP], BotCommandScopeChat(999), None),
        ([HELP], None, "spanish"),
    ],
    ids=["capital", "long", "empty", "unknown chat", "no language"],
)
def test_bad_commands_are_refused(
    api: BotApiServer, commands: list[BotCommand], scope: Any, language: str | None
) -> None:
    async def act(bot: telegram.Bot) -> None:
        with pytest.raises(BadRequest):
            await bot.set_my_commands(commands, scope, language)

    on(api, act)


def test_descriptions_are_kept_by_language_and_have_their_limits(api: BotApiServer) -> None:
    async def act(bot: telegram.Bot) -> None:
        await bot.set_my_description("Garlands")
        await bot.set_my_short_description("Guirnaldas", "es")
        assert (await bot.get_my_description()).description == "Garlands"
        assert (await bot.get_my_short_description("es")).short_description == "Guirnaldas"
        with pytest.raises(BadRequest):
            await bot.set_my_description("x" * 513)
        with pytest.raises(BadRequest):
            await bot.set_my_short_description("x" * 121)

    on(api, act)
    assert api.about("description", "es") == "Garlands"
    assert api.about("short_description", "en") == ""


def test_a_file_that_was_sent_can_be_had_until_it_is_lost(api: BotApiServer) -> None:
    async def act(bot: telegram.Bot) -> None:
        file = await bot.get_file("photo-1")
        assert await file.download_as_bytearray() == b"pixels"
        with pytest.raises(BadRequest, match="file_id"):
            await bot.get_file("photo-2")
        api.lose_file("photo-1")
        assert httpx.get(file.file_path or "").status_code == 404

    api.send_photo(501, data=b"pixels")
    on(api, act)


class Taker:
    """A webhook that answers as it is told, and keeps what it got."""

    def __init__(self) -> None:
        self.answers: list[int] = []
        self.got: list[tuple[int, str | None]] = []
        self.url = ""

    async def take(self, request: Request) -> Response:
        update = await request.json()
        secret = request.headers.get("x-telegram-bot-api-secret-token")
        self.got.append((update["update_id"], secret))
        return Response(status_code=self.answers.pop(0) if self.answers else 200)


@contextmanager
def taking() -> Iterator[Taker]:
    taker = Taker()
    app = Starlette(routes=[Route("/hook", taker.take, methods=["POST"])])
    config = uvicorn.Config(app, port=0, log_config=None, lifespan="off", log_level="critical")
    server = uvicorn.Server(config)
    thread = threading.Thread(target=server.run, daemon=True)
    thread.start()
    while not server.started:
        thread.join(0.01)
    taker.url = f"http://127.0.0.1:{server.servers[0].sockets[0].getsockname()[1]}/hook"
    yield taker
    server.should_exit = True
    thread.join(5)


async def until(api: BotApiServer, left: int = 0) -> None:
    async with asyncio.timeout(5):
        while len(api.unconfirmed) != left:
            await asyncio.sleep(0.01)


def test_updates_are_posted_with_the_secret_until_they_are_taken(api: BotApiServer) -> None:
    with taking() as taker:

        async def act(bot: telegram.Bot) -> None:
            taker.answers = [503, 403]
            await bot.set_webhook(taker.url, secret_token=SECRET, allowed_updates=["message"])
            first, second = api.say(501, "hello"), api.say(501, "are you there?")
            api.edit(501, "nobody asked for edits")
            await until(api)
            # In order, though the first had to be posted three times.
            assert [got for got, _ in taker.got] == [first] * 3 + [second]
            assert {secret for _, secret in taker.got} == {SECRET}
            assert api.hook_trouble == "Wrong response from the webhook: 403"

        on(api, act)


def test_a_chat_that_is_not_taken_holds_up_no_other(api: BotApiServer) -> None:
    with taking() as taker:

        async def act(bot: telegram.Bot) -> None:
            taker.answers = [503] * 3
            await bot.set_webhook(taker.url, secret_token=SECRET)
            first = api.say(501, "hello")
            while len(taker.got) < 2:
                await asyncio.sleep(0.01)
            other = api.say(502, "hello")
            await until(api)
            assert [got for got, _ in taker.got].index(other) < 4
            assert [got for got, _ in taker.got].count(first) >= 3

        on(api, act)


def test_a_webhook_and_polling_exclude_each_other(api: BotApiServer) -> None:
    async def act(bot: telegram.Bot) -> None:
        await bot.set_webhook("https://shop.test/telegram", secret_token=SECRET)
        assert (await bot.get_webhook_info()).url == "https://shop.test/telegram"
        with pytest.raises(Conflict):
            await bot.get_updates()
        await bot.delete_webhook()
        assert await bot.get_updates(timeout=0) == ()

    on(api, act)
    assert api.hook is None


@pytest.mark.parametrize(
    ("url", "more"),
    [
        ("http://shop.test/telegram", {}),
        ("https://shop.test:8622/telegram", {}),
        ("https://shop.test/telegram", {"secret_token": "not allowed!"}),
        ("https://shop.test/telegram", {"max_connections": 101}),
        ("https://shop.test/telegram", {"allowed_updates": ["gossip"]}),
    ],
    ids=["no https", "port", "secret", "connections", "kinds"],
)
def test_a_bad_webhook_is_refused(api: BotApiServer, url: str, more: dict[str, Any]) -> None:
    async def act(bot: telegram.Bot) -> None:
        with pytest.raises(BadRequest):
            await bot.set_webhook(url, **more)

    on(api, act)
    assert api.hook is None
