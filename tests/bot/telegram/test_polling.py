"""Receiving: committed before confirmed, answered once, whatever breaks in between."""

import asyncio
import logging

import pytest
from telegram import InlineKeyboardButton, InlineKeyboardMarkup

from bot.telegram import Polling, open_bot
from bot.turns import Turns
from tests.bot.telegram.receiving import CANARY, PHRASEBOOK, clock, receiving, until
from tests.bot.webchat.memory import MemoryGateway
from tests.bot_api import BotApiServer


def keys(label: str, value: str) -> InlineKeyboardMarkup:
    return InlineKeyboardMarkup([[InlineKeyboardButton(label, callback_data=value)]])


def texts(gateway: MemoryGateway) -> list[str]:
    return [incoming.text for _, _, _, incoming in gateway.inbox]


def test_an_update_is_committed_then_confirmed_then_answered(api: BotApiServer) -> None:
    async def scenario() -> None:
        gateway = MemoryGateway()
        async with receiving(api, gateway):
            update_id = api.say(501, "how much for an arch?")
            await until(lambda: gateway.turns_of("501") == 1 and not api.unconfirmed)
            await until(lambda: len(api.calls_of("sendChatAction")) > 0)
        assert [(c, chat, u) for c, chat, u, _ in gateway.inbox] == [
            ("telegram", "501", str(update_id))
        ]
        assert api.calls_of("sendChatAction")[0].params == {"chat_id": "501", "action": "typing"}
        # The conversation's messages leave through the ledger, never from here.
        assert api.calls_of("sendMessage") == []

    asyncio.run(scenario())


def test_the_offset_stands_still_while_the_service_is_down(api: BotApiServer) -> None:
    async def scenario() -> None:
        gateway = MemoryGateway()
        gateway.down.add("receive")
        update_id = api.say(501, "hello")
        async with receiving(api, gateway):
            await until(lambda: len(api.calls_of("getUpdates")) >= 4)
            assert api.unconfirmed == [update_id]
            assert {call.params.get("offset", "0") for call in api.calls_of("getUpdates")} == {"0"}
            gateway.down.clear()
            await until(lambda: not api.unconfirmed)
        assert texts(gateway) == ["hello"]

    asyncio.run(scenario())


def test_a_commit_whose_answer_was_lost_is_made_once(api: BotApiServer) -> None:
    async def scenario() -> None:
        gateway = MemoryGateway()
        gateway.answer_lost.add("receive")
        api.say(501, "hello")
        async with receiving(api, gateway):
            await until(lambda: gateway.turns_of("501") == 1 and not api.unconfirmed)
        assert texts(gateway) == ["hello"]

    asyncio.run(scenario())


def test_an_update_that_comes_twice_is_answered_once(api: BotApiServer) -> None:
    async def scenario() -> None:
        gateway = MemoryGateway()
        async with receiving(api, gateway):
            update_id = api.say(501, "hello")
            await until(lambda: gateway.turns_of("501") == 1)
            api.repeat(update_id)
            api.say(501, "are you there?")
            await until(lambda: gateway.turns_of("501") == 2 and not api.unconfirmed)
        assert texts(gateway) == ["hello", "are you there?"]

    asyncio.run(scenario())


def test_what_was_committed_before_a_restart_is_answered_after_it(api: BotApiServer) -> None:
    async def scenario() -> None:
        gateway = MemoryGateway()
        gateway.down.add("turn")
        api.say(501, "hello")
        async with receiving(api, gateway):
            await until(lambda: not api.unconfirmed)
        assert (texts(gateway), gateway.turns_of("501")) == (["hello"], 0)
        gateway.down.clear()
        async with receiving(api, gateway) as turns:
            assert await turns.replay("telegram", 0) == 1
            api.say(501, "still there?")
            await until(lambda: gateway.turns_of("501") == 2)
        assert texts(gateway) == ["hello", "still there?"]

    asyncio.run(scenario())


def test_a_turn_waits_for_the_service_and_keeps_its_place(api: BotApiServer) -> None:
    async def scenario() -> None:
        gateway = MemoryGateway()
        gateway.stuck.add(1)
        async with receiving(api, gateway):
            api.say(501, "first")
            api.say(501, "second")
            api.say(502, "elsewhere")
            await until(lambda: not api.unconfirmed and bool(gateway.answered))
            await asyncio.sleep(0.2)  # ten waits long: the second could have been answered
            assert gateway.answered == [3]
            gateway.stuck.clear()
            await until(lambda: not gateway.open)
        assert gateway.answered == [3, 1, 2]

    asyncio.run(scenario())


def test_a_slow_chat_holds_up_no_other(api: BotApiServer) -> None:
    async def scenario() -> None:
        gateway = MemoryGateway()
        gateway.slow_chats["501"] = asyncio.Event()
        async with receiving(api, gateway):
            api.say(501, "first")
            api.say(501, "second")
            api.say(502, "hello")
            await until(lambda: gateway.turns_of("502") == 1)
            assert gateway.turns_of("501") == 0
            gateway.slow_chats["501"].set()
            await until(lambda: gateway.turns_of("501") == 2)

    asyncio.run(scenario())


