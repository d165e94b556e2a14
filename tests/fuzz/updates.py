"""Any post to the bot's webhook and to the web chat: taken and kept, or refused; never a fault."""

import asyncio
import json
from collections.abc import Awaitable, Callable
from typing import Any

import httpx
from hypothesis import strategies as st

from tests.bot.telegram.receiving import SECRET, hooked
from tests.bot.webchat.memory import MemoryGateway
from tests.bot.webchat.serving import a_client
from tests.bot_api import BotApiServer
from tests.fuzz.cases import ANY_TEXT, disturbed, run
from tests.fuzz.tally import Tally

_HEADERS = {"X-Telegram-Bot-Api-Secret-Token": SECRET, "Content-Type": "application/json"}
_ROBIN = {"id": 501, "is_bot": False, "first_name": "Robin", "language_code": "es"}
_CHAT = {"id": 501, "type": "private", "first_name": "Robin"}
_MESSAGE: dict[str, Any] = {
    "message_id": 7,
    "date": 1_800_000_000,
    "chat": _CHAT,
    "from": _ROBIN,
}
_UPDATES: tuple[dict[str, Any], ...] = tuple(
    {"update_id": 41, kind: body}
    for kind, body in (
        ("message", _MESSAGE | {"text": "an arch for june 6"}),
        ("message", _MESSAGE | {"text": "/start a", "entities": [{"type": "bot_command"}]}),
        ("message", _MESSAGE | {"location": {"latitude": 42.3, "longitude": -71.1}}),
        ("message", _MESSAGE | {"contact": {"phone_number": "1", "first_name": "R"}}),
        ("message", _MESSAGE | {"chat": {"id": -5, "type": "group", "title": "Rowers"}}),
        (
            "callback_query",
            {"id": "4", "from": _ROBIN, "chat_instance": "1", "data": "confirm"}
            | {"message": _MESSAGE | {"text": "Shall I?"}},
        ),
    )
)
_CHAT_UPDATE = {"update_id": "u1", "kind": "text", "text": "an arch", "message_ref": "3"}

Post = Callable[[bytes], Awaitable[httpx.Response]]


def posted(*, seed: int, most: int) -> Tally:
    """Telegram's updates, of any shape."""
    shapes = st.sampled_from(_UPDATES).flatmap(disturbed)
    with BotApiServer() as api, asyncio.Runner() as runner:
        gateway = MemoryGateway()
        serving = hooked(api, gateway)
        address = runner.run(serving.__aenter__())
        http = httpx.AsyncClient(headers=_HEADERS)

        def act(case: tuple[object, bytes | None]) -> None:
            shape, raw = case
            body = _json(shape) if raw is None else raw
            before = len(gateway.inbox)
            status = runner.run(http.post(address, content=body)).status_code
            assert status in (200, 400, 413), f"the webhook answers {status}"
            if status == 200 and _is_a_text(shape, raw):
                gateway_has_it = len(gateway.inbox) > before or shape_is_known(gateway, shape)
                assert gateway_has_it, "an accepted update is nowhere"

        cases = st.tuples(shapes, st.none() | st.none() | st.none() | st.binary(max_size=80))
        tally = run("webhook updates", cases, act, seed=seed, most=most)
        runner.run(http.aclose())
        runner.run(serving.__aexit__(None, None, None))
    return tally


def chatted(*, seed: int, most: int) -> Tally:
    """The web chat's updates, photos and queries."""
    shapes = disturbed(_CHAT_UPDATE).map(_json)
    bodies = st.one_of(shapes, shapes, st.binary(max_size=80), ANY_TEXT.map(_encoded))
    kinds = st.sampled_from(["application/json"] * 3 + ["text/plain", "image/jpeg", ""])
    with asyncio.Runner() as runner:

        def act(case: tuple[str, bytes, str, str]) -> None:
            where, body, kind, after = case
            # The pace is for people: every case is a chat of its own.
            runner.run(_one(where, body, kind, after))

        async def _one(where: str, body: bytes, kind: str, after: str) -> None:
            gateway = MemoryGateway()
            async with a_client(gateway) as client:
                if where == "messages":
                    answer = await client.get("/chat/messages", params={"after": after})
                else:
                    headers = {"Content-Type": kind}
                    answer = await client.post(f"/chat/{where}", content=body, headers=headers)
            assert answer.status_code < 500, f"/chat/{where} answers {answer.status_code}"
            if where == "updates" and answer.status_code == 202:
                assert gateway.inbox, "an accepted update is nowhere"

        wheres = st.sampled_from(["updates", "updates", "updates", "photos", "session", "messages"])
        cases = st.tuples(wheres, bodies, kinds, ANY_TEXT.map(_printable))
        return run("web chat", cases, act, seed=seed, most=most)


def _json(value: object) -> bytes:
    return json.dumps(value).encode()


def _encoded(text: str) -> bytes:
    return text.encode("utf-8", "surrogatepass")


def _printable(text: str) -> str:
    return text.encode("utf-8", "replace").decode()


def _is_a_text(shape: object, raw: bytes | None) -> bool:
    """Whether it is a message with text from a person alone, which always goes to the inbox."""
    message = shape.get("message") if raw is None and isinstance(shape, dict) else None
    return (
        isinstance(message, dict)
        and message.get("chat") == _CHAT
        and message.get("from") == _ROBIN
        and message.get("text") in ("an arch for june 6", "/start a")
    )


def shape_is_known(gateway: MemoryGateway, shape: Any) -> bool:
    """Whether the same update came before: it is kept once."""
    return any(entry[2] == str(shape["update_id"]) for entry in gateway.inbox)
