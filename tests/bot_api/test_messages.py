"""Messages, keyboards, pictures and edits: what the server takes and what it refuses."""

from collections.abc import Awaitable, Callable
from io import BytesIO
from typing import Any

import pytest
import telegram
from PIL import Image
from telegram import (
    InlineKeyboardButton,
    InlineKeyboardMarkup,
    KeyboardButton,
    MessageEntity,
    ReplyKeyboardMarkup,
    ReplyKeyboardRemove,
)
from telegram.error import BadRequest, RetryAfter

from tests.bot_api import BotApiServer
from tests.bot_api.conftest import on

CHAT = 501
GROUP = -77
YES = InlineKeyboardMarkup([[InlineKeyboardButton("Yes", callback_data="yes")]])
PLACE = ReplyKeyboardMarkup([[KeyboardButton("Here", request_location=True)], ["Not now"]])


def a_picture(width: int = 90, height: int = 60) -> bytes:
    encoded = BytesIO()
    Image.new("RGB", (width, height), "#a3b899").save(encoded, "PNG")
    return encoded.getvalue()


def keys(*sizes: int) -> InlineKeyboardMarkup:
    return InlineKeyboardMarkup(
        [[InlineKeyboardButton("x", callback_data="x")] * size for size in sizes]
    )


def refused(
    api: BotApiServer, call: Callable[[telegram.Bot], Awaitable[Any]], match: str = ""
) -> None:
    async def act(bot: telegram.Bot) -> None:
        with pytest.raises(BadRequest, match=f"(?i){match}"):
            await call(bot)

    api.say(CHAT, "hello")
    api.say_in_group(GROUP, CHAT, "hello")
    on(api, act)


@pytest.mark.parametrize("text", [" \n", "\u200b\u2060", "\u2800", "\u3164", "\ufeff", "\x01"])
def test_a_text_without_anything_to_see_is_refused(api: BotApiServer, text: str) -> None:
    refused(api, lambda bot: bot.send_message(CHAT, text), "empty")


@pytest.mark.parametrize("label", [" ", "\u200b", "\u2800"])
def test_a_label_without_anything_to_see_is_refused(api: BotApiServer, label: str) -> None:
    markup = InlineKeyboardMarkup([[InlineKeyboardButton(label, callback_data="x")]])
    refused(api, lambda bot: bot.send_message(CHAT, "Which?", reply_markup=markup), "non-empty")


@pytest.mark.parametrize(
    ("entity", "match"),
    [
        (MessageEntity("bold", 0, 0), "wrong offset or length"),
        (MessageEntity("bold", 3, 5), "beyond the end"),
        (MessageEntity("bold", 0, 1), "middle of a character"),
        (MessageEntity("glow", 0, 2), "wrong type"),
    ],
)
def test_a_wrong_entity_is_refused(api: BotApiServer, entity: MessageEntity, match: str) -> None:
    refused(api, lambda bot: bot.send_message(CHAT, "🎈 sage", entities=[entity]), match)


def test_a_keyboard_has_a_hundred_buttons_and_eight_side_by_side_at_most(
    api: BotApiServer,
) -> None:
    refused(api, lambda bot: bot.send_message(CHAT, "?", reply_markup=keys(9)), "side by side")
    refused(api, lambda bot: bot.send_message(CHAT, "?", reply_markup=keys(*[1] * 101)), "too long")

    async def act(bot: telegram.Bot) -> None:
        await bot.send_message(CHAT, "?", reply_markup=keys(*[8] * 12, 4))

    on(api, act)
    assert len(api.sent(CHAT)[-1].buttons) == 100


def test_a_reply_keyboard_stays_until_it_is_taken_away(api: BotApiServer) -> None:
    async def act(bot: telegram.Bot) -> None:
        await bot.send_message(CHAT, "Where?", reply_markup=PLACE)
        assert api.keys(CHAT) == [
            [{"text": "Here", "request_location": True}],
            [{"text": "Not now"}],
        ]
        await bot.send_message(CHAT, "Well?", reply_markup=YES)
        assert api.keys(CHAT)
        await bot.send_message(CHAT, "Thank you", reply_markup=ReplyKeyboardRemove())
        assert api.keys(CHAT) == []

    api.say(CHAT, "hello")
    on(api, act)


def test_pressing_a_key_says_its_label_or_shares_what_it_asks_for(api: BotApiServer) -> None:
    async def act(bot: telegram.Bot) -> None:
        await bot.send_message(CHAT, "Where?", reply_markup=PLACE)
        first = api.press_key(CHAT, "Not now")
        api.press_key(CHAT, "Here", latitude=42.4, longitude=-71.1)
        said, shared = await bot.get_updates(offset=first)
        assert said.message is not None
        assert shared.message is not None
        assert said.message.text == "Not now"
        assert shared.message.location is not None
        assert shared.message.location.latitude == 42.4

    api.say(CHAT, "hello")
    on(api, act)