def test_a_press_is_acknowledged_and_arrives_with_its_label(api: BotApiServer) -> None:
    async def scenario() -> None:
        gateway = MemoryGateway()
        api.say(501, "hello")
        async with receiving(api, gateway):
            await until(lambda: gateway.turns_of("501") == 1)
            async with open_bot(CANARY, api.base_url) as bot:
                message = await bot.send_message(501, "Where?", reply_markup=keys("Indoors", "in"))
            api.press(501, message.message_id, "in")
            await until(lambda: gateway.turns_of("501") == 2)
            await until(lambda: bool(api.calls_of("answerCallbackQuery")))
        incoming = gateway.inbox[-1][3]
        assert (incoming.kind, incoming.text, incoming.label) == ("button", "in", "Indoors")

    asyncio.run(scenario())


def test_a_chat_that_blocked_the_bot_does_not_stop_receiving(api: BotApiServer) -> None:
    async def scenario() -> None:
        gateway = MemoryGateway()
        async with receiving(api, gateway):
            api.say(501, "hello")
            api.block(501)
            api.say(502, "hello")
            await until(lambda: gateway.turns_of("502") == 1)
        assert texts(gateway) == ["hello", "hello"]

    asyncio.run(scenario())


@pytest.mark.parametrize(
    ("status", "told"),
    [(500, "cannot be reached"), (409, "another program"), (429, "asks for a pause")],
)
def test_trouble_at_telegrams_end_is_told_and_passes(
    api: BotApiServer, caplog: pytest.LogCaptureFixture, status: int, told: str
) -> None:
    async def scenario() -> None:
        gateway = MemoryGateway()
        retry_after = 1 if status == 429 else None
        api.fail("getUpdates", status, retry_after=retry_after, times=2 if status != 429 else 1)
        async with receiving(api, gateway):
            api.say(501, "hello")
            await until(lambda: gateway.turns_of("501") == 1)

    caplog.set_level(logging.INFO)
    asyncio.run(scenario())
    assert told in caplog.text
    assert "receiving again" in caplog.text
    if status == 429:
        first, second = api.calls_of("getUpdates")[:2]
        assert second.at - first.at >= 1


def test_a_refused_token_ends_receiving_and_says_which_setting(
    api: BotApiServer, caplog: pytest.LogCaptureFixture
) -> None:
    wrong = "7000000003:canary-of-another-colour"

    async def scenario() -> None:
        bot = open_bot(wrong, api.base_url)
        async with asyncio.timeout(5):
            await Polling(bot, Turns(MemoryGateway(), clock, PHRASEBOOK), PHRASEBOOK).run()

    caplog.set_level(logging.DEBUG)
    asyncio.run(scenario())
    assert "GARLANDRY_TELEGRAM_TOKEN" in caplog.text
    assert "canary" not in caplog.text


def test_the_token_is_in_no_log_line_at_debug(
    api: BotApiServer, caplog: pytest.LogCaptureFixture
) -> None:
    async def scenario() -> None:
        gateway = MemoryGateway()
        for status in (500, 409):
            api.fail("getUpdates", status)
        api.fail("getMe", 502)
        api.fail("sendChatAction", 400)
        async with receiving(api, gateway):
            api.say(501, "hello")
            await until(lambda: gateway.turns_of("501") == 1 and not api.unconfirmed)

    caplog.set_level(logging.DEBUG)
    asyncio.run(scenario())
    assert len(caplog.records) >= 4  # three troubles and a recovery at least: the log is not off
    assert "canary" not in caplog.text
    assert all("canary" not in repr(vars(record)) for record in caplog.records)


def test_a_server_that_is_not_there_is_waited_for(caplog: pytest.LogCaptureFixture) -> None:
    async def scenario() -> None:
        bot = open_bot(CANARY, "http://127.0.0.1:9")
        polling = Polling(
            bot, Turns(MemoryGateway(), clock, PHRASEBOOK), PHRASEBOOK, pauses_s=(0.01,)
        )
        task = asyncio.create_task(polling.run())
        await until(lambda: caplog.text.count("Trying again") >= 3)
        task.cancel()
        await asyncio.wait([task], timeout=2)
        assert task.cancelled()

    caplog.set_level(logging.DEBUG)
    asyncio.run(scenario())
    assert "canary" not in caplog.text


def test_nothing_is_left_running_after_the_end(api: BotApiServer) -> None:
    async def scenario() -> None:
        gateway = MemoryGateway()
        gateway.slow_chats["501"] = asyncio.Event()
        async with receiving(api, gateway):
            api.say(501, "hello")
            await until(lambda: len(gateway.inbox) == 1)
        assert asyncio.all_tasks() == {asyncio.current_task()}

    asyncio.run(scenario())
