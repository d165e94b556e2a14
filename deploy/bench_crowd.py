"""What other chats feel of one that sends hundreds of messages at once: one bot, then two."""

import argparse
import asyncio
import contextlib
import itertools
import sqlite3
import statistics
import tempfile
import time
import uuid
from collections import Counter
from collections.abc import AsyncIterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any
from urllib.parse import parse_qs

import httpx
import uvicorn
from starlette.applications import Starlette
from starlette.requests import Request
from starlette.responses import JSONResponse, Response
from starlette.routing import Route

from deploy.machine import Machine, Shared, free_ports

BURST, AT_ONCE, OTHERS = 500, 40, 8
"""Messages of the crowd, posts that Telegram has under way at once, and chats on each channel."""

QUIET_S, EVERY_S = 8.0, 0.5
_TELEGRAM_EVERY_S = 3.0
_CROWD, _FIRST_OTHER = 100, 200
_TOKEN = "7000000001:loopback-only-token"  # noqa: S105  of the server below
_ABOUT = {"name": "", "description": "", "short_description": ""}
_ids = itertools.count(1)


@dataclass
class Telegram:
    """A Bot API server that takes everything and remembers when a chat was written to."""

    written: dict[int, list[float]] = field(default_factory=dict)

    async def answer(self, request: Request) -> Response:
        """Any method."""
        method = request.url.path.rpartition("/")[2]
        if method == "getMe":
            return _ok(
                {"id": 7_000_000_001, "is_bot": True, "first_name": "B", "username": "b_bot"}
            )
        if method.startswith("getMy"):
            listed: list[Any] = []
            return _ok(listed if method == "getMyCommands" else _ABOUT)
        if not method.startswith("send") or method == "sendChatAction":
            return _ok(True)
        chat = int(parse_qs((await request.body()).decode())["chat_id"][0])
        self.written.setdefault(chat, []).append(time.perf_counter())
        place = {"id": chat, "type": "private"}
        return _ok({"message_id": next(_ids), "date": 1_800_000_000, "chat": place, "text": "x"})


def _ok(result: Any) -> Response:
    return JSONResponse({"ok": True, "result": result})


@contextlib.asynccontextmanager
async def _bot_api() -> AsyncIterator[tuple[Telegram, str]]:
    told, (port,) = Telegram(), free_ports(1)
    routes = [Route("/{path:path}", told.answer, methods=["GET", "POST"])]
    config = uvicorn.Config(Starlette(routes=routes), port=port, log_level="critical")
    server = uvicorn.Server(config)
    serving = asyncio.create_task(server.serve())
    while not server.started:
        await asyncio.sleep(0.05)
    try:
        yield told, f"http://127.0.0.1:{port}"
    finally:
        server.should_exit = True
        await serving


@dataclass(kw_only=True)
class Waits:
    """Seconds from sending to the answer, by channel, before the burst and during it."""

    quiet: dict[str, list[float]] = field(default_factory=lambda: {"telegram": [], "web chat": []})
    crowded: dict[str, list[float]] = field(
        default_factory=lambda: {"telegram": [], "web chat": []}
    )
    burst_taken_s: float = 0.0
    burst_answered_s: float = 0.0

    def note(self, channel: str, began: float, crowd: "Crowd") -> None:
        """An answer has come just now."""
        now = time.perf_counter()
        times = self.crowded if crowd.began < now else self.quiet
        times[channel].append(now - began)


@dataclass
class Crowd:
    """When the burst began and whether it is over."""

    began: float = float("inf")
    over: bool = False


class Bench:
    """One shop under a burst."""

    def __init__(
        self, machine: Machine, shared: Shared, telegram: Telegram, burst: int = BURST
    ) -> None:
        self._machine, self._shared, self._telegram = machine, shared, telegram
        self._burst_of = burst
        self._http = httpx.AsyncClient(timeout=60, limits=httpx.Limits(max_connections=None))
        self._doors = itertools.cycle([bot.hook for bot in machine.bots])
        self.waits, self.crowd = Waits(), Crowd()

    async def run(self, database: Path) -> Waits:
        """Others chat; then the crowd comes."""
        others = [self._telegram_chat(_FIRST_OTHER + n) for n in range(OTHERS)]
        others += [self._web_chat(n) for n in range(OTHERS)]
        chatting = asyncio.gather(*others)
        await asyncio.sleep(QUIET_S)
        await self._burst(database)
        self.crowd.over = True
        await chatting
        await self._http.aclose()
        return self.waits

    async def _burst(self, database: Path) -> None:
        self.crowd.began = time.perf_counter()
        at_once = asyncio.Semaphore(AT_ONCE)

        async def post(number: int) -> None:
            async with at_once:
                await self._post(_CROWD, f"message {number}")

        await asyncio.gather(*(post(number) for number in range(self._burst_of)))
        self.waits.burst_taken_s = time.perf_counter() - self.crowd.began
        while _unanswered(database):
            await asyncio.sleep(0.2)
        self.waits.burst_answered_s = time.perf_counter() - self.crowd.began

    async def _telegram_chat(self, chat: int) -> None:
        written = self._telegram.written.setdefault(chat, [])
        while not self.crowd.over:
            began, seen = time.perf_counter(), len(written)
            await self._post(chat, "hello")
            while len(written) == seen:
                await asyncio.sleep(0.005)
            self.waits.note("telegram", began, self.crowd)
            # The Bot API takes about a message a second in a chat, and an answer may be two.
            await asyncio.sleep(_TELEGRAM_EVERY_S)

    async def _web_chat(self, number: int) -> None:
        bot = self._machine.bots[number % len(self._machine.bots)]
        async with httpx.AsyncClient(base_url=bot.chat, timeout=60) as http:
            (await http.post("/chat/session")).raise_for_status()
            after = 0
            while not self.crowd.over:
                began = time.perf_counter()
                update = {"update_id": uuid.uuid4().hex, "kind": "text", "text": "hello"}
                await _insist(http, "/chat/updates", json=update)
                while not (shown := await _answers(http, after)):
                    await asyncio.sleep(0.01)
                after = shown[-1]["seq"]
                self.waits.note("web chat", began, self.crowd)
                await asyncio.sleep(EVERY_S)

    async def _post(self, chat: int, text: str) -> None:
        person, number = {"id": chat, "first_name": "Robin"}, next(_ids)
        message = {
            "message_id": number,
            "date": 1_800_000_000,
            "chat": {**person, "type": "private"},
            "from": {**person, "is_bot": False},
            "text": text,
        }
        secret = {"X-Telegram-Bot-Api-Secret-Token": self._shared.hook_secret}
        body = {"update_id": number, "message": message}
        await _insist(self._http, next(self._doors), json=body, headers=secret)


