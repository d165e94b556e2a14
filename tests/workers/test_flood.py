"""A chat that Telegram asks to leave alone for a while: it waits, and nobody else does.

The service is the real one with its ledger in SQLite, the Bot API server the strict one. The
test is the queue: it hands over what is due, each time to another process.
"""

import asyncio
import time
from collections.abc import Iterator
from datetime import date
from pathlib import Path
from typing import Any

import httpx
import pytest
from starlette.testclient import TestClient

from service.app import create_app
from service.assembly import keys_of, prepare
from service.config import Settings
from service.contract.client import ServiceClient
from service.leads.ports import Ports
from tests.bot_api import BotApiServer
from tests.workers.redis_server import redis_server
from workers.channels.telegram import telegram
from workers.delivery import deliver
from workers.pacing import Pacing

SERVICE = "http://service.test"


class Shop:
    """The service, what it owes, and processes that deliver."""

    def __init__(self, client: TestClient, ports: Ports, key: str, redis_url: str | None) -> None:
        self._client = client
        self._ports = ports
        self._key = key
        self._redis_url = redis_url
        self._updates = 0

    def says(self, chat_id: int, *texts: str) -> None:
        """A turn that leaves these messages to be delivered."""
        self._updates += 1
        update = {"update_id": str(self._updates), "kind": "text", "text": "hello"}
        chat = {"channel": "telegram", "chat_id": str(chat_id)}
        inbox_id = self._client.post("/v1/inbox", json={**chat, **update}).json()["inbox_id"]
        path = f"/v1/conversations/telegram/{chat_id}"
        turn = {
            "inbox_id": inbox_id,
            "version": self._client.get(path).json()["version"],
            "state": {},
            "messages": [{"text": text} for text in texts],
        }
        assert self._client.post(f"{path}/turns", json=turn).is_success

    def due(self) -> list[str]:
        """The steps that the sweep would hand to the queue now."""
        with self._ports.read() as work:
            return [step.id for step in work.outbox.due(self._ports.clock(), limit=100)]

    def deliver(self, api: BotApiServer) -> None:
        """Everything due is taken by a process that was just started."""
        asyncio.run(self._deliver(api))

    async def _deliver(self, api: BotApiServer) -> None:
        transport = httpx.ASGITransport(app=self._client.app)
        service = ServiceClient(SERVICE, self._key, transport=transport)
        channel = telegram(api.token, api.base_url, Pacing(self._redis_url))
        for step_id in self.due():
            await deliver(service, {"telegram": channel}, step_id)
        await channel.aclose()
        await service.aclose()

    def attempts(self) -> list[int]:
        """How often each open step has counted as tried."""
        with self._ports.read() as work:
            open_steps = [work.outbox.first_owed(f"telegram:{chat}") for chat in (501, 502)]
        return [step.attempts for step in open_steps if step is not None]


@pytest.fixture
def api() -> Iterator[BotApiServer]:
    with BotApiServer(limited=True) as server:
        server.say(501, "hello")
        server.say(502, "hello")
        yield server


@pytest.fixture
def redis_url(tmp_path: Path) -> Iterator[str]:
    with redis_server(tmp_path) as url:
        yield url


@pytest.fixture
def shop(tmp_path: Path, redis_url: str) -> Iterator[Shop]:
    settings = Settings(
        data=tmp_path / "data",
        redis_url="redis://127.0.0.1:9/0",  # nobody listens: the test is the queue
        reference_date=date(2027, 1, 10),
    )
    prepare(settings)
    app = create_app(settings)
    keys = keys_of(settings)
    with TestClient(app, headers={"Authorization": f"Bearer {keys.bot}"}) as client:
        yield Shop(client, app.state.ports, keys.worker, redis_url)


def texts(api: BotApiServer, chat_id: int) -> list[Any]:
    return [sent.text for sent in api.sent(chat_id)]


def until_due(shop: Shop) -> None:
    deadline = time.monotonic() + 10
    while not shop.due():
        assert time.monotonic() < deadline
        time.sleep(0.05)


def test_a_flooded_chat_waits_through_processes_and_no_other_does(
    api: BotApiServer, shop: Shop
) -> None:
    api.flood(501, 2)
    shop.says(501, "one", "two")
    shop.says(502, "at once")
    shop.deliver(api)
    assert (texts(api, 501), texts(api, 502)) == ([], ["at once"])

    # Another process leaves it alone too, its second message included.
    calls = len(api.calls_of("sendMessage"))
    shop.says(502, "and again")
    shop.deliver(api)
    assert len(api.calls_of("sendMessage")) == calls + 1
    assert (texts(api, 501), texts(api, 502)) == ([], ["at once", "and again"])
    assert shop.attempts() == [0]

    until_due(shop)
    while len(texts(api, 501)) < 2:
        shop.deliver(api)
    assert texts(api, 501) == ["one", "two"]


def test_a_talkative_chat_is_put_off_before_telegram_has_to_ask(
    api: BotApiServer, shop: Shop
) -> None:
    shop.says(501, *[f"{number}" for number in range(7)])
    began = time.monotonic()
    while len(texts(api, 501)) < 7:
        until_due(shop)
        shop.deliver(api)
    assert texts(api, 501) == [f"{number}" for number in range(7)]
    assert api.refused == []
    assert time.monotonic() - began > 4  # five at once, then one a second