def test_a_group_is_asked_for_no_place(api: BotApiServer) -> None:
    refused(api, lambda bot: bot.send_message(GROUP, "?", reply_markup=PLACE), "private chats only")


def test_a_picture_comes_with_a_caption_and_buttons(api: BotApiServer) -> None:
    async def act(bot: telegram.Bot) -> None:
        await bot.send_photo(CHAT, a_picture(), caption="Sage", reply_markup=YES)

    api.say(CHAT, "hello")
    on(api, act)
    [sent] = api.sent(CHAT)
    assert (sent.text, sent.photo) == ("Sage", a_picture())
    assert [button["text"] for button in sent.buttons] == ["Yes"]


@pytest.mark.parametrize(
    ("photo", "caption", "match"),
    [
        (a_picture(), "x" * 1025, "caption is too long"),
        (a_picture(), "🎈" * 513, "caption is too long"),
        (b"<svg/>", "Sage", "IMAGE_PROCESS_FAILED"),
        (a_picture(2100, 100), "Sage", "DIMENSIONS"),
        (a_picture(9990, 600), "Sage", "DIMENSIONS"),
    ],
    ids=["long", "long in units", "no picture", "too narrow", "too wide"],
)
def test_a_bad_picture_is_refused(
    api: BotApiServer, photo: bytes, caption: str, match: str
) -> None:
    refused(api, lambda bot: bot.send_photo(CHAT, photo, caption=caption), match)


def test_an_edit_changes_text_and_buttons(api: BotApiServer) -> None:
    async def act(bot: telegram.Bot) -> None:
        june = await bot.send_message(CHAT, "June", reply_markup=YES)
        await bot.edit_message_text("July", CHAT, june.message_id, reply_markup=YES)
        await bot.edit_message_reply_markup(CHAT, june.message_id)
        for same in (
            bot.edit_message_text("July", CHAT, june.message_id),
            bot.edit_message_reply_markup(CHAT, june.message_id),
        ):
            with pytest.raises(BadRequest, match="not modified"):
                await same

    api.say(CHAT, "hello")
    on(api, act)
    [sent] = api.sent(CHAT)
    assert (sent.text, sent.rows, sent.edits) == ("July", [], 2)


def test_what_cannot_be_edited_is_refused(api: BotApiServer) -> None:
    async def act(bot: telegram.Bot) -> None:
        picture = await bot.send_photo(CHAT, a_picture(), caption="Sage")
        asking = await bot.send_message(CHAT, "Where?", reply_markup=PLACE)
        taking = await bot.send_message(CHAT, "Well", reply_markup=ReplyKeyboardRemove())
        for message_id, match in (
            (picture.message_id, "no text"),
            (asking.message_id, "can't be edited"),
            (taking.message_id, "can't be edited"),
            (999, "not found"),
        ):
            with pytest.raises(BadRequest, match=match):
                await bot.edit_message_text("July", CHAT, message_id)

    api.say(CHAT, "hello")
    on(api, act)


def test_a_press_is_answered_within_fifteen_seconds_or_not_at_all(api: BotApiServer) -> None:
    async def act(bot: telegram.Bot) -> None:
        message = await bot.send_message(CHAT, "Well?", reply_markup=YES)
        pressed = api.press(CHAT, message.message_id, "yes", old=True)
        (update,) = await bot.get_updates(offset=pressed)
        assert update.callback_query is not None
        assert update.callback_query.message is not None
        assert "text" not in update.callback_query.message.to_dict()
        api.tarry(16)
        with pytest.raises(BadRequest, match="too old"):
            await update.callback_query.answer()

    api.say(CHAT, "hello")
    on(api, act)


def test_a_flooded_chat_is_closed_for_a_while_and_no_other(api: BotApiServer) -> None:
    async def act(bot: telegram.Bot) -> None:
        api.flood(CHAT, 0.4)
        with pytest.raises(RetryAfter):
            await bot.send_message(CHAT, "one")
        await bot.send_message(502, "two")

    with pytest.MonkeyPatch.context() as env:
        env.setenv("PTB_TIMEDELTA", "true")
        api.say(CHAT, "hello")
        api.say(502, "hello")
        on(api, act)
    assert [sent.text for sent in api.sent(502)] == ["two"]


@pytest.mark.parametrize(("chat_id", "most"), [(CHAT, 8), (GROUP, 20)])
def test_with_limits_a_burst_in_one_chat_ends(chat_id: int, most: int) -> None:
    async def act(bot: telegram.Bot) -> None:
        for number in range(most):
            await bot.send_message(chat_id, f"{number}")
        with pytest.raises(RetryAfter):
            await bot.send_message(chat_id, "one more")

    with pytest.MonkeyPatch.context() as env, BotApiServer(limited=True) as limited:
        env.setenv("PTB_TIMEDELTA", "true")
        limited.say(CHAT, "hello")
        limited.say_in_group(GROUP, CHAT, "hello")
        on(limited, act)
