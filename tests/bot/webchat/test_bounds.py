"""What the web chat bears: many updates, slow senders, slow readers, other websites' pages."""

import asyncio
import json
import logging
import socket
from contextlib import AsyncExitStack
from typing import Any

import httpx
import pytest
from starlette.requests import Request

from bot.dialogue.messages import Message
from bot.gateway import wire
from bot.webchat import bodies, incoming, pacing, streams
from bot.webchat.pacing import Pace
from tests.bot.webchat.calling import with_client
from tests.bot.webchat.memory import MemoryGateway
from tests.bot.webchat.serving import serving


def still(number: int) -> dict[str, str]:
    """A press that costs the dialogue as little as possible."""
    return {"update_id": f"u{number}", "kind": "button", "text": "still", "label": "·"}


# How fast


def test_a_pace_lets_some_through_at_once_and_then_one_every_so_often() -> None:
    now = 100.0
    pace = Pace(at_once=3, every_s=2.0, clock=lambda: now)
    assert [pace.wait_s("a") for _ in range(3)] == [0, 0, 0]
    assert pace.wait_s("a") == pytest.approx(2.0)
    # Being refused costs nothing, and another chat is another matter.
    assert pace.wait_s("a") == pytest.approx(2.0)
    assert pace.wait_s("b") == 0
    now += 1.5
    assert pace.wait_s("a") == pytest.approx(0.5)
    now += 0.5
    assert pace.wait_s("a") == 0
    assert pace.wait_s("a") == pytest.approx(2.0)
    now += 60
    assert [pace.wait_s("a") for _ in range(4)] == [0, 0, 0, pytest.approx(2.0)]


