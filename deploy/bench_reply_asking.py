"""A running shop as the reply's bench asks it: cheaply, so that asking takes little of the time."""

import asyncio
import contextlib
import json
import os
import secrets
import sqlite3
import subprocess
import sys
from collections.abc import AsyncIterator, Sequence
from pathlib import Path
from typing import Any, Self
from urllib.parse import urlsplit

from deploy.stack import Stack

_CHAT = (
    "hi how much for a garland on a {feet} ft wide 7 ft tall arch frame, sage cream and gold, "
    "june 6 at 3pm, indoors at a hall in 02139"
)


def bodies(count: int) -> list[bytes]:
    """So many different requests, as the bot posts them."""
    return [json.dumps(_lead(number)).encode() for number in range(count)]


def _lead(number: int) -> dict[str, Any]:
    frame = {
        "support": "round_top_frame",
        "width_m": round(1.2192 + number / 10_000, 4),
        "height_m": 2.1336,
    }
    return {
        "brief": {
            "pieces": [frame],
            "palette": ["sage", "cream", "gold"],
            "event": {"occasion": "anniversary", "date": "2027-06-06"},
            "site": {"setting": "indoor", "postal_code": "02139"},
        },
        "channel": "webchat",
        "chat_id": secrets.token_urlsafe(16),
    }


class Http:
    """Connections to one server that are kept, and the bytes that go over them."""

    def __init__(self, base: str, key: str = "") -> None:
        split = urlsplit(base)
        self._where = split.hostname, split.port
        self._key = key
        self._free: list[tuple[asyncio.StreamReader, asyncio.StreamWriter]] = []

    async def ask(
        self, method: str, path: str, body: bytes = b"", **headers: str
    ) -> tuple[dict[str, str], bytes]:
        """The answer's headers and body. Raises RuntimeError for anything but success."""
        request = self._head(method, path, body, headers) + body
        while True:
            kept = bool(self._free)
            reader, writer = (
                self._free.pop() if kept else await asyncio.open_connection(*self._where)
            )
            try:
                writer.write(request)
                head = (await reader.readuntil(b"\r\n\r\n")).decode("latin-1")
                break
            except (asyncio.IncompleteReadError, ConnectionError):
                writer.close()
                if not kept:  # one that was kept may have just been closed by the server
                    raise
        status, *lines = head.splitlines()
        got = {k.lower(): v for k, _, v in (line.partition(": ") for line in lines if line)}
        content = await reader.readexactly(int(got.get("content-length", 0)))
        self._free.append((reader, writer))
        if status.split()[1][0] != "2":
            raise RuntimeError(f"{method} {path}: {status} {content[:300]!r}")
        return got, content

    def _head(self, method: str, path: str, body: bytes, headers: dict[str, str]) -> bytes:
        given = {
            "Host": "localhost",
            "Content-Length": str(len(body)),
            "Content-Type": "application/json",
            **({"Authorization": f"Bearer {self._key}"} if self._key else {}),
            **{name.replace("_", "-"): value for name, value in headers.items()},
        }
        lines = "".join(f"{name}: {value}\r\n" for name, value in given.items())
        return f"{method} {path} HTTP/1.1\r\n{lines}\r\n".encode()

    def close(self) -> None:
        """Let go of every connection."""
        for _, writer in self._free:
            writer.close()


