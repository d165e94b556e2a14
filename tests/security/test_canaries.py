"""Made-up secrets and people, driven down every way that errs, are in no log and no answer."""

import asyncio
import json
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

import httpx
import pytest
import respx
import uvicorn
from fastapi import FastAPI
from sqlalchemy import Engine, insert
from sqlalchemy.exc import IntegrityError
from starlette.testclient import TestClient

from service.contract.talk import OutgoingMessage
from service.storage.tables import photos
from service.storage.unit_of_work import SqlUnitOfWork
from tests.bot.webchat.memory import MemoryGateway
from tests.bot.webchat.serving import serving
from tests.security.canaries import CANARIES, EMAIL, KEY, NAME, PHONE, PLACE, TOKEN, WORDS, heard
from tests.service.access_table import ROUTES
from tests.service.api.conftest import CANONICAL, Service
from workers.channels.telegram import telegram
from workers.pacing import Pacing

BRIEF: dict[str, Any] = {
    **CANONICAL,
    "notes": WORDS,
    "site": {**CANONICAL["site"], "place": PLACE},
}
LEAD: dict[str, Any] = {
    "brief": BRIEF,
    "client": {"name": NAME, "email": EMAIL, "phone": PHONE},
    "source": WORDS,
}
UPDATE = {
    "channel": "webchat", "chat_id": "c1", "update_id": "u1", "kind": "text", "text": WORDS,
    "sender_name": NAME,
}  # fmt: skip
FORM = {
    "p1-support": "column", "p1-height-ft": "6", "colour": "sage", "notes": WORDS, "name": NAME,
    "email": EMAIL, "phone": PHONE, "place": PLACE, "password": KEY, "to": f"/desk/{KEY}",
}  # fmt: skip
BROKEN = json.dumps(LEAD).encode()[:-9]


def everything(client: TestClient) -> Iterator[Any]:
    """Every route, with bodies that are right for some, wrong for most and broken for all."""
    headers = {"Idempotency-Key": WORDS, "Content-Type": "application/json"}
    for method, path in ROUTES:
        at = path.replace("{", "").replace("}", "")
        if method == "GET":
            yield client.get(f"{at}?q={WORDS}&channel={NAME}&limit={WORDS}&day={WORDS}")
        elif path.startswith("/v1"):
            for body in (json.dumps({**LEAD, **UPDATE, "text": WORDS}).encode(), BROKEN):
                yield client.request(method, at, content=body, headers=headers)
        else:
            yield client.request(method, at, data=FORM)


def says_nothing(answer: Any) -> bool:
    """Whether an answer that is none keeps what it was asked with to itself."""
    refused = answer.status_code in (401, 403, 404, 405, 409, 410, 429) or answer.status_code >= 500
    shows_again = answer.headers.get("content-type", "").startswith("text/html")
    return not refused or shows_again or not any(each in answer.text for each in CANARIES)


@pytest.mark.parametrize("style", ["json", "text"])
def test_no_route_tells_the_log_or_others_what_it_was_sent(service: Service, style: Any) -> None:
    # Whoever has no key is told so, and nothing of what they sent is read.
    roles = ("owner",) if style == "text" else ("bot",)
    with heard("service", style) as log:
        for role in roles:
            asked = list(everything(service.client(role)))
            assert len(asked) > len(ROUTES)
            assert [each.url for each in asked if not says_nothing(each)] == []
        strange = TestClient(service.app, headers={"Authorization": f"Bearer {KEY}"})
        assert strange.get("/v1/leads").status_code == 401
    assert log.canaries() == []


@contextmanager
def served(app: FastAPI) -> Iterator[str]:
    """The service by the server that it runs in, which logs what went wrong in it."""
    config = uvicorn.Config(app, host="127.0.0.1", port=0, log_config=None, lifespan="off")
    server = uvicorn.Server(config)
    thread = threading.Thread(target=server.run)
    thread.start()
    try:
        while not server.started:
            time.sleep(0.01)
        yield f"http://127.0.0.1:{server.servers[0].sockets[0].getsockname()[1]}"
    finally:
        server.should_exit = True
        thread.join()