def test_a_pace_remembers_so_many_chats_and_no_more(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(pacing, "_CHATS_MOST", 3)
    pace = Pace(at_once=1, every_s=60.0, clock=lambda: 0.0)
    assert [pace.wait_s(chat) for chat in ("a", "b", "c", "d")] == [0, 0, 0, 0]
    # The one that was quiet the longest was forgotten.
    assert pace.wait_s("a") == 0
    assert pace.wait_s("d") > 0


@pytest.mark.parametrize(("length", "status"), [(21, 401), (22, 202), (63, 202), (64, 401)])
def test_a_chat_and_an_update_of_any_id_that_is_taken_fit_the_inbox(
    length: int, status: int
) -> None:
    async def act(gateway: MemoryGateway, client: httpx.AsyncClient) -> None:
        client.cookies.clear()
        answer = await client.post(
            "/chat/updates",
            json={**still(1), "update_id": "u" * 64},
            headers={"Cookie": f"chat={'c' * length}"},
        )
        assert answer.status_code == status
        for channel, chat_id, update_id, came in gateway.inbox:
            assert wire.update(channel, chat_id, update_id, came).update_id == update_id

    with_client(act)


def test_a_chat_that_goes_too_fast_is_told_when_to_go_on() -> None:
    async def act(_: MemoryGateway, client: httpx.AsyncClient) -> None:
        sent = [client.post("/chat/updates", json=still(number)) for number in range(40)]
        answers = await asyncio.gather(*sent)
        refused = [one for one in answers if one.status_code == 429]
        assert {one.status_code for one in answers} == {202, 429}
        assert refused[0].headers["retry-after"].isdigit()
        assert "a lot at once" in refused[0].json()["detail"]

    with_client(act)


# Slow ones


def test_who_takes_too_long_to_send_is_asked_to_send_again(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(incoming, "_BODY_WITHIN_S", 0.1)

    async def act(_: MemoryGateway, client: httpx.AsyncClient) -> None:
        sent = (
            "POST /chat/updates HTTP/1.1\r\nHost: x\r\nContent-Type: application/json\r\n"
            f"Cookie: chat={client.cookies['chat']}\r\nAccept-Language: es\r\n"
            'Content-Length: 99\r\n\r\n{"update_id"'
        )
        reader, writer = await asyncio.open_connection("127.0.0.1", client.base_url.port)
        writer.write(sent.encode())
        head = await asyncio.wait_for(reader.readuntil(b"\r\n\r\n"), 5)
        assert head.startswith(b"HTTP/1.1 408 ")
        assert "Tardó demasiado" in json.loads(await reader.readuntil(b"}"))["detail"]
        writer.close()

    assert with_client(act).inbox == []


def test_a_stream_that_nobody_reads_is_given_up(
    monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    caplog.set_level(logging.INFO)
    monkeypatch.setattr(streams, "_READS_WITHIN_S", 0.3)

    async def scenario() -> None:
        gateway = MemoryGateway()
        async with serving(gateway) as url, httpx.AsyncClient(base_url=url) as client:
            await client.post("/chat/session")
            chat = client.cookies["chat"]
            loop = asyncio.get_running_loop()
            with socket.socket() as deaf:
                deaf.setsockopt(socket.SOL_SOCKET, socket.SO_RCVBUF, 4096)
                deaf.setblocking(False)
                await loop.sock_connect(deaf, ("127.0.0.1", httpx.URL(url).port))
                ask = f"GET /chat/stream HTTP/1.1\r\nHost: x\r\nCookie: chat={chat}\r\n\r\n"
                await loop.sock_sendall(deaf, ask.encode())
                async with asyncio.timeout(30):
                    while "nobody reads" not in caplog.text:
                        await gateway.say("webchat", chat, Message(kind="say", text="x" * 16_000))
                        await asyncio.sleep(0.01)

    asyncio.run(scenario())


def test_one_chat_has_so_many_streams_and_no_more() -> None:
    async def act(_: MemoryGateway, client: httpx.AsyncClient) -> None:
        async with AsyncExitStack() as open_streams:
            for _number in range(6):
                stream = client.stream("GET", "/chat/stream")
                response = await open_streams.enter_async_context(stream)
                lines = response.aiter_lines()
                assert await anext(lines) == "retry: 2000"
                open_streams.push_async_callback(lines.aclose)  # type: ignore[attr-defined]
            refused = await client.get("/chat/stream")
            assert (refused.status_code, refused.headers["retry-after"]) == (429, "5")

    with_client(act)


def test_a_body_is_not_read_beyond_what_it_says_of_itself() -> None:
    async def receive() -> Any:
        raise AssertionError("nothing had to be read")

    request = Request({"type": "http", "headers": [(b"content-length", b"11")]}, receive)
    with pytest.raises(bodies.TooLarge):
        asyncio.run(bodies.body_of(request, most=10, within_s=1))


# Other websites


@pytest.mark.parametrize(
    "headers",
    [
        {"Sec-Fetch-Site": "cross-site"},
        {"Sec-Fetch-Site": "same-site", "Origin": "https://shop.example"},
        {"Origin": "https://elsewhere.example"},
        {"Origin": "null"},
    ],
    ids=["another site", "a neighbour", "another origin", "no origin of its own"],
)
@pytest.mark.parametrize("address", ["/chat/updates", "/chat/photos", "/chat/session"])
def test_a_page_of_another_website_cannot_write(address: str, headers: dict[str, str]) -> None:
    async def act(_: MemoryGateway, client: httpx.AsyncClient) -> None:
        response = await client.post(address, json=still(1), headers=headers)
        assert response.status_code == 403

    assert with_client(act).inbox == []


@pytest.mark.parametrize(
    "headers", [{}, {"Sec-Fetch-Site": "same-origin"}, {"Origin": "own"}], ids=str
)
def test_the_chats_own_page_and_a_program_can(headers: dict[str, str]) -> None:
    async def act(_: MemoryGateway, client: httpx.AsyncClient) -> None:
        own = {name: value.replace("own", str(client.base_url)) for name, value in headers.items()}
        if "Origin" in own:
            own["Origin"] = own["Origin"].rstrip("/")
        response = await client.post("/chat/updates", json=still(1), headers=own)
        assert response.status_code == 202

    with_client(act)


def test_a_campaign_never_pairs_an_owner() -> None:
    async def act(gateway: MemoryGateway, client: httpx.AsyncClient) -> None:
        start = {"update_id": "first-visit", "kind": "start", "text": "owner-abc"}
        assert (await client.post("/chat/updates", json=start)).status_code == 202
        assert gateway.inbox[0][3].text == ""

    with_client(act)
