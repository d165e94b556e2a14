"""The web chat's HTTP: what goes in is committed, what comes out is live, errors say what to do."""

import asyncio
import json
import os
import time
from collections.abc import AsyncIterator
from typing import Any

import httpx
import pytest

from bot.dialogue.messages import Button, Message, Swatch
from bot.gateway import Picture, Shown
from tests.bot.webchat.calling import problem_of, said, with_client
from tests.bot.webchat.memory import STARTED, MemoryGateway
from tests.bot.webchat.serving import serving


async def read_events(response: httpx.Response, count: int) -> list[dict[str, Any]]:
    found: list[dict[str, Any]] = []
    event: dict[str, str] = {}
    async for line in response.aiter_lines():
        if line.startswith(":"):
            continue
        if line:
            name, _, value = line.partition(": ")
            event[name] = value
            continue
        if event.get("event") == "message":
            found.append({"id": event["id"], "event": event["event"], **json.loads(event["data"])})
        event = {}
        if len(found) == count:
            break
    return found


# Updates in


def test_an_update_is_accepted_once_it_is_committed_and_its_turn_is_taken() -> None:
    async def act(gateway: MemoryGateway, client: httpx.AsyncClient) -> None:
        response = await client.post("/chat/updates", json=said("how much\nfor an arch? 🎈"))
        assert response.status_code == 202
        assert response.json() == {"update_id": "u1"}
        chat_id = client.cookies["chat"]
        ((channel, chat, _, incoming),) = gateway.inbox
        assert (channel, chat) == ("webchat", chat_id)
        assert (incoming.kind, incoming.text) == ("text", "how much\nfor an arch? 🎈")
        assert gateway.turns_of(chat_id) == 1

    with_client(act)


def test_the_same_update_twice_is_one_update() -> None:
    async def act(gateway: MemoryGateway, client: httpx.AsyncClient) -> None:
        for _ in range(2):
            assert (await client.post("/chat/updates", json=said("hello"))).status_code == 202
        assert gateway.turns_of(client.cookies["chat"]) == 1

    assert len(with_client(act).inbox) == 1


def test_two_chats_may_choose_the_same_update_id() -> None:
    async def scenario() -> None:
        gateway = MemoryGateway()
        async with serving(gateway) as url:
            for text in ("one", "two"):
                async with httpx.AsyncClient(base_url=url) as client:
                    await client.post("/chat/session")
                    await client.post("/chat/updates", json=said(text))
                    listed = (await client.get("/chat/messages")).json()
                    assert (listed[0]["text"], listed[0]["update_id"]) == (text, "u1")
        assert len(gateway.inbox) == 2

    asyncio.run(scenario())


def test_a_button_comes_with_its_label_and_the_browsers_locale() -> None:
    async def act(gateway: MemoryGateway, client: httpx.AsyncClient) -> None:
        body = {"update_id": "u1", "kind": "button", "text": "setting:in", "label": "Indoors"}
        headers = {"Accept-Language": "es-US,en;q=0.5"}
        assert (await client.post("/chat/updates", json=body, headers=headers)).status_code == 202
        incoming = gateway.inbox[0][3]
        assert (incoming.kind, incoming.text, incoming.label) == ("button", "setting:in", "Indoors")
        assert incoming.locale == "es-US"

    with_client(act)


def test_a_committed_update_is_accepted_even_if_its_turn_must_wait() -> None:
    async def act(gateway: MemoryGateway, client: httpx.AsyncClient) -> None:
        gateway.down.add("turn")
        assert (await client.post("/chat/updates", json=said("hello"))).status_code == 202
        assert gateway.open == {1}

    with_client(act)


def test_an_update_that_cannot_be_committed_is_not_accepted() -> None:
    async def act(gateway: MemoryGateway, client: httpx.AsyncClient) -> None:
        gateway.down.add("receive")
        response = await client.post("/chat/updates", json=said("hello"))
        assert "again" in problem_of(response, 503)["detail"]
        assert response.headers["retry-after"] == "3"

    assert with_client(act).inbox == []


@pytest.mark.parametrize("text", ["a" * 4000, "🎈" * 4000, "\x00\u202e" * 2000])
def test_four_thousand_characters_fit(text: str) -> None:
    async def act(gateway: MemoryGateway, client: httpx.AsyncClient) -> None:
        assert (await client.post("/chat/updates", json=said(text))).status_code == 202
        assert len(gateway.inbox[0][3].text) == 4000

    with_client(act)


