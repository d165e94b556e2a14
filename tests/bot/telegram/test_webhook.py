"""Receiving by webhook: committed before the 200, posted again otherwise, from Telegram only."""

import asyncio
import logging
import socket
from collections.abc import Awaitable, Callable
from typing import Any

import httpx
import pytest

from bot.telegram import Webhook, open_bot, secrets_in
from bot.turns import Turns
from tests.bot.telegram.receiving import CANARY, PHRASEBOOK, SECRET, clock, hooked, receiving, until
from tests.bot.webchat.memory import MemoryGateway
from tests.bot_api import BotApiServer

HEADER = "X-Telegram-Bot-Api-Secret-Token"
UPDATE: dict[str, Any] = {
    "update_id": 41,
    "message": {
        "message_id": 7,
        "date": 1_800_000_000,
        "chat": {"id": 501, "type": "private", "first_name": "Robin"},
        "from": {"id": 501, "is_bot": False, "first_name": "Robin"},
        "text": "hello",
    },
}
SIGNED = {HEADER: SECRET}
Scenario = Callable[[MemoryGateway, str, httpx.AsyncClient], Awaitable[None]]


def with_hook(api: BotApiServer, scenario: Scenario, **settings: Any) -> MemoryGateway:
    gateway = MemoryGateway()

    async def run() -> None:
        async with hooked(api, gateway, **settings) as address, httpx.AsyncClient() as http:
            await scenario(gateway, address, http)

    asyncio.run(run())
    return gateway


def texts(gateway: MemoryGateway) -> list[str]:
    return [incoming.text for _, _, _, incoming in gateway.inbox]


def test_telegram_hears_where_to_post_and_with_what_secret(api: BotApiServer) -> None:
    async def scenario(gateway: MemoryGateway, address: str, http: httpx.AsyncClient) -> None:
        told = api.calls_of("setWebhook")[0].params
        assert (told["url"], told["secret_token"]) == (address, SECRET)
        assert told["allowed_updates"] == ["message", "callback_query"]
        assert int(told["max_connections"]) >= 10

    with_hook(api, scenario)


def test_posted_updates_are_answered_in_the_order_of_their_chat(api: BotApiServer) -> None:
    async def scenario(gateway: MemoryGateway, address: str, http: httpx.AsyncClient) -> None:
        for text in ("hello", "an arch", "June 6"):
            api.say(501, text)
        api.say(502, "hello")
        await until(lambda: gateway.turns_of("501") == 3 and gateway.turns_of("502") == 1)
        await until(lambda: not api.unconfirmed)

    gateway = with_hook(api, scenario)
    assert [i.text for _, chat, _, i in gateway.inbox if chat == "501"] == [
        "hello",
        "an arch",
        "June 6",
    ]


def test_an_update_that_cannot_be_committed_comes_again(api: BotApiServer) -> None:
    async def scenario(gateway: MemoryGateway, address: str, http: httpx.AsyncClient) -> None:
        gateway.down.add("receive")
        update_id = api.say(501, "hello")
        await until(lambda: (api.hook_trouble or "").endswith("503"))
        assert api.unconfirmed == [update_id]
        gateway.down.clear()
        await until(lambda: gateway.turns_of("501") == 1 and not api.unconfirmed)

    assert texts(with_hook(api, scenario)) == ["hello"]


def test_a_commit_whose_answer_was_lost_is_made_once(api: BotApiServer) -> None:
    async def scenario(gateway: MemoryGateway, address: str, http: httpx.AsyncClient) -> None:
        gateway.answer_lost.add("receive")
        api.say(501, "hello")
        await until(lambda: gateway.turns_of("501") == 1 and not api.unconfirmed)

    assert texts(with_hook(api, scenario)) == ["hello"]


def test_the_200_waits_for_the_commit_and_not_for_the_turn(api: BotApiServer) -> None:
    async def scenario(gateway: MemoryGateway, address: str, http: httpx.AsyncClient) -> None:
        gateway.slow_chats["501"] = asyncio.Event()
        answer = await http.post(address, json=UPDATE, headers=SIGNED)
        assert (answer.status_code, answer.content) == (200, b"")
        assert (texts(gateway), gateway.turns_of("501")) == (["hello"], 0)
        gateway.slow_chats["501"].set()
        await until(lambda: gateway.turns_of("501") == 1)

    with_hook(api, scenario)