async def _insist(http: httpx.AsyncClient, door: str, **body: Any) -> None:
    while True:  # as Telegram and the page do: the same again until it is taken
        with contextlib.suppress(httpx.TransportError):
            if (await http.post(door, **body)).is_success:
                return
        await asyncio.sleep(0.05)


async def _answers(http: httpx.AsyncClient, after: int) -> list[dict[str, Any]]:
    found: list[dict[str, Any]] = []
    with contextlib.suppress(httpx.TransportError):
        found = (await http.get("/chat/messages", params={"after": after})).json()
    return [one for one in found if one["direction"] == "out"]


def _unanswered(database: Path) -> int:
    with contextlib.closing(sqlite3.connect(database)) as data:
        query = "SELECT count(*) FROM inbox WHERE chat_id = ? AND handled_at IS NULL"
        return int(data.execute(query, (str(_CROWD),)).fetchone()[0])


def _order(database: Path) -> tuple[int, int]:
    """Messages of the crowd that were stored more than once, and pairs that changed places."""
    query = (
        "SELECT m.text, i.id FROM messages m JOIN conversations c ON c.id = m.conversation_id"
        " JOIN inbox i ON i.update_id = m.update_id AND i.channel = c.channel"
        " WHERE c.chat_id = ? AND m.direction = 'in' ORDER BY m.seq"
    )
    with contextlib.closing(sqlite3.connect(database)) as data:
        rows = data.execute(query, (str(_CROWD),)).fetchall()
    doubled = sum(number - 1 for number in Counter(text for text, _ in rows).values())
    ids = [inbox_id for _, inbox_id in rows]
    return doubled, sum(1 for before, after in itertools.pairwise(ids) if before > after)


def _conflicts(log: Path) -> int:
    """Turns that were worked out and came too late, by what the service counted in its log."""
    text = log.read_text(errors="replace") if log.exists() else ""
    return sum("/turns" in line and " 409" in line for line in text.splitlines())


async def _measure(bots: int, burst: int) -> str:
    with tempfile.TemporaryDirectory() as folder:
        from tests.workers.redis_server import redis_server

        async with _bot_api() as (telegram, address):
            with redis_server(Path(folder)) as queue:
                return await _with_servers(Path(folder), bots, burst, telegram, address, queue)


async def _with_servers(
    folder: Path, bots: int, burst: int, telegram: Telegram, address: str, queue: str
) -> str:
    database = folder / "shop.sqlite3"
    shared = Shared(
        database=f"sqlite:///{database}",
        redis=queue,
        token=_TOKEN,
        telegram_api=address,
        settings={"GARLANDRY_REFERENCE_DATE": "2027-01-10"},
    )
    ports = free_ports(1 + 2 * bots)
    machine = Machine("m", folder / "m", shared, lambda _: None, ports=ports)
    try:
        await machine.start()
        waits = await Bench(machine, shared, telegram, burst).run(database)
        return _told(
            bots, burst, waits, *_order(database), _conflicts(folder / "m" / "service.log")
        )
    finally:
        await machine.stop()


def _told(bots: int, burst: int, waits: Waits, doubled: int, changed: int, conflicts: int) -> str:
    lines = [
        f"{bots} bot{'s' if bots > 1 else ''}: {burst} messages of one chat taken in"
        f" {waits.burst_taken_s:.1f} s, answered in {waits.burst_answered_s:.1f} s"
        f" (doubled {doubled}, out of order {changed}, conflicts {conflicts})"
    ]
    for channel, quiet in waits.quiet.items():
        crowded = waits.crowded[channel]
        if quiet and crowded:
            lines.append(
                f"  {channel}: an answer before it {statistics.median(quiet) * 1000:.0f} ms"
                f" (median), longest {max(quiet) * 1000:.0f}; during it"
                f" {statistics.median(crowded) * 1000:.0f} ms, longest {max(crowded) * 1000:.0f}"
                f" ({len(crowded)} answers): later by {max(crowded) - statistics.median(quiet):.2f}"
                " s at most"
            )
    return "\n".join(lines)


def main() -> None:
    """Print what the burst does to others."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--messages", type=int, default=BURST)
    parser.add_argument("--bots", type=int, nargs="+", default=[1, 2])
    options = parser.parse_args()
    for bots in options.bots:
        print(asyncio.run(_measure(bots, options.messages)), flush=True)


if __name__ == "__main__":
    main()