@pytest.mark.parametrize(
    ("body", "status", "says"),
    [
        (said("a" * 4001), 413, "4,000"),
        (said("a" * 80_000), 413, "4,000"),
        (said("  \n "), 422, "empty"),
        ({"kind": "text", "text": "hi"}, 422, "update_id"),
        (said("hi", update_id="../1"), 422, "update_id"),
        (said("hi", kind="location"), 422, "kind"),
        (said("hi", kind="photo"), 422, "names its photo"),
        (said("hi", photo="p1"), 422, "names its photo"),
        (said("hi", kind="photo", photo="../p1"), 422, "photo"),
        (said("hi", kind="button", message_ref="last"), 422, "message_ref"),
        (said("s" * 65, kind="start"), 422, "64"),
        (said("hi", colour="red"), 422, "colour"),
        (said("x" * 65, kind="button"), 422, "as text"),
        (["hi"], 422, "cannot be read"),
    ],
    ids=[
        "too long",
        "far too long",
        "blank",
        "no id",
        "odd id",
        "odd kind",
        "no photo",
        "text with a photo",
        "odd photo",
        "odd message",
        "long source",
        "unknown field",
        "no button",
        "a list",
    ],
)
def test_an_update_at_fault_is_refused_with_what_to_do(body: Any, status: int, says: str) -> None:
    async def act(_: MemoryGateway, client: httpx.AsyncClient) -> None:
        response = await client.post("/chat/updates", json=body)
        assert says in problem_of(response, status)["detail"]

    assert with_client(act).inbox == []


@pytest.mark.parametrize(
    ("content", "kind", "status"),
    [
        (b'{"update_id": "u1", "kind"', "application/json", 422),
        (b'{"update_id":"u1","kind":"text","text":"\\ud800"}', "application/json", 422),
        (b"\xff\xfe", "application/json", 422),
        (b'{"update_id":"u1","kind":"text","text":"hi"}', "text/plain", 415),
    ],
    ids=["broken", "half a surrogate pair", "not UTF-8", "not declared as JSON"],
)
def test_a_body_that_is_no_json_is_refused(content: bytes, kind: str, status: int) -> None:
    async def act(_: MemoryGateway, client: httpx.AsyncClient) -> None:
        headers = {"Content-Type": kind}
        response = await client.post("/chat/updates", content=content, headers=headers)
        problem_of(response, status)

    assert with_client(act).inbox == []


def test_nothing_is_read_or_written_without_a_cookie() -> None:
    async def scenario() -> None:
        async with serving(MemoryGateway()) as url, httpx.AsyncClient(base_url=url) as client:
            for response in (
                await client.post("/chat/updates", json=said("hello")),
                await client.get("/chat/messages"),
                await client.get("/chat/stream"),
            ):
                assert "/chat/session" in problem_of(response, 401)["detail"]

    asyncio.run(scenario())


def test_unknown_addresses_and_methods_answer_with_problems_too() -> None:
    async def act(_: MemoryGateway, client: httpx.AsyncClient) -> None:
        problem_of(await client.get("/chat/nothing"), 404)
        problem_of(await client.get("/static/nothing.js"), 404)
        assert (await client.get("/chat/updates")).headers["allow"] == "POST"
        problem_of(await client.get("/chat/updates"), 405)
        problem_of(await client.get("/chat/messages?after=-1"), 422)
        alive = {"status": "alive", "pid": os.getpid()}
        assert (await client.get("/healthz")).json() == alive

    with_client(act)


# Messages out


def test_a_picture_comes_with_its_message_from_the_one_other_place_that_the_page_may_load() -> None:
    drawn = Picture(url="https://shop.example/quotes/1/picture.webp?of=G1", alt="Your balloons")
    price = Shown(
        seq=1,
        direction="out",
        kind="ballpark",
        text="$310 to $420",
        buttons=(),
        asks=None,
        at=STARTED,
        update_id=None,
        picture=drawn,
    )

    async def scenario() -> None:
        gateway = MemoryGateway()
        async with (
            serving(gateway, pictures_from="https://shop.example") as url,
            httpx.AsyncClient(base_url=url) as client,
        ):
            page = await client.get("/")
            gateway.shown["webchat", client.cookies["chat"]] = [price]
            [shown] = (await client.get("/chat/messages")).json()
        assert shown["picture"] == {"url": drawn.url, "alt": "Your balloons"}
        rules = page.headers["content-security-policy"].split("; ")
        assert "img-src 'self' blob: https://shop.example" in rules

    asyncio.run(scenario())


