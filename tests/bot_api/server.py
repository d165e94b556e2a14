"""The server itself: one bot, its clients, and every call the bot makes."""

import asyncio
import copy
import re
import socket
import threading
import time
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Any, Self

import uvicorn
from starlette.applications import Starlette
from starlette.requests import Request
from starlette.responses import JSONResponse, Response
from starlette.routing import Route

from tests.bot_api import rules
from tests.bot_api.rules import Refusal

_LOOPBACK_TOKEN = "7000000001:loopback-only-token"
_TOKEN = re.compile(r"\d+:[\w-]+")
# A long poll looks this often for something new.
_LOOK_S = 0.005


@dataclass(frozen=True, kw_only=True)
class Call:
    """One call of the bot. `status` is the HTTP status answered, 0 while the call is open."""

    method: str
    params: dict[str, Any]
    status: int
    at: float


@dataclass(kw_only=True)
class Sent:
    """A message as its reader sees it now."""

    message_id: int
    chat_id: int
    text: str
    rows: list[list[dict[str, Any]]]
    edits: int = 0

    @property
    def buttons(self) -> list[dict[str, Any]]:
        """The buttons, row by row."""
        return [button for row in self.rows for button in row]


@dataclass(kw_only=True)
class _Fault:
    """What goes wrong at the next calls of a method."""

    status: int = 0
    retry_after: int | None = None
    stall_s: float = 0.0
    after_effect: bool = False


@dataclass(kw_only=True)
class _World:
    """All that the server knows. Guarded by one lock: tests and server are different threads."""

    chats: dict[int, dict[str, Any]] = field(default_factory=dict)
    blocked: set[int] = field(default_factory=set)
    messages: dict[tuple[int, int], Sent] = field(default_factory=dict)
    updates: list[dict[str, Any]] = field(default_factory=list)
    again: list[dict[str, Any]] = field(default_factory=list)
    past: dict[int, dict[str, Any]] = field(default_factory=dict)
    queries: set[str] = field(default_factory=set)
    calls: list[Call] = field(default_factory=list)
    faults: dict[str, list[_Fault]] = field(default_factory=dict)
    commands: list[dict[str, str]] = field(default_factory=list)
    next_update: int = 700_000_001
    next_message: int = 1
    poll: int = 0