@pytest.mark.parametrize(
    "headers",
    [{}, {HEADER: ""}, {HEADER: "not-the-secret-of-it"}, {HEADER: SECRET + "x"}, {HEADER: "\xf1"}],
    ids=["none", "empty", "another", "longer", "not ascii"],
)
def test_without_the_secret_nothing_is_taken_and_nothing_is_said(
    api: BotApiServer, headers: dict[str, str]
) -> None:
    async def scenario(gateway: MemoryGateway, address: str, http: httpx.AsyncClient) -> None:
        raw = [(name.encode(), value.encode("latin-1")) for name, value in headers.items()]
        answer = await http.post(address, json=UPDATE, headers=raw)
        assert (answer.status_code, answer.content) == (403, b"")

    assert texts(with_hook(api, scenario)) == []


def test_two_secrets_are_taken_while_one_follows_the_other(api: BotApiServer) -> None:
    old = "the-secret-before-it"

    async def scenario(gateway: MemoryGateway, address: str, http: httpx.AsyncClient) -> None:
        assert api.calls_of("setWebhook")[0].params["secret_token"] == SECRET
        for number, secret in enumerate((SECRET, old)):
            update = {**UPDATE, "update_id": number}
            answer = await http.post(address, json=update, headers={HEADER: secret})
            assert answer.status_code == 200

    assert texts(with_hook(api, scenario, secrets=(SECRET, old))) == ["hello", "hello"]


@pytest.mark.parametrize(
    ("body", "status"),
    [
        (b"", 400),
        (b"hello", 400),
        (b"[]", 400),
        (b'{"update_id": "x", "message": 3}', 400),
        (b"[" * 5_000, 400),
        (b'"' + b"x" * 1_000_001 + b'"', 413),
    ],
    ids=["empty", "no json", "no update", "wrong fields", "deep", "too large"],
)
def test_what_is_no_update_is_refused(api: BotApiServer, body: bytes, status: int) -> None:
    async def scenario(gateway: MemoryGateway, address: str, http: httpx.AsyncClient) -> None:
        answer = await http.post(address, content=body, headers=SIGNED)
        assert answer.status_code == status
        assert (await http.post(address, json=UPDATE, headers=SIGNED)).is_success

    assert texts(with_hook(api, scenario)) == ["hello"]


def test_it_answers_no_other_path_and_tells_that_it_is_alive(api: BotApiServer) -> None:
    async def scenario(gateway: MemoryGateway, address: str, http: httpx.AsyncClient) -> None:
        assert (await http.get(address)).status_code == 405
        assert (await http.post(f"{address}/x", headers=SIGNED)).status_code == 404
        alive = await http.get(address.removesuffix("/telegram") + "/healthz")
        assert alive.json()["status"] == "alive"

    with_hook(api, scenario)


def test_polling_afterwards_takes_the_webhook_away(api: BotApiServer) -> None:
    async def scenario(gateway: MemoryGateway, address: str, http: httpx.AsyncClient) -> None:
        assert api.hook == address

    with_hook(api, scenario)

    async def poll() -> None:
        gateway = MemoryGateway()
        async with receiving(api, gateway):
            api.say(501, "hello")
            await until(lambda: gateway.turns_of("501") == 1)

    asyncio.run(poll())
    assert api.hook is None


def test_trouble_while_it_is_announced_is_told_and_passes(
    api: BotApiServer, caplog: pytest.LogCaptureFixture
) -> None:
    async def scenario(gateway: MemoryGateway, address: str, http: httpx.AsyncClient) -> None:
        api.say(501, "hello")
        await until(lambda: gateway.turns_of("501") == 1)

    api.fail("getMe", 502)
    api.fail("setWebhook", 500)
    caplog.set_level(logging.DEBUG)
    with_hook(api, scenario)
    assert caplog.text.count("cannot be reached") == 2
    assert "canary" not in caplog.text
    assert SECRET not in caplog.text


