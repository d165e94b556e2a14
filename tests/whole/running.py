"""The real processes, started for a test as `deploy/run` starts them."""

import asyncio
import contextlib
import json
import os
import signal
import threading
import time
import uuid
from collections.abc import Callable, Coroutine, Iterator, Mapping
from pathlib import Path
from typing import Any, TypeVar

import httpx

from deploy.stack import ANY_PORTS, Stack

_T = TypeVar("_T")

Message = dict[str, Any]


class Running:
    """A running shop: its addresses, keys and processes."""

    def __init__(self, stack: Stack, loop: asyncio.AbstractEventLoop, data: Path) -> None:
        self._stack = stack
        self._loop = loop
        self.chat = stack.chat.local
        self.service = stack.service.local
        self.redis_url = stack.redis_url
        self.keys: dict[str, str] = json.loads((data / "keys.json").read_text())
        self.told: list[str] = []
        self._clients = contextlib.ExitStack()

    def pid(self, name: str) -> int:
        """The process id of redis, service, bot, replies, deliveries or upkeep, once it runs."""
        return wait_for(lambda: self._stack.child(name).pid, f"{name} runs")

    def kill(self, name: str, number: signal.Signals = signal.SIGKILL) -> None:
        """Send a signal to one process, by default the one that nobody can catch."""
        os.kill(self.pid(name), number)

    def welcome(self) -> str:
        """The desk's one-time link."""
        link = self._run(self._stack.welcome())
        assert link is not None
        return link

    def log(self, name: str) -> str:
        """All that a process has written."""
        return self._stack.child(name).log.read_text()

    def api(self, role: str) -> httpx.Client:
        """A client with a role's key."""
        headers = {"Authorization": f"Bearer {self.keys[role]}"}
        return httpx.Client(base_url=self.service, headers=headers, timeout=10)

    def client(self) -> "WebClient":
        """A new client of the web chat."""
        client = WebClient(self.chat)
        self._clients.callback(client.close)
        return client

    def close(self) -> None:
        """Let go of every client's connections."""
        self._clients.close()

    def _run(self, work: Coroutine[Any, Any, _T]) -> _T:
        return asyncio.run_coroutine_threadsafe(work, self._loop).result(timeout=60)


class WebClient:
    """Somebody at the web chat."""

    def __init__(self, chat: str) -> None:
        self._http = httpx.Client(base_url=chat, timeout=20)
        self._http.post("/chat/session").raise_for_status()

    def close(self) -> None:
        """Leave the page."""
        self._http.close()

    def say(self, text: str) -> None:
        """Type and send."""
        self._send(kind="text", text=text)

    def press(self, message: Message, value: str) -> None:
        """Press a message's button by the beginning of its value."""
        button = next(b for b in message["buttons"] if (b["value"] or "").startswith(value))
        self._send(kind="button", text=button["value"], label=button["label"])

    def messages(self) -> list[Message]:
        """The conversation so far."""
        found: list[Message] = self._http.get("/chat/messages", params={"after": 0}).json()
        return found

    def wait(self, kind: str, *, count: int = 1, timeout_s: float = 30) -> Message:
        """The newest message of a kind, once there are `count` of them."""

        def newest() -> Message | None:
            found = [m for m in self.messages() if m["kind"] == kind and m["direction"] == "out"]
            return found[-1] if len(found) >= count else None

        return wait_for(newest, f"a {kind} message", timeout_s=timeout_s)

    def kinds(self) -> list[str]:
        """Kinds of what the shop said, in order."""
        return [m["kind"] for m in self.messages() if m["direction"] == "out"]

    def _send(self, **update: str) -> None:
        body = {"update_id": str(uuid.uuid4()), **update}
        # The bot may be between two lives: the same update is sent again until it is taken.
        wait_for(lambda: self._taken(body), "the chat takes the update")

    def _taken(self, body: Mapping[str, str]) -> bool | None:
        with contextlib.suppress(httpx.TransportError):
            return self._http.post("/chat/updates", json=body).status_code == 202 or None
        return None


@contextlib.contextmanager
def running(data: Path, settings: Mapping[str, str]) -> Iterator[Running]:
    """Start everything in a folder, and stop it again."""
    loop = asyncio.new_event_loop()
    thread = threading.Thread(target=loop.run_forever, daemon=True)
    thread.start()
    told: list[str] = []

    async def make() -> Stack:
        # Ports that the system picks: test runs side by side must not meet each other's shops.
        stack = Stack(data, {**_path(), **settings}, told.append, ANY_PORTS)
        await stack.start()
        return stack

    stack = asyncio.run_coroutine_threadsafe(make(), loop).result(timeout=90)
    try:
        shop = Running(stack, loop, data)
        shop.told = told
        yield shop
        shop.close()
    finally:
        asyncio.run_coroutine_threadsafe(stack.stop(), loop).result(timeout=60)
        loop.call_soon_threadsafe(loop.stop)
        thread.join(timeout=10)
        loop.close()


def wait_for(look: Callable[[], _T | None], what: str, *, timeout_s: float = 30) -> _T:
    """The first thing that `look` finds. Raises AssertionError when it takes too long."""
    deadline = time.monotonic() + timeout_s
    while time.monotonic() < deadline:
        found = look()
        if found is not None:
            return found
        time.sleep(0.05)
    raise AssertionError(f"{what}: not within {timeout_s:g} s")


def _path() -> dict[str, str]:
    return {name: os.environ[name] for name in ("PATH", "HOME", "LANG") if name in os.environ}