def test_a_fault_of_ours_is_logged_by_its_place_alone(
    service: Service, monkeypatch: pytest.MonkeyPatch
) -> None:
    def broken(_work: SqlUnitOfWork) -> None:
        raise RuntimeError(" ".join(CANARIES))

    monkeypatch.setattr(SqlUnitOfWork, "commit", broken)
    bot = {"Authorization": f"Bearer {service.keys['bot']}", "Idempotency-Key": WORDS}
    with heard("service") as log, served(service.app) as url:
        answers = [
            httpx.post(f"{url}/v1/leads", json=LEAD, headers=bot),
            httpx.post(f"{url}/v1/inbox", json=UPDATE, headers=bot),
            httpx.put(
                f"{url}/v1/photos/p?channel=webchat&chat_id=c1",
                content=b"\xff\xd8\xff" + WORDS.encode(),
                headers={**bot, "Content-Type": "image/jpeg"},
            ),
        ]
    assert [answer.status_code for answer in answers] == [500, 500, 500]
    assert not any(each in answer.text for each in CANARIES for answer in answers)
    assert "RuntimeError" in log.getvalue()
    assert log.canaries() == []


def test_the_databases_own_errors_name_no_values(service: Service) -> None:
    photo = {"id": WORDS, "conversation_id": 999, "jpeg": NAME.encode()}
    engine: Engine = service.app.state.assembly.engine
    with pytest.raises(IntegrityError) as told, engine.begin() as connection:
        connection.execute(insert(photos).values(**photo, created_at=service.ports.clock()))
    assert not any(each in str(told.value) for each in CANARIES)


def test_the_web_chat_tells_its_log_nothing_of_what_fails() -> None:
    gateway = MemoryGateway()

    def broken(*_: object, **__: object) -> None:
        raise RuntimeError(" ".join(CANARIES))

    async def scenario() -> list[httpx.Response]:
        async with serving(gateway) as url, httpx.AsyncClient(base_url=url) as client:
            await client.post("/chat/session")
            sent: dict[str, Any] = {"update_id": "u1", "kind": "text", "text": WORDS}
            found = [await client.post("/chat/updates", json={**sent, "name": NAME})]
            found.append(await client.post("/chat/updates", content=BROKEN))
            json_ = {"Content-Type": "application/json"}
            found.append(await client.post("/chat/updates", content=BROKEN, headers=json_))
            for name in ("conversation", "claim", "turn", "receive", "messages", "keep_photo"):
                setattr(gateway, name, broken)
                body = {**sent, "update_id": f"u-{name}"}
                found.append(await client.post("/chat/updates", json=body))
            found.append(await client.get("/chat/messages"))
            found.append(await client.get(f"/{WORDS}?{NAME}"))
            return found

    with heard("bot") as log:
        answers = asyncio.run(scenario())
    assert {answer.status_code for answer in answers} >= {202, 404, 415, 422, 500}
    assert "RuntimeError" in log.getvalue()
    assert log.canaries() == []
    refused = [answer for answer in answers if answer.status_code >= 500]
    assert not any(each in answer.text for each in CANARIES for answer in refused)


@pytest.mark.parametrize("status", [400, 401, 403, 404, 409, 413, 429, 500, 502])
def test_whatever_the_bot_api_answers_neither_log_nor_ledger_quotes_it(status: int) -> None:
    # It quotes buttons' addresses, which are our clients' links.
    description = f"Bad Request: button URL '{WORDS} {NAME} {KEY} {EMAIL}' of {PHONE} is invalid"
    link = f"https://garlands.example/quotes/{TOKEN}/{PLACE.replace(' ', '-')}"
    answer = {"ok": False, "error_code": status, "description": f"{description} {link}"}
    way_out = telegram(TOKEN, "https://t.test", Pacing(None))
    message = OutgoingMessage(text=f"{WORDS} {NAME}")
    with heard("workers") as log, respx.mock:
        respx.post(url__startswith="https://t.test").respond(status, json=answer)
        with pytest.raises(Exception) as told:
            asyncio.run(way_out.send("1", message))
    assert log.canaries() == []
    assert not any(each in str(told.value) for each in CANARIES), told.value
    assert "garlands.example" not in str(told.value)
