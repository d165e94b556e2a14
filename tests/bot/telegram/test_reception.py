"""What one message brings about stops nobody else's, and not the receiving either."""

import asyncio
from typing import Any

import httpx
import pytest

from bot.dialogue.messages import Incoming
from bot.gateway import Channel, Received, ServiceRefused
from service.contract.estimate import Problem
from tests.bot.telegram.receiving import SECRET, hooked, receiving, until
from tests.bot.webchat.memory import MemoryGateway
from tests.bot_api import BotApiServer

GROUP = -77
SIGNED = {"X-Telegram-Bot-Api-Secret-Token": SECRET}


class Choosy(MemoryGateway):
    """A gateway whose service cannot store some words."""

    def __init__(self, *, status: int) -> None:
        super().__init__()
        self.status = status

    async def receive(
        self,
        channel: Channel,
        chat_id: str,
        update_id: str,
        incoming: Incoming,
        *,
        claims: bool = False,
    ) -> Received:
        if "unheard-of" in incoming.text:
            raise ServiceRefused(Problem(title="cannot be stored", status=self.status))
        return await super().receive(channel, chat_id, update_id, incoming, claims=claims)


def group_message(update_id: int, text: str, *entities: dict[str, Any]) -> dict[str, Any]:
    return {
        "update_id": update_id,
        "message": {
            "message_id": update_id,
            "date": 1_800_000_000,
            "chat": {"id": GROUP, "type": "group", "title": "The rowing club"},
            "from": {"id": 501, "is_bot": False, "first_name": "Robin"},
            "text": text,
            "entities": list(entities),
        },
    }


def test_what_cannot_be_stored_is_answered_as_not_understood_and_holds_up_nobody(
    api: BotApiServer,
) -> None:
    gateway = Choosy(status=422)

    async def scenario() -> None:
        async with receiving(api, gateway):
            api.say(501, "an unheard-of arch")
            api.say(502, "hello")
            await until(lambda: not api.unconfirmed and not gateway.open)

    asyncio.run(scenario())
    assert [(chat, i.kind, i.text) for _, chat, _, i in gateway.inbox] == [
        ("501", "other", ""),
        ("502", "text", "hello"),
    ]
    assert [each.direction for each in gateway.shown["telegram", "501"]] == ["in", "out"]


def test_a_service_that_refuses_the_bot_itself_is_waited_for(api: BotApiServer) -> None:
    gateway = Choosy(status=403)

    async def scenario() -> None:
        async with receiving(api, gateway):
            update_id = api.say(501, "an unheard-of arch")
            await until(lambda: len(api.calls_of("getUpdates")) >= 3)
            assert api.unconfirmed == [update_id]

    asyncio.run(scenario())
    assert gateway.inbox == []


def test_a_group_that_writes_before_the_bot_knows_its_own_name_does_not_stop_it(
    api: BotApiServer, caplog: pytest.LogCaptureFixture
) -> None:
    gateway = MemoryGateway()

    async def scenario() -> None:
        async with hooked(api, gateway), httpx.AsyncClient() as http:
            # Another process, while Telegram does not say who it is.
            api.fail("getMe", 502, times=1000)
            async with hooked(api, gateway) as second:
                command = {"type": "bot_command", "offset": 0, "length": 6}
                update = group_message(41, "/price", command)
                assert (await http.post(second, json=update, headers=SIGNED)).is_success
                await until(lambda: "left out" in caplog.text)
                alive = second.removesuffix("/telegram") + "/healthz"
                assert (await http.get(alive)).is_success

    asyncio.run(scenario())


@pytest.mark.parametrize(
    ("offset", "length"), [(0, 1), (1, 1), (0, 99)], ids=["half", "other half", "too long"]
)
def test_an_entity_that_does_not_fit_its_text_does_not_stop_it(
    api: BotApiServer, offset: int, length: int
) -> None:
    gateway = MemoryGateway()

    async def scenario() -> None:
        async with hooked(api, gateway) as address, httpx.AsyncClient() as http:
            mention = {"type": "mention", "offset": offset, "length": length}
            update = group_message(41, "🎈", mention)
            assert (await http.post(address, json=update, headers=SIGNED)).is_success
            api.say(502, "hello")
            await until(lambda: gateway.turns_of("502") == 1)

    asyncio.run(scenario())
