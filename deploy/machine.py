"""One machine of several: service, bots by webhook and workers, over what all of them share."""

import asyncio
import contextlib
import json
import os
import secrets
import socket
import sys
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from urllib.parse import urlsplit

import httpx

from deploy.children import Child
from service.storage.keys import Keys

ROOT = Path(__file__).parent.parent
WORKERS = ("replies=1", "deliveries=1", "chores=1", "upkeep=1")
_START_S = 60.0
_STOP_S = 10.0


@dataclass(frozen=True, kw_only=True)
class Shared:
    """What all machines of a shop are told: the two addresses, the keys, and of Telegram."""

    database: str
    redis: str
    token: str
    telegram_api: str
    keys: Keys = field(default_factory=lambda: fresh_keys())
    hook_secret: str = field(default_factory=lambda: secrets.token_urlsafe(24))
    settings: Mapping[str, str] = field(default_factory=dict)

    @property
    def env(self) -> dict[str, str]:
        """As settings of every process."""
        return {
            "PATH": os.environ["PATH"],
            "OTEL_SDK_DISABLED": "true",
            "PYTHONUNBUFFERED": "1",
            **self.settings,
            "DATABASE_URL": self.database,
            "REDIS_URL": self.redis,
        }


@dataclass(frozen=True, kw_only=True)
class BotAddress:
    """Where one bot is reached: its web chat, and the path that Telegram posts to."""

    chat: str
    hook: str


def fresh_keys() -> Keys:
    """Keys of a shop that begins."""
    return Keys(**{name: secrets.token_urlsafe(32) for name in Keys.model_fields})


def free_ports(count: int, host: str = "127.0.0.1") -> list[int]:
    """Ports on which nobody listens now."""
    with contextlib.ExitStack() as probes:
        found = [probes.enter_context(socket.create_server((host, 0))) for _ in range(count)]
        return [int(probe.getsockname()[1]) for probe in found]


class Machine:
    """Keeps the processes of one machine running; `within` is what their commands begin with.

    `ports` are of the service, and of web chat and webhook for each bot.
    """

    def __init__(
        self,
        name: str,
        folder: Path,
        shared: Shared,
        tell: Callable[[str], None],
        *,
        host: str = "127.0.0.1",
        ports: Sequence[int],
        within: Sequence[str] = (),
    ) -> None:
        self.name = name
        self._folder = folder
        self._tell = tell
        self._shared = shared
        self._host = host
        self._within = within
        self.service = f"http://{host}:{ports[0]}"
        doors = list(zip(ports[1::2], ports[2::2], strict=True))
        self.bots = [
            BotAddress(chat=f"http://{host}:{chat}", hook=f"http://{host}:{hook}/telegram")
            for chat, hook in doors
        ]
        self.children: dict[str, Child] = {}
        folder.mkdir(parents=True, exist_ok=True)

    async def start(self) -> None:
        """Bring everything up, and wait until service and bots answer."""
        await self._prepare()
        keys = self._shared.keys
        service_env = {
            "GARLANDRY_SERVICE_HOST": self._host,
            "GARLANDRY_SERVICE_PORT": str(urlsplit(self.service).port),
            "GARLANDRY_KEYS": json.dumps(keys.model_dump()),
            "GARLANDRY_DATA": str(self._folder),
            "GARLANDRY_PUBLIC_URL": self.service,
        }
        self._run("service", "service", ["run"], service_env)
        for number, bot in enumerate(self.bots):
            self._run(f"bot-{number}", "bot", ["run"], self._bot_env(bot))
        worker_env = {**self._telegram, "GARLANDRY_API_KEY": keys.worker}
        self._run("workers", "workers", ["pool", *WORKERS], worker_env)
        async with httpx.AsyncClient(timeout=2, trust_env=False) as http:
            for address in (self.service, *(bot.chat for bot in self.bots)):
                await self._answers(http, address)

    async def stop(self) -> None:
        """Stop all: first those who ask, last the service that answers."""
        asking = [child for name, child in self.children.items() if name != "service"]
        await asyncio.gather(*(child.stop(_STOP_S) for child in asking))
        if "service" in self.children:
            await self.children["service"].stop(_STOP_S)

    @property
    def _telegram(self) -> dict[str, str]:
        return {
            "GARLANDRY_TELEGRAM_TOKEN": self._shared.token,
            "GARLANDRY_TELEGRAM_API": self._shared.telegram_api,
        }

    def _bot_env(self, bot: BotAddress) -> dict[str, str]:
        return {
            **self._telegram,
            "GARLANDRY_API_KEY": self._shared.keys.bot,
            "GARLANDRY_CHAT_HOST": self._host,
            "GARLANDRY_CHAT_PORT": str(urlsplit(bot.chat).port),
            "GARLANDRY_TELEGRAM_WEBHOOK_URL": "https://shop.example/telegram",
            "GARLANDRY_TELEGRAM_WEBHOOK_SECRETS": self._shared.hook_secret,
            "GARLANDRY_TELEGRAM_WEBHOOK_HOST": self._host,
            "GARLANDRY_TELEGRAM_WEBHOOK_PORT": str(urlsplit(bot.hook).port),
        }

    async def _prepare(self) -> None:
        env = {**self._shared.env, "GARLANDRY_DATA": str(self._folder)}
        env["GARLANDRY_KEYS"] = json.dumps(self._shared.keys.model_dump())
        process = await asyncio.create_subprocess_exec(
            *self._command("service", ["prepare"]), env=env, cwd=ROOT
        )
        if await process.wait():
            raise RuntimeError(f"{self.name} could not be prepared")

    def _run(self, name: str, module: str, words: list[str], env: Mapping[str, str]) -> None:
        child = Child(
            f"{self.name} {name}",
            self._command(module, words),
            env={**self._shared.env, "GARLANDRY_SERVICE_URL": self.service, **env},
            folder=ROOT,
            log=self._folder / f"{name}.log",
            tell=self._tell,
        )
        self.children[name] = child
        child.start()

    def _command(self, module: str, words: list[str]) -> list[str]:
        return [*self._within, sys.executable, "-m", module, *words]

    async def _answers(self, http: httpx.AsyncClient, address: str) -> None:
        async with asyncio.timeout(_START_S):
            while True:
                with contextlib.suppress(httpx.TransportError):
                    if (await http.get(f"{address}/healthz")).is_success:
                        return
                await asyncio.sleep(0.1)
