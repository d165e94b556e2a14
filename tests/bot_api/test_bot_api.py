"""The loopback Bot API server keeps the rules that the tests of the bot lean on."""

import asyncio
import time

import httpx
import pytest
import telegram
from telegram import InlineKeyboardButton, InlineKeyboardMarkup
from telegram.error import (
    BadRequest,
    Conflict,
    Forbidden,
    NetworkError,
    RetryAfter,
    TimedOut,
)

from tests.bot_api import BotApiServer
from tests.bot_api.conftest import a_bot, on


def test_an_offset_confirms_every_update_before_it(api: BotApiServer) -> None:
    first, second = api.say(501, "hello"), api.say(501, "are you there?")

    async def act(bot: telegram.Bot) -> None:
        assert [u.update_id for u in await bot.get_updates()] == [first, second]
        assert [u.update_id for u in await bot.get_updates()] == [first, second]
        assert [u.update_id for u in await bot.get_updates(offset=second)] == [second]
        assert await bot.get_updates(offset=second + 1) == ()

    on(api, act)
    assert api.unconfirmed == []


def test_a_long_poll_answers_as_soon_as_a_client_writes(api: BotApiServer) -> None:
    async def act(bot: telegram.Bot) -> None:
        poll = asyncio.create_task(bot.get_updates(timeout=10))
        await asyncio.sleep(0.1)
        assert not poll.done()
        api.say(501, "hello")
        (update,) = await asyncio.wait_for(poll, 2)
        assert update.message is not None
        assert update.message.text == "hello"

    on(api, act)


def test_a_second_poll_ends_the_first_with_a_conflict(api: BotApiServer) -> None:
    async def act(bot: telegram.Bot) -> None:
        first = asyncio.create_task(bot.get_updates(timeout=10))
        await asyncio.sleep(0.1)
        async with a_bot(api) as other:
            assert await other.get_updates(timeout=0) == ()
        with pytest.raises(Conflict):
            await first

    on(api, act)


@pytest.mark.parametrize(
    ("text", "accepted"),
    [("a" * 4096, True), ("a" * 4097, False), ("🎈" * 2048, True), ("🎈" * 2049, False)],
    ids=["4096 letters", "4097 letters", "2048 balloons", "2049 balloons"],
)
def test_text_is_counted_in_utf16_units(api: BotApiServer, text: str, accepted: bool) -> None:
    api.say(501, "hello")

    async def act(bot: telegram.Bot) -> None:
        if accepted:
            await bot.send_message(501, text)
        else:
            with pytest.raises(BadRequest, match="too long"):
                await bot.send_message(501, text)

    on(api, act)
    assert len(api.sent(501)) == int(accepted)


def test_text_that_looks_like_json_stays_text(api: BotApiServer) -> None:
    api.say(501, "hello")

    async def act(bot: telegram.Bot) -> None:
        await bot.send_message(501, "[1, 2]")

    on(api, act)
    assert api.sent(501)[0].text == "[1, 2]"


@pytest.mark.parametrize(
    "button",
    [
        InlineKeyboardButton("Long", callback_data="é" * 33),
        InlineKeyboardButton("Local", url="http://localhost:8620/q"),
        InlineKeyboardButton("Script", url="javascript:alert(1)"),
    ],
    ids=["66 bytes of data", "host without a dot", "not http"],
)
def test_a_bad_button_is_refused(api: BotApiServer, button: InlineKeyboardButton) -> None:
    api.say(501, "hello")

    async def act(bot: telegram.Bot) -> None:
        with pytest.raises(BadRequest):
            await bot.send_message(501, "Choose", reply_markup=InlineKeyboardMarkup([[button]]))

    on(api, act)
    assert api.sent(501) == []


def test_a_chat_that_never_wrote_is_unknown_and_a_blocked_one_is_closed(api: BotApiServer) -> None:
    api.say(501, "hello")
    api.block(501)

    async def act(bot: telegram.Bot) -> None:
        with pytest.raises(BadRequest, match=r"[Cc]hat not found"):
            await bot.send_message(999, "hello")
        with pytest.raises(Forbidden):
            await bot.send_chat_action(501, "typing")

    on(api, act)


def test_a_press_carries_the_message_and_is_answered_once(api: BotApiServer) -> None:
    api.say(501, "hello")
    keys = InlineKeyboardMarkup([[InlineKeyboardButton("Indoors", callback_data="setting:in")]])

    async def act(bot: telegram.Bot) -> None:
        message = await bot.send_message(501, "In or out?", reply_markup=keys)
        pressed = api.press(501, message.message_id, "setting:in")
        (update,) = await bot.get_updates(offset=pressed)
        assert update.callback_query is not None
        assert update.callback_query.data == "setting:in"
        await update.callback_query.answer()
        with pytest.raises(BadRequest):
            await update.callback_query.answer()
        await bot.edit_message_text("Indoors it is", 501, message.message_id)

    on(api, act)
    (seen,) = api.sent(501)
    assert (seen.text, seen.buttons, seen.edits) == ("Indoors it is", [], 1)


def test_trouble_comes_as_scripted_and_then_passes(api: BotApiServer) -> None:
    api.say(501, "hello")
    api.fail("sendMessage", 429, retry_after=3)
    api.stall("sendMessage", 1.0, after_effect=True)

    async def act(bot: telegram.Bot) -> None:
        with pytest.raises(RetryAfter) as asked:
            await bot.send_message(501, "one")
        assert asked.value._retry_after.total_seconds() == 3
        with pytest.raises(TimedOut):
            await bot.send_message(501, "two", read_timeout=0.2)
        await bot.send_message(501, "three")

    with pytest.MonkeyPatch.context() as env:
        env.setenv("PTB_TIMEDELTA", "true")
        on(api, act)
    assert [seen.text for seen in api.sent(501)] == ["two", "three"]
    assert [call.status for call in api.calls_of("sendMessage")][::2] == [429, 200]


def test_a_message_whose_answer_is_lost_is_there_all_the_same(api: BotApiServer) -> None:
    api.say(501, "hello")
    api.lose("sendMessage")

    async def act(bot: telegram.Bot) -> None:
        with pytest.raises(NetworkError):
            await bot.send_message(501, "one")
        await bot.send_message(501, "two")

    began = time.monotonic()
    on(api, act)
    first, second = api.sent(501)
    assert (first.text, second.text) == ("one", "two")
    assert began < first.at < second.at
    assert api.all_sent == [first, second]
    assert [call.status for call in api.calls_of("sendMessage")] == [0, 200]


def test_a_repeated_update_comes_again_whatever_the_offset(api: BotApiServer) -> None:
    first = api.say(501, "hello")
    assert api.latest_update == first

    async def act(bot: telegram.Bot) -> None:
        assert await bot.get_updates(offset=first + 1) == ()
        api.repeat(first)
        assert [u.update_id for u in await bot.get_updates(offset=first + 1)] == [first]
        assert await bot.get_updates(offset=first + 1) == ()

    on(api, act)


def test_a_wrong_token_or_method_is_told_apart(api: BotApiServer) -> None:
    def status(path: str) -> int:
        return httpx.get(f"{api.base_url}/{path}").status_code

    assert status(f"bot{api.token}/getMe") == 200
    assert status("bot7000000001:another/getMe") == 401
    assert status("botnonsense/getMe") == 404
    assert status(f"bot{api.token}/getEverything") == 404