class Shop:
    """The shop under test."""

    def __init__(self, stack: Stack, data: Path) -> None:
        self._stack = stack
        self._data = data
        keys = json.loads((data / "keys.json").read_text())
        self._service = Http(stack.service.local, keys["bot"])
        self._chat = Http(stack.chat.local)
        self._chats: list[tuple[str, dict[str, str]]] = []
        self._at = 0

    @classmethod
    @contextlib.asynccontextmanager
    async def at(cls, stack: Stack, data: Path) -> AsyncIterator[Self]:
        """The shop that runs in a folder."""
        shop = cls(stack, data)
        try:
            yield shop
        finally:
            shop._service.close()
            shop._chat.close()

    def pid(self, name: str) -> int:
        """One of its processes."""
        pid = self._stack.child(name).pid
        if pid is None:
            raise RuntimeError(f"{name} does not run")
        return pid

    async def price(self, body: bytes) -> None:
        """Post a request, as the bot does after a yes, and wait until its price is visible."""
        key = f'"{secrets.token_hex(8)}"'
        await self._service.ask("POST", "/v1/leads", body, Idempotency_Key=key)
        await self._wait(json.loads(body)["chat_id"])

    async def _wait(self, chat: str) -> None:
        path = f"/v1/conversations/webchat/{chat}/messages?after=0&wait_s=30"
        while True:
            _, answer = await self._service.ask("GET", path)
            if any(each["kind"] == "ballpark" for each in json.loads(answer)):
                return

    async def ready(self, count: int) -> None:
        """So many clients who have only to say yes."""
        for number in range(count):
            headers, _ = await self._chat.ask("POST", "/chat/session", b"{}")
            cookie = headers["set-cookie"].partition(";")[0]
            await self._say(cookie, kind="text", text=_CHAT.format(feet=4 + number / 1000))
            self._chats.append((cookie, await self._button(cookie)))

    async def _button(self, cookie: str) -> dict[str, str]:
        while True:
            for message in await self._messages(cookie):
                for button in message["buttons"]:
                    if (button["value"] or "").startswith("confirm"):
                        return {"text": button["value"], "label": button["label"]}
            await asyncio.sleep(0.02)

    async def _messages(self, cookie: str, after: int = 0) -> list[dict[str, Any]]:
        _, answer = await self._chat.ask("GET", f"/chat/messages?after={after}", Cookie=cookie)
        found: list[dict[str, Any]] = json.loads(answer)
        return found

    async def _say(self, cookie: str, **update: str) -> None:
        body = json.dumps({"update_id": secrets.token_hex(8), **update}).encode()
        await self._chat.ask("POST", "/chat/updates", body, Cookie=cookie)

    async def confirm(self, _number: int) -> None:
        """The next client says yes and waits for the price, with the page's stream open."""
        cookie, button = self._chats[self._at]
        self._at += 1
        async with self._stream(cookie) as priced:
            await self._say(cookie, kind="button", **button)
            await priced

    @contextlib.asynccontextmanager
    async def _stream(self, cookie: str) -> AsyncIterator[asyncio.Task[None]]:
        port = self._stack.chat.port
        reader, writer = await asyncio.open_connection("127.0.0.1", port)
        head = f"GET /chat/stream?after=0 HTTP/1.1\r\nHost: localhost\r\nCookie: {cookie}\r\n\r\n"
        writer.write(head.encode())
        await reader.readuntil(b"readback")  # it is open
        task = asyncio.create_task(_until(reader, b'"ballpark"'))
        try:
            yield task
        finally:
            task.cancel()
            writer.close()

    async def owe(self, asks: Sequence[bytes]) -> None:
        """Have so many requests owed at once."""

        async def some(part: Sequence[bytes]) -> None:
            for body in part:
                key = f'"{secrets.token_hex(8)}"'
                await self._service.ask("POST", "/v1/leads", body, Idempotency_Key=key)

        await asyncio.gather(*(some(asks[k::8]) for k in range(8)))

    async def drained(self) -> None:
        """Wait until no price is owed any more."""
        database = sqlite3.connect(f"file:{self._data / 'garlandry.sqlite3'}?mode=ro", uri=True)
        owed = "SELECT 1 FROM steps WHERE kind = 'quote' AND state = 'owed' LIMIT 1"
        with contextlib.closing(database):
            while database.execute(owed).fetchone():
                await asyncio.sleep(0.05)


async def _until(reader: asyncio.StreamReader, words: bytes) -> None:
    await reader.readuntil(words)


def process(*command: str, folder: Path, log: str) -> subprocess.Popen[bytes]:
    """A Python process of ours that writes into a log."""
    with (folder / log).open("ab") as output:
        return subprocess.Popen(
            [sys.executable, *command], stdout=output, stderr=output, env=dict(os.environ)
        )
