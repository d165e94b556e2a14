"""Nothing is fetched from an address that a client gives."""

import asyncio
import socket
from collections.abc import Callable
from typing import Any

import httpx
import pytest

from service.contract.client import ServiceClient, ServiceRefused
from tests.service.api.conftest import CANONICAL, Service

EVIL = "http://169.254.169.254/latest/meta-data?x=evil.example"
HOSTS = ("169.254.169.254", "evil.example")
Post = Callable[..., dict[str, Any]]


@pytest.fixture
def looked_up(monkeypatch: pytest.MonkeyPatch) -> list[object]:
    """Every host whose name is looked up, and every address that a connection is opened to."""
    seen: list[object] = []

    def refuse(*given: object, **_: object) -> None:
        seen.append(given)
        raise OSError("no way out of a test")

    monkeypatch.setattr(socket, "getaddrinfo", refuse)
    monkeypatch.setattr(socket.socket, "connect", refuse)
    monkeypatch.setattr(socket.socket, "connect_ex", refuse)
    return seen


def strange(seen: list[object]) -> list[object]:
    """What was tried beyond the test's own Redis, which is not there."""
    return [given for given in seen if "127.0.0.1" not in str(given)]


def test_addresses_in_a_request_are_words(
    service: Service,
    post_lead: Post,
    work_off: Callable[[], Any],
    looked_up: list[object],
) -> None:
    brief = {
        **CANONICAL,
        "notes": f"like {EVIL} <img src={EVIL}>",
        "site": {"setting": "indoor", "place": EVIL[:200]},
        "palette": ["sage"],
    }
    post_lead(brief, client={"name": EVIL, "email": "a@evil.example"}, source=EVIL[:64])
    (quoted,) = work_off()
    lead = service.client("owner").get(f"/v1/leads/{quoted['lead_id']}")
    assert EVIL in lead.text
    url = quoted["quote"]["url"].removeprefix("https://garlands.example")
    for path in (url, f"{url}/quote.pdf"):
        assert service.client().get(path).status_code == 200
    bought = service.client("owner").get(f"/v1/leads/{quoted['lead_id']}/shopping-list")
    assert bought.status_code == 200
    assert strange(looked_up) == []


def test_a_conversations_picture_and_links_are_stored_and_not_fetched(
    service: Service, looked_up: list[object]
) -> None:
    bot = service.client("bot")
    update = {"channel": "webchat", "chat_id": "c", "update_id": "u", "kind": "photo"}
    receipt = bot.post("/v1/inbox", json={**update, "text": EVIL, "photo": EVIL}).json()
    picture = {"url": EVIL, "page_url": EVIL, "alt": "a garland"}
    message = {"text": "Look", "picture": picture, "buttons": [{"label": "x", "url": EVIL}]}
    turn = {"inbox_id": receipt["inbox_id"], "version": 0, "state": {}, "messages": [message]}
    taken = bot.post("/v1/conversations/webchat/c/turns", json=turn)
    assert taken.status_code == 200, taken.text
    assert strange(looked_up) == []


@pytest.mark.parametrize(
    "url",
    [
        EVIL, "x:http://evil.example/quotes/a/picture.png", "//evil.example/quotes/x",
        "http://evil.example/v1/leads", "file:///etc/passwd", "", "/quotes/../v1/leads",
        "http://evil.example/quotes/a/../../v1/leads/picture.png", "/quotes/a%2fb/picture.png",
    ],
)  # fmt: skip
def test_our_key_goes_nowhere_but_to_a_picture(url: str, looked_up: list[object]) -> None:
    async def ask() -> None:
        client = ServiceClient("http://127.0.0.1:9", "canary-key")
        try:
            await client.picture(url)
        finally:
            await client.aclose()

    with pytest.raises(ValueError, match="not the address of a picture"):
        asyncio.run(ask())
    assert looked_up == []


def test_a_pictures_host_is_never_asked() -> None:
    asked: list[httpx.URL] = []

    def answer(request: httpx.Request) -> httpx.Response:
        asked.append(request.url)
        return httpx.Response(404, json={"title": "no", "status": 404})

    async def ask() -> None:
        transport = httpx.MockTransport(answer)
        client = ServiceClient("http://service.test", "key", transport=transport)
        with pytest.raises(ServiceRefused):
            await client.picture("http://evil.example:81/quotes/abc/picture.png?of=G1-1")
        await client.aclose()

    asyncio.run(ask())
    assert [str(url) for url in asked] == ["http://service.test/quotes/abc/picture.png?of=G1-1"]
