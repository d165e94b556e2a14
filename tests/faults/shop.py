"""The real processes, each with a way of its own to the service that can be broken."""

import asyncio
import contextlib
import json
import socket
import time
from collections.abc import AsyncIterator, Mapping
from pathlib import Path

import httpx
import psycopg

from deploy.children import Child
from deploy.stack import ANY_PORTS, Stack
from tests.faults.cables import Cable
from tests.faults.links import Link
from tests.faults.postgres import Postgres, prepare

ASKING = ("bot", "replies", "replies-2", "deliveries", "chores", "upkeep")
_CABLED = "replies-2"
_START_S = 30.0


class _Linked(Stack):
    """The stack with a second worker for replies, and every process on a way of its own."""

    ways: Mapping[str, str] = {}
    cable: Cable | None = None
    key = ""

    def _start(
        self, name: str, command: list[str], env: Mapping[str, str], *, tell_warnings: bool = True
    ) -> Child:
        way = {"GARLANDRY_SERVICE_URL": self.ways[name]} if name in self.ways else {}
        if name == _CABLED and self.cable is not None:
            command = [*self.cable.inside, *command]
        started = super()._start(name, command, {**env, **way}, tell_warnings=tell_warnings)
        if name == "replies":
            self._start(_CABLED, command, env)
        return started


class Shop:
    """A running shop, what lies between its processes, and what lies beneath."""

    def __init__(self, stack: Stack, links: dict[str, Link], postgres: Postgres | None) -> None:
        self._stack = stack
        self._postgres = postgres
        self.links = links
        self.cable: Cable | None = None
        self.chat = stack.chat.local
        self.service = stack.service.local
        self.keys: dict[str, str] = {}
        self.told: list[str] = []
        self.first_start_s = 0.0

    def pid(self, name: str) -> int | None:
        """The process that runs now under a name; None between two lives."""
        if name == "scheduler":
            return _first_child(self._stack.child("upkeep").pid)
        if name == "postgres":
            return self._postgres.child.pid if self._postgres else None
        if name == "postgres backend":
            return _backend(self.pid("postgres"))
        return self._stack.child(name).pid

    @property
    def logs(self) -> Path:
        """Where the processes write."""
        return self._stack.logs


@contextlib.asynccontextmanager
async def open_shop(
    data: Path,
    settings: Mapping[str, str],
    *,
    bot_api: str,
    postgres: Path | None,
    cable: Cable | None,
) -> AsyncIterator[Shop]:
    """Start everything in a folder; `postgres` is the folder of its server, None for SQLite."""
    links: dict[str, Link] = {}
    told: list[str] = []

    def tell(line: str) -> None:
        told.append(f"{time.monotonic():.2f} {line}")

    async with contextlib.AsyncExitStack() as opened:

        async def link(name: str, host: str, port: int, *, at: str = "127.0.0.1") -> int:
            links[name] = Link(lambda: (host, port), at)
            opened.push_async_callback(links[name].close)
            return await links[name].open()

        server = None
        api_host, _, api_port = bot_api.removeprefix("http://").partition(":")
        way_out = await link("bot api", api_host, int(api_port))
        more = {"GARLANDRY_TELEGRAM_API": f"http://127.0.0.1:{way_out}"}
        if postgres is not None:
            await asyncio.to_thread(prepare, postgres)
            server = Postgres(postgres, free_port(), data.parent / "postgres.log", tell)
            server.child.start()
            opened.push_async_callback(server.child.stop, 8.0)
            await _accepts(server)
            more["DATABASE_URL"] = server.url(await link("postgres", "127.0.0.1", server.port))
        stack = _Linked(data, {**settings, **more}, tell, ANY_PORTS)
        ways = {}
        for name in ASKING:
            at = cable.outer_address if cable and name == _CABLED else "127.0.0.1"
            port = await link(name, "127.0.0.1", stack.service.port, at=at)
            ways[name] = f"http://{at}:{port}"
        stack.ways, stack.cable = ways, cable
        opened.push_async_callback(stack.stop)
        serving = asyncio.create_task(_until_it_answers(stack.service.local))
        opened.callback(serving.cancel)
        await stack.start()
        shop = Shop(stack, links, server)
        shop.first_start_s = await serving
        shop.keys, shop.told, shop.cable = json.loads((data / "keys.json").read_text()), told, cable
        yield shop


async def _until_it_answers(service: str) -> float:
    """Seconds until the service answers."""
    began = time.monotonic()
    async with httpx.AsyncClient(timeout=2, trust_env=False) as http:
        while True:
            with contextlib.suppress(httpx.TransportError):
                await http.get(f"{service}/healthz")
                return time.monotonic() - began
            await asyncio.sleep(0.05)


async def _accepts(server: Postgres) -> None:
    deadline = time.monotonic() + _START_S
    while True:
        try:
            async with await psycopg.AsyncConnection.connect(server.url(server.port)):
                return
        except psycopg.OperationalError:
            if time.monotonic() > deadline:
                raise
            await asyncio.sleep(0.1)


def _first_child(pid: int | None) -> int | None:
    children = _children(pid)
    return children[0] if children else None


def _backend(pid: int | None) -> int | None:
    """One of PostgreSQL's processes that serve a connection."""
    for child in _children(pid):
        with contextlib.suppress(OSError):
            if b"127.0.0.1" in Path(f"/proc/{child}/cmdline").read_bytes():
                return child
    return None


def _children(pid: int | None) -> list[int]:
    try:
        listed = Path(f"/proc/{pid}/task/{pid}/children").read_text()
    except OSError:
        return []
    return [int(child) for child in listed.split()]


def free_port() -> int:
    """A port of loopback that nobody listens on."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])