def a_webhook(api: BotApiServer, *, token: str = CANARY, address: str) -> Webhook:
    return Webhook(
        open_bot(token, api.base_url),
        Turns(MemoryGateway(), clock, PHRASEBOOK),
        PHRASEBOOK,
        address=address,
        secrets=(SECRET,),
        listening=socket.create_server(("127.0.0.1", 0)),
        pauses_s=(0.02,),
    )


def test_an_address_that_telegram_refuses_is_told_with_its_setting(
    api: BotApiServer, caplog: pytest.LogCaptureFixture
) -> None:
    async def scenario() -> None:
        task = asyncio.create_task(a_webhook(api, address="http://shop.test/telegram").run())
        await until(lambda: len(api.calls_of("setWebhook")) >= 2)
        task.cancel()
        await asyncio.wait([task], timeout=3)
        assert task.cancelled()

    asyncio.run(scenario())
    assert "Check GARLANDRY_TELEGRAM_WEBHOOK_URL" in caplog.text


def test_a_refused_token_ends_it_and_says_which_setting(
    api: BotApiServer, caplog: pytest.LogCaptureFixture
) -> None:
    wrong = "7000000003:canary-of-another-colour"

    async def scenario() -> None:
        async with asyncio.timeout(5):
            await a_webhook(api, token=wrong, address="https://shop.test/telegram").run()
        assert asyncio.all_tasks() == {asyncio.current_task()}

    asyncio.run(scenario())
    assert "GARLANDRY_TELEGRAM_TOKEN" in caplog.text
    assert "canary" not in caplog.text


@pytest.mark.parametrize(
    ("text", "secrets"),
    [
        ("a" * 16, ("a" * 16,)),
        (f" {'a' * 16} , {'B_-9' * 64},", ("a" * 16, "B_-9" * 64)),
    ],
)
def test_secrets_are_read_from_one_setting(text: str, secrets: tuple[str, ...]) -> None:
    assert secrets_in(text) == secrets


@pytest.mark.parametrize(
    "text", ["", ",", "short", "a" * 257, "no spaces in secrets", ",".join(["a" * 16] * 3)]
)
def test_a_secret_that_will_not_do_is_refused_without_repeating_it(text: str) -> None:
    with pytest.raises(ValueError) as told:
        secrets_in(text)
    assert not any(secret in str(told.value) for secret in text.split(",") if secret)


def _update(chat: int, round_: int) -> dict[str, Any]:
    message = {**UPDATE["message"], "text": f"{round_} arches"}
    message["chat"] = {"id": chat, "type": "private", "first_name": "Robin"}
    return {"update_id": chat * 100 + round_, "message": message}


def test_a_process_that_goes_away_leaves_its_updates_to_the_other(api: BotApiServer) -> None:
    async def run() -> MemoryGateway:
        gateway = MemoryGateway()
        async with hooked(api, gateway) as other, httpx.AsyncClient() as http:
            gateway.down.add("turn")
            async with hooked(api, gateway) as one:
                posted = await http.post(one, json=_update(501, 1), headers=SIGNED)
                assert posted.status_code == 200
            gateway.down.clear()
            await http.post(other, json=_update(501, 2), headers=SIGNED)
            turns = Turns(gateway, clock, PHRASEBOOK)
            await until(lambda: gateway.turns_of("501") >= 1)
            await turns.replay("telegram", 0)
            await until(lambda: not gateway.open)
        return gateway

    gateway = asyncio.run(run())
    assert texts(gateway) == ["1 arches", "2 arches"]
    assert gateway.turns_of("501") == 2


def test_the_token_is_in_no_log_line_at_debug(
    api: BotApiServer, caplog: pytest.LogCaptureFixture
) -> None:
    async def scenario(gateway: MemoryGateway, address: str, http: httpx.AsyncClient) -> None:
        gateway.down.add("receive")
        api.say(501, "for Imke Osei")
        await until(lambda: (api.hook_trouble or "").endswith("503"))
        gateway.down.clear()
        await until(lambda: gateway.turns_of("501") == 1)

    caplog.set_level(logging.DEBUG)
    with_hook(api, scenario)
    assert "waits at Telegram" in caplog.text
    for secret in (CANARY, SECRET, "Imke"):
        assert secret not in caplog.text