class BotApiServer:
    """A Bot API server on a free loopback port, for one bot.

    Use it as a context manager. `say` and `press` are what a client does; `sent` is what the
    client sees; `calls` is every call the bot made; `fail` and `stall` script trouble.
    `base_url` goes without the `/bot` that the library wants appended.
    """

    def __init__(self, token: str = _LOOPBACK_TOKEN) -> None:
        self.token = token
        self._world = _World()
        self._lock = threading.RLock()
        self._socket = socket.create_server(("127.0.0.1", 0))
        self.base_url = f"http://127.0.0.1:{self._socket.getsockname()[1]}"
        self._server = uvicorn.Server(
            uvicorn.Config(
                Starlette(routes=[Route("/{path:path}", self._serve, methods=["GET", "POST"])]),
                log_config=None,
                # Its own access log would tell the token that tests look for in the bot's log.
                log_level="critical",
                lifespan="off",
                timeout_graceful_shutdown=1,
            )
        )
        self._thread = threading.Thread(
            target=self._server.run, kwargs={"sockets": [self._socket]}, daemon=True
        )

    def __enter__(self) -> Self:
        self._thread.start()
        _wait(lambda: self._server.started, 10, "the server starts")
        return self

    def __exit__(self, *exc: object) -> None:
        self._server.should_exit = True
        self._thread.join(timeout=10)
        self._socket.close()

    # What a client does

    def say(
        self, chat_id: int, text: str, *, name: str = "Robin Reyes", language: str = "en"
    ) -> int:
        """A client writes in a private chat. Returns the update's id."""
        entity = {"type": "bot_command", "offset": 0, "length": len(text.split()[0])}
        extra = {"entities": [entity]} if text.startswith("/") else {}
        return self._message(chat_id, {"text": text, **extra}, name, language)

    def send_photo(self, chat_id: int, caption: str | None = None) -> int:
        """A client sends a photo. Returns the update's id."""
        size = {"file_id": "photo-1", "file_unique_id": "p1", "width": 90, "height": 90}
        content: dict[str, Any] = {"photo": [size]}
        if caption is not None:
            content["caption"] = caption
        return self._message(chat_id, content, "Robin Reyes", "en")

    def press(self, chat_id: int, message_id: int, data: str) -> int:
        """A client presses a button of a message that the bot sent. Returns the update's id."""
        with self._lock:
            sent = self._world.messages[chat_id, message_id]
            offered = [button.get("callback_data") for button in sent.buttons]
            if data not in offered:
                raise AssertionError(f"message {message_id} has no button {data!r}: {offered}")
            query_id = f"q{self._world.next_update}"
            self._world.queries.add(query_id)
            query = {
                "id": query_id,
                "from": self._person(chat_id),
                "chat_instance": f"i{chat_id}",
                "data": data,
                "message": self._as_message(sent),
            }
            return self.queue({"callback_query": query})

    def queue(self, update: Mapping[str, Any]) -> int:
        """Put any update in the queue, with the next id. Returns the id."""
        with self._lock:
            numbered = {"update_id": self._world.next_update, **update}
            self._world.next_update += 1
            self._world.past[numbered["update_id"]] = numbered
            self._world.updates.append(numbered)
            return int(numbered["update_id"])

    def repeat(self, update_id: int) -> None:
        """Send an update once more under its old id, whatever offset the bot asks for."""
        with self._lock:
            self._world.again.append(copy.deepcopy(self._world.past[update_id]))

    def block(self, chat_id: int) -> None:
        """The client blocks the bot."""
        with self._lock:
            self._world.blocked.add(chat_id)

    # What goes wrong

    def fail(
        self, method: str, status: int, *, retry_after: int | None = None, times: int = 1
    ) -> None:
        """The next `times` calls of `method` are answered with an error and have no effect."""
        with self._lock:
            faults = [_Fault(status=status, retry_after=retry_after) for _ in range(times)]
            self._world.faults.setdefault(method, []).extend(faults)

    def stall(
        self, method: str, seconds: float, *, times: int = 1, after_effect: bool = False
    ) -> None:
        """The next `times` calls of `method` wait `seconds` and are then answered with a 500.

        With `after_effect` the call took effect before: the caller cannot know that it did.
        """
        with self._lock:
            faults = [
                _Fault(status=500, stall_s=seconds, after_effect=after_effect) for _ in range(times)
            ]
            self._world.faults.setdefault(method, []).extend(faults)

    # What can be seen

    @property
    def calls(self) -> list[Call]:
        """Every call the bot made, oldest first."""
        with self._lock:
            return list(self._world.calls)

    def calls_of(self, method: str) -> list[Call]:
        """The calls of one method."""
        return [call for call in self.calls if call.method == method]

    def sent(self, chat_id: int) -> list[Sent]:
        """The bot's messages in a chat, as they read now."""
        with self._lock:
            return [copy.deepcopy(m) for m in self._world.messages.values() if m.chat_id == chat_id]

    def wait_for_sent(self, chat_id: int, count: int, timeout_s: float = 10) -> list[Sent]:
        """Wait until the chat holds `count` messages of the bot."""
        _wait(lambda: len(self.sent(chat_id)) >= count, timeout_s, f"{count} messages arrive")
        return self.sent(chat_id)

    def wait_for_calls(self, method: str, count: int, timeout_s: float = 10) -> list[Call]:
        """Wait until `method` was called `count` times."""
        _wait(lambda: len(self.calls_of(method)) >= count, timeout_s, f"{count} calls of {method}")
        return self.calls_of(method)

    @property
    def unconfirmed(self) -> list[int]:
        """Ids of the updates that the bot has not confirmed with an offset."""
        with self._lock:
            return [int(update["update_id"]) for update in self._world.updates]

    # The server's side

    async def _serve(self, request: Request) -> Response:
        found = re.fullmatch(r"bot([^/]+)/(\w+)", request.path_params["path"])
        if found is None or not _TOKEN.fullmatch(found[1]):
            return _refused(Refusal(404, "Not Found"))
        if found[1] != self.token:
            return _refused(Refusal(401, "Unauthorized"))
        try:
            params = await _parameters(request)
        except Refusal as refusal:
            return _refused(refusal)
        position = self._record(found[2], params)
        try:
            response: Response = JSONResponse(
                {"ok": True, "result": await self._answer(found[2], params)}
            )
        except Refusal as refusal:
            response = _refused(refusal)
        self._settle(position, response.status_code)
        return response

    def _record(self, method: str, params: dict[str, Any]) -> int:
        with self._lock:
            call = Call(method=method, params=params, status=0, at=time.monotonic())
            self._world.calls.append(call)
            return len(self._world.calls) - 1

    def _settle(self, position: int, status: int) -> None:
        with self._lock:
            call = self._world.calls[position]
            self._world.calls[position] = Call(
                method=call.method, params=call.params, status=status, at=call.at
            )

    async def _answer(self, method: str, params: dict[str, Any]) -> Any:
        fault = self._next_fault(method)
        if fault is None:
            return await self._act(method, params)
        if fault.after_effect:
            await self._act(method, params)
        await asyncio.sleep(fault.stall_s)
        description = "Too Many Requests" if fault.status == 429 else "scripted failure"
        raise Refusal(fault.status, description, retry_after=fault.retry_after)

    def _next_fault(self, method: str) -> _Fault | None:
        with self._lock:
            waiting = self._world.faults.get(method)
            return waiting.pop(0) if waiting else None

    async def _act(self, method: str, params: dict[str, Any]) -> Any:
        if method == "getUpdates":
            return await self._get_updates(params)
        acts: dict[str, Callable[[dict[str, Any]], Any]] = {
            "getMe": lambda _: self._me(),
            "sendMessage": self._send_message,
            "editMessageText": self._edit_message_text,
            "sendChatAction": self._send_chat_action,
            "answerCallbackQuery": self._answer_callback_query,
            "setMyCommands": self._set_my_commands,
            "deleteWebhook": lambda _: True,
        }
        if method not in acts:
            raise Refusal(404, "Not Found: method not found")
        with self._lock:
            return acts[method](params)

    async def _get_updates(self, params: dict[str, Any]) -> list[dict[str, Any]]:
        offset, limit = int(params.get("offset") or 0), int(params.get("limit") or 100)
        deadline = time.monotonic() + float(params.get("timeout") or 0)
        with self._lock:
            self._world.poll += 1
            mine = self._world.poll
        while True:
            with self._lock:
                if mine != self._world.poll:
                    raise Refusal(409, "Conflict: terminated by other getUpdates request")
                ready = self._ready(offset, params.get("allowed_updates") or [])[:limit]
            if ready or time.monotonic() >= deadline or self._server.should_exit:
                return ready
            await asyncio.sleep(_LOOK_S)

    def _ready(self, offset: int, allowed: list[str]) -> list[dict[str, Any]]:
        # An offset confirms every update before it: they are gone for good.
        updates = self._world.updates
        updates[:] = [one for one in updates if int(one["update_id"]) >= offset]
        repeated, self._world.again = self._world.again, []
        ready = [*repeated, *updates]
        return [one for one in ready if not allowed or any(kind in one for kind in allowed)]

    def _me(self) -> dict[str, Any]:
        bot_id = int(self.token.split(":")[0])
        return {"id": bot_id, "is_bot": True, "first_name": "Ribbon", "username": "ribbon_bot"}

    def _send_message(self, params: dict[str, Any]) -> dict[str, Any]:
        text = rules.message_text(params)
        rows = rules.keyboard(params.get("reply_markup"))
        chat_id = self._known_chat(params)
        sent = Sent(message_id=self._message_id(), chat_id=chat_id, text=text, rows=rows)
        self._world.messages[chat_id, sent.message_id] = sent
        return self._as_message(sent)

    def _edit_message_text(self, params: dict[str, Any]) -> dict[str, Any]:
        text = rules.message_text(params)
        rows = rules.keyboard(params.get("reply_markup"))
        chat_id = self._known_chat(params)
        sent = self._world.messages.get((chat_id, int(params.get("message_id") or 0)))
        if sent is None:
            raise Refusal(400, "Bad Request: message to edit not found")
        if (sent.text, sent.rows) == (text, rows):
            raise Refusal(400, "Bad Request: message is not modified")
        sent.text, sent.rows, sent.edits = text, rows, sent.edits + 1
        return self._as_message(sent)

    def _send_chat_action(self, params: dict[str, Any]) -> bool:
        rules.chat_action(params.get("action"))
        self._known_chat(params)
        return True

    def _answer_callback_query(self, params: dict[str, Any]) -> bool:
        rules.callback_answer(params.get("text"))
        query_id = str(params.get("callback_query_id"))
        if query_id not in self._world.queries:
            raise Refusal(400, "Bad Request: query is too old or query ID is invalid")
        self._world.queries.discard(query_id)
        return True

    def _set_my_commands(self, params: dict[str, Any]) -> bool:
        self._world.commands = rules.commands(params.get("commands"))
        return True

    def _known_chat(self, params: dict[str, Any]) -> int:
        try:
            chat_id = int(params.get("chat_id") or 0)
        except ValueError:
            chat_id = 0
        if chat_id not in self._world.chats:
            raise Refusal(400, "Bad Request: chat not found")
        if chat_id in self._world.blocked:
            raise Refusal(403, "Forbidden: bot was blocked by the user")
        return chat_id

    def _message(self, chat_id: int, content: dict[str, Any], name: str, language: str) -> int:
        with self._lock:
            first, _, last = name.partition(" ")
            person = {"id": chat_id, "is_bot": False, "first_name": first}
            person |= {"last_name": last} if last else {}
            self._world.chats[chat_id] = {**person, "language_code": language}
            message = {
                "message_id": self._message_id(),
                "date": int(time.time()),
                "chat": self._chat(chat_id),
                "from": self._person(chat_id),
                **content,
            }
            return self.queue({"message": message})

    def _message_id(self) -> int:
        self._world.next_message += 1
        return self._world.next_message - 1

    def _person(self, chat_id: int) -> dict[str, Any]:
        return self._world.chats[chat_id]

    def _chat(self, chat_id: int) -> dict[str, Any]:
        first_name = self._world.chats[chat_id]["first_name"]
        return {"id": chat_id, "type": "private", "first_name": first_name}

    def _as_message(self, sent: Sent) -> dict[str, Any]:
        message = {
            "message_id": sent.message_id,
            "date": int(time.time()),
            "chat": self._chat(sent.chat_id),
            "from": self._me(),
            "text": sent.text,
        }
        if sent.rows:
            message["reply_markup"] = {"inline_keyboard": sent.rows}
        return message


async def _parameters(request: Request) -> dict[str, Any]:
    if request.headers.get("content-type", "").startswith("application/json"):
        body = await request.json()
        return dict(body) if isinstance(body, dict) else {}
    read = {key: rules.parameter(key, value) for key, value in request.query_params.items()}
    if request.method == "POST":
        form = await request.form()
        read |= {key: rules.parameter(key, v) for key, v in form.items() if isinstance(v, str)}
    return read


def _refused(refusal: Refusal) -> JSONResponse:
    body: dict[str, Any] = {
        "ok": False,
        "error_code": refusal.status,
        "description": refusal.description,
    }
    if refusal.retry_after is not None:
        body["parameters"] = {"retry_after": refusal.retry_after}
    return JSONResponse(body, status_code=refusal.status)


def _wait(done: Callable[[], bool], timeout_s: float, what: str) -> None:
    deadline = time.monotonic() + timeout_s
    while not done():
        if time.monotonic() > deadline:
            raise AssertionError(f"waited {timeout_s} s in vain until {what}")
        time.sleep(0.005)
