"""Signs of life: presses answered, typing shown, buttons that have served taken away."""

import asyncio

import pytest
from telegram import InlineKeyboardButton, InlineKeyboardMarkup

from bot.telegram import courtesies, open_bot
from tests.bot.telegram.receiving import CANARY, receiving, until
from tests.bot.webchat.memory import MemoryGateway
from tests.bot_api import BotApiServer, Sent

LINK = InlineKeyboardButton("Our page", url="https://shop.test/")


def pressed(
    api: BotApiServer,
    data: str,
    *others: InlineKeyboardButton,
    old: bool = False,
) -> Sent:
    """The message under which a client pressed `data`, once the press was answered."""
    gateway = MemoryGateway()

    async def scenario() -> None:
        api.say(501, "hello")
        async with receiving(api, gateway), open_bot(CANARY, api.base_url) as bot:
            await until(lambda: gateway.turns_of("501") == 1)
            rows = [[InlineKeyboardButton("This", callback_data=data)], [*others]]
            message = await bot.send_message(501, "Which?", reply_markup=InlineKeyboardMarkup(rows))
            api.press(501, message.message_id, data, old=old)
            await until(lambda: gateway.turns_of("501") == 2 and not api.unconfirmed)
            await until(lambda: len(api.calls_of("answerCallbackQuery")) == 1)
            await asyncio.sleep(0.1)  # both courtesies begin at once
            await until(lambda: all(call.status for call in api.calls if _is_quick(call.method)))

    asyncio.run(scenario())
    assert gateway.inbox[-1][3].message_ref == str(api.sent(501)[0].message_id)
    return api.sent(501)[0]


def _is_quick(method: str) -> bool:
    return method != "getUpdates"


@pytest.mark.parametrize(
    "data",
    [
        "answer:1:setting:indoor",
        "skip:1:budget",
        "confirm:1:3",
        "restart:1",
        "cancel:1",
        "back:1",
    ],
)
def test_a_question_that_was_answered_loses_its_buttons(api: BotApiServer, data: str) -> None:
    assert pressed(api, data).buttons == []


@pytest.mark.parametrize(
    "data",
    [
        "page:1:date:2027-07",
        "changes:1",
        "edit:1:date",
        "still",
        "options",
        "language:es",
        "lead:7:send",
    ],
)
def test_what_leads_on_keeps_its_buttons(api: BotApiServer, data: str) -> None:
    assert [button["text"] for button in pressed(api, data).buttons] == ["This"]


def test_links_stay(api: BotApiServer) -> None:
    other = InlineKeyboardButton("That", callback_data="answer:1:setting:outdoor")
    sent = pressed(api, "answer:1:setting:indoor", other, LINK)
    assert sent.rows == [[{"text": "Our page", "url": "https://shop.test/"}]]


def test_a_press_under_a_message_too_old_to_see_is_answered_all_the_same(
    api: BotApiServer,
) -> None:
    assert pressed(api, "answer:1:setting:indoor", old=True).edits == 0


def test_a_press_that_waited_too_long_still_gets_its_turn(api: BotApiServer) -> None:
    api.fail("answerCallbackQuery", 400)
    pressed(api, "answer:1:setting:indoor")
    assert api.calls_of("answerCallbackQuery")[0].status == 400


def test_buttons_that_cannot_be_taken_away_cost_no_turn(api: BotApiServer) -> None:
    api.fail("editMessageReplyMarkup", 400)
    assert pressed(api, "answer:1:setting:indoor").buttons != []


def test_nobody_types_at_a_field_that_does_nothing(api: BotApiServer) -> None:
    pressed(api, "still")
    assert len(api.calls_of("sendChatAction")) == 1  # that was for the hello


def test_typing_goes_on_as_long_as_the_turn(
    api: BotApiServer, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(courtesies, "_TYPING_LASTS_S", 0.05)

    async def scenario() -> None:
        gateway = MemoryGateway()
        gateway.slow_chats["501"] = asyncio.Event()
        async with receiving(api, gateway):
            api.say(501, "hello")
            await until(lambda: len(api.calls_of("sendChatAction")) >= 4)
            gateway.slow_chats["501"].set()
            await until(lambda: gateway.turns_of("501") == 1)
            shown = len(api.calls_of("sendChatAction"))
            await asyncio.sleep(0.3)
            assert len(api.calls_of("sendChatAction")) <= shown + 1

    asyncio.run(scenario())