def test_messages_come_with_all_the_page_needs() -> None:
    async def act(gateway: MemoryGateway, client: httpx.AsyncClient) -> None:
        buttons = (
            Button(label="See the quote", url="https://ribbon.example/q/1"),
            Button(label="Change something", value="edit", row=2),
            Button(label="Share where it is", share="location"),
        )
        message = Message(
            kind="ballpark",
            text="$310 to $420",
            buttons=buttons,
            asks="next",
            swatches=(Swatch(name="sage", hex="#a3b899"),),
            edits="7",
        )
        await gateway.say("webchat", client.cookies["chat"], message)
        assert (await client.get("/chat/messages?after=0")).json() == [
            {
                "seq": 1,
                "direction": "out",
                "kind": "ballpark",
                "text": "$310 to $420",
                "buttons": [
                    {
                        "label": "See the quote",
                        "value": None,
                        "url": "https://ribbon.example/q/1",
                        "row": None,
                    },
                    {"label": "Change something", "value": "edit", "url": None, "row": 2},
                ],
                "swatches": [{"name": "sage", "hex": "#a3b899"}],
                "edits": "7",
                "photo": None,
                "picture": None,
                "asks": "next",
                "at": "2027-01-10T15:00:00+00:00",
                "update_id": None,
            }
        ]
        assert (await client.get("/chat/messages?after=1")).json() == []

    with_client(act)


def test_the_stream_brings_what_is_there_and_then_what_comes() -> None:
    async def act(gateway: MemoryGateway, client: httpx.AsyncClient) -> None:
        chat_id = client.cookies["chat"]
        await gateway.say("webchat", chat_id, Message(kind="say", text="one\ntwo"))
        async with client.stream("GET", "/chat/stream") as response:
            assert response.headers["content-type"].startswith("text/event-stream")
            later = asyncio.create_task(_say_later(gateway, chat_id, "three"))
            first, second = await asyncio.wait_for(read_events(response, 2), 5)
            await later
        assert (first["id"], first["event"], first["text"]) == ("1", "message", "one\ntwo")
        assert (second["id"], second["text"]) == ("2", "three")

    with_client(act)


def test_a_stream_that_resumes_goes_on_after_the_last_event_it_had() -> None:
    async def act(gateway: MemoryGateway, client: httpx.AsyncClient) -> None:
        for text in ("one", "two", "three"):
            await gateway.say("webchat", client.cookies["chat"], Message(kind="say", text=text))
        resumed = {"Last-Event-ID": "2"}
        async with client.stream("GET", "/chat/stream?after=0", headers=resumed) as response:
            (event,) = await asyncio.wait_for(read_events(response, 1), 5)
        assert event["text"] == "three"

    with_client(act)


def test_a_stream_lives_through_an_outage_of_the_service() -> None:
    async def act(gateway: MemoryGateway, client: httpx.AsyncClient) -> None:
        chat_id = client.cookies["chat"]
        gateway.down.add("messages")
        async with client.stream("GET", "/chat/stream") as response:
            await gateway.say("webchat", chat_id, Message(kind="say", text="after the outage"))
            gateway.down.clear()
            (event,) = await asyncio.wait_for(read_events(response, 1), 5)
        assert event["text"] == "after the outage"

    with_client(act)


def test_stopping_ends_open_streams_at_once() -> None:
    async def scenario() -> float:
        async with httpx.AsyncClient() as client:
            async with serving(MemoryGateway()) as url:
                await client.post(f"{url}/chat/session")
                lines = _lines(client, f"{url}/chat/stream")
                assert await anext(lines) == "retry: 2000"
                began = time.monotonic()
            took = time.monotonic() - began
            assert not [line async for line in lines if line.startswith("data")]
            return took

    assert asyncio.run(scenario()) < 1


async def _say_later(gateway: MemoryGateway, chat_id: str, text: str) -> None:
    await asyncio.sleep(0.1)
    await gateway.say("webchat", chat_id, Message(kind="say", text=text))


async def _lines(client: httpx.AsyncClient, url: str) -> AsyncIterator[str]:
    async with client.stream("GET", url) as response:
        async for line in response.aiter_lines():
            yield line
