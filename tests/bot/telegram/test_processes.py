"""Several processes serve one bot by webhook: every update answered once, each chat's in order.

The service is the real one, on SQLite and on PostgreSQL; what the processes say to
it takes now longer, now shorter, so that their turns overlap.
"""

import asyncio
import random
from collections.abc import AsyncIterator, Iterator
from contextlib import asynccontextmanager
from datetime import date
from itertools import count
from pathlib import Path
from typing import Any

import httpx
import pytest
from starlette.testclient import TestClient

from bot.gateway import Gateway, ServiceClient
from service.app import create_app
from service.assembly import keys_of, prepare
from service.config import Settings
from tests.bot.telegram.receiving import SECRET, hooked, until
from tests.bot_api import BotApiServer

CHATS = (501, 502, 503, 504)
TEXTS = ["an arch, 8 ft wide and 7 ft tall", "June 6", "sage", "indoors", "02139", "no"]


class Slowly(httpx.ASGITransport):
    """A way to the service that takes its time, each time another."""

    def __init__(self, app: Any, seed: int) -> None:
        super().__init__(app=app)
        self._random = random.Random(seed)

    async def handle_async_request(self, request: httpx.Request) -> httpx.Response:
        await asyncio.sleep(self._random.uniform(0, 0.03))
        response = await super().handle_async_request(request)
        await asyncio.sleep(self._random.uniform(0, 0.03))
        return response


@pytest.fixture
def service(
    tmp_path: Path, database_url: str, monkeypatch: pytest.MonkeyPatch
) -> Iterator[TestClient]:
    monkeypatch.setenv("DATABASE_URL", database_url)
    settings = Settings(
        data=tmp_path, redis_url="redis://127.0.0.1:9/0", reference_date=date(2027, 1, 10)
    )
    prepare(settings)
    headers = {"Authorization": f"Bearer {keys_of(settings).bot}"}
    with TestClient(create_app(settings), headers=headers) as client:
        yield client


@asynccontextmanager
async def a_process(api: BotApiServer, service: TestClient, seed: int) -> AsyncIterator[str]:
    """The address of one more process's webhook."""
    key = service.headers["authorization"].removeprefix("Bearer ")
    client = ServiceClient("http://service.test", key, transport=Slowly(service.app, seed))
    async with hooked(api, Gateway(client)) as address:
        yield address
    await client.aclose()


def posted(number: int, chat: int, text: str) -> dict[str, Any]:
    person = {"id": chat, "first_name": "Robin"}
    return {
        "update_id": number,
        "message": {
            "message_id": number,
            "date": 1_800_000_000,
            "chat": {**person, "type": "private"},
            "from": {**person, "is_bot": False},
            "text": text,
        },
    }


def conversation(service: TestClient, chat: int) -> list[dict[str, Any]]:
    found: list[dict[str, Any]] = service.get(f"/v1/conversations/telegram/{chat}/messages").json()
    return found


def open_updates(service: TestClient) -> int:
    return len(service.get("/v1/inbox", params={"channel": "telegram", "older_than_s": 0}).json())


@pytest.mark.parametrize("seed", range(2))
def test_turns_of_two_processes_overlap_and_no_answer_is_lost_doubled_or_early(
    api: BotApiServer, service: TestClient, seed: int
) -> None:
    chooser = random.Random(seed)
    numbers = count(1)

    async def talk(http: httpx.AsyncClient, addresses: list[str], chat: int) -> None:
        # Telegram posts a chat's next update once the one before was taken, and sometimes twice.
        for text in TEXTS:
            update = posted(next(numbers), chat, text)
            for _ in range(chooser.choice([1, 1, 2])):
                headers = {"X-Telegram-Bot-Api-Secret-Token": SECRET}
                answer = await http.post(chooser.choice(addresses), json=update, headers=headers)
                assert answer.status_code == 200

    async def run() -> None:
        async with (
            a_process(api, service, seed) as one,
            a_process(api, service, seed + 100) as other,
            httpx.AsyncClient() as http,
        ):
            await asyncio.gather(*(talk(http, [one, other], chat) for chat in CHATS))
            await until(lambda: open_updates(service) == 0, timeout_s=30)

    asyncio.run(run())
    talks = [conversation(service, chat) for chat in CHATS]
    for messages in talks:
        heard = [message["text"] for message in messages if message["direction"] == "in"]
        assert heard == TEXTS
    # Whoever was served by whom: the same words had the same answers.
    answers = [[(m["direction"], m["text"]) for m in messages] for messages in talks]
    assert all(one == answers[0] for one in answers)
