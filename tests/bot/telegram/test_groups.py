"""In groups the bot says where to write to it, when it is asked, and nothing else."""

import asyncio

import pytest

from tests.bot.telegram.receiving import CANARY, receiving, until
from tests.bot.webchat.memory import MemoryGateway
from tests.bot_api import BotApiServer

GROUP = -77
LATER_GROUP = -78


def said_in_group(
    api: BotApiServer, *texts: str, language: str = "en", answers: int = 0
) -> list[str]:
    """What the bot answers in the group once it has heard all of it, and that many `answers`.

    Groups are answered beside the chats: only the answer in a group that asks later tells that
    the earlier one has been thought over.
    """
    gateway = MemoryGateway()

    async def scenario() -> None:
        async with receiving(api, gateway):
            for text in texts:
                api.say_in_group(GROUP, 501, text, language=language)
            api.say_in_group(LATER_GROUP, 501, "/start")
            api.say(502, "hello")
            await until(lambda: len(api.sent(GROUP)) >= answers and bool(api.sent(LATER_GROUP)))
            await until(lambda: gateway.turns_of("502") == 1 and not api.unconfirmed)

    asyncio.run(scenario())
    assert {chat for _, chat, _, _ in gateway.inbox} == {"502"}
    return [sent.text for sent in api.sent(GROUP)]


@pytest.mark.parametrize(
    "text",
    ["/start", "/start@ribbon_bot", "/price@Ribbon_Bot", "@ribbon_bot how much for an arch?"],
)
def test_who_addresses_it_hears_where_prices_are_given(api: BotApiServer, text: str) -> None:
    [said] = said_in_group(api, text, answers=1)
    assert "https://t.me/ribbon_bot" in said
    assert "\n" not in said


@pytest.mark.parametrize(
    "text",
    ["how much for an arch?", "/price", "/start@another_bot", "write to @ribbon_bots", "/started"],
)
def test_other_talk_is_left_alone(api: BotApiServer, text: str) -> None:
    assert said_in_group(api, text) == []


def test_it_says_so_once_a_day(api: BotApiServer) -> None:
    texts = ("/start", "@ribbon_bot hello?", "/help@ribbon_bot")
    assert len(said_in_group(api, *texts, answers=1)) == 1


def test_it_says_so_in_the_language_of_who_asked(api: BotApiServer) -> None:
    [english] = said_in_group(api, "/start", answers=1)
    with BotApiServer(CANARY) as another:
        [spanish] = said_in_group(another, "/start", language="es-MX", answers=1)
    assert spanish != english
    assert "t.me/ribbon_bot" in spanish


def test_a_group_it_may_not_write_in_does_not_stop_it(api: BotApiServer) -> None:
    api.fail("sendMessage", 403, chat_id=GROUP)
    assert said_in_group(api, "/start") == []
