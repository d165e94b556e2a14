"""What runs for one data folder: an embedded server of Redis' protocol, service, bot, workers."""

import asyncio
import contextlib
import fcntl
import json
import os
import shutil
import socket
import sys
import tempfile
from collections.abc import AsyncIterator, Callable, Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path

import httpx

from deploy import embedded_redis
from deploy.children import Child, die_with

ROOT = Path(__file__).resolve().parent.parent

# Where to look when a default port is taken, as by a second checkout.
_PORT_STEPS = range(0, 200, 10)

DEFAULT_PORTS = (8620, 8621)
# The system picks: what runs for a moment must not take the ports of what stays.
ANY_PORTS = (0, 0)

_START_S = 60.0
# Each finishes what it has in hand; only what hangs is ended by force.
_STOP_S = {"bot": 12.0, "service": 25.0, "redis": 8.0}
_WORKERS_STOP_S = 20.0
# Dying this often before it ever answered means that it cannot start at all.
_DEATHS_AT_START = 3
# A process that ends like this will do so again; its last words say why.
_WRONG_SETTINGS = 2

_KEYS = {"bot", "worker", "metrics"}
_OWN_KEY = "GARLANDRY_API_KEY"
_TOKEN = "GARLANDRY_TELEGRAM_TOKEN"  # noqa: S105  # a name
_WEBHOOK_SECRETS = "GARLANDRY_TELEGRAM_WEBHOOK_SECRETS"  # a name


class CannotStart(Exception):
    """Something did not come up. The text says what, and what to do where that is known."""


@dataclass(frozen=True, kw_only=True, slots=True)
class Address:
    """Where a web server listens on this machine and the base of the links to it."""

    port: int
    local: str
    public: str


def address(settings: Mapping[str, str], role: str, default_port: int, public: str) -> Address:
    """The address of a web server by the settings, on a free port where none is set."""
    host = settings.get(f"GARLANDRY_{role}_HOST", "127.0.0.1")
    wanted = settings.get(f"GARLANDRY_{role}_PORT")
    if wanted is None:
        port = _free_port(host, default_port)
    elif wanted.isdecimal() and bindable(host, int(wanted)):
        port = int(wanted)
    else:
        raise CannotStart(f"GARLANDRY_{role}_PORT={wanted} is not a free port on {host}.")
    reachable = "127.0.0.1" if host in ("0.0.0.0", "::", "") else host  # noqa: S104  # compared
    local = f"http://{reachable}:{port}"
    return Address(port=port, local=local, public=settings.get(public, local).rstrip("/"))


@contextlib.contextmanager
def only_one(data: Path) -> Iterator[None]:
    """Hold the data folder for this process. Raises CannotStart when another one has it."""
    with (data / "lock").open("a+") as lock:
        try:
            fcntl.flock(lock, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError:
            lock.seek(0)
            raise CannotStart(
                f"Garlandry already runs with the data folder {data} (process {lock.read()})."
                " Stop that one, or set GARLANDRY_DATA to another folder."
            ) from None
        lock.truncate(0)
        lock.write(str(os.getpid()))
        lock.flush()
        yield


@contextlib.asynccontextmanager
async def one_start_at_a_time() -> AsyncIterator[None]:
    """Wait for this user's other starts: two that look for free ports at once find the same."""
    path = Path(tempfile.gettempdir()) / f"garlandry-{os.getuid()}.lock"
    with path.open("a") as lock:
        while True:
            try:
                fcntl.flock(lock, fcntl.LOCK_EX | fcntl.LOCK_NB)
            except BlockingIOError:
                await asyncio.sleep(0.1)
            else:
                break
        yield


class Stack:
    """All processes of one data folder. `tell` gets the lines that a person should see."""

    def __init__(
        self,
        data: Path,
        settings: Mapping[str, str],
        tell: Callable[[str], None],
        ports: tuple[int, int] = DEFAULT_PORTS,
    ) -> None:
        self._data = data
        self._tell = tell
        self._stop_s = _STOP_S | {"service": _STOP_S["service"] + _drain_s(settings)}
        self._children: list[Child] = []
        self.logs = _folder(data / "logs")
        self.service = address(settings, "SERVICE", ports[0], "GARLANDRY_PUBLIC_URL")
        self.chat = address(settings, "CHAT", ports[1], "GARLANDRY_CHAT_URL")
        self._redis = None if settings.get("REDIS_URL") else _Redis(data)
        self.redis_url = self._redis.url if self._redis else settings["REDIS_URL"]
        self._env = {
            "GARLANDRY_WORDING": str(ROOT / "deploy" / "wording"),
            "GARLANDRY_LOG": "json",
            **settings,
            "GARLANDRY_DATA": str(data),
            "GARLANDRY_SERVICE_PORT": str(self.service.port),
            "GARLANDRY_SERVICE_URL": self.service.local,
            "GARLANDRY_PUBLIC_URL": self.service.public,
            "GARLANDRY_CHAT_PORT": str(self.chat.port),
            "GARLANDRY_CHAT_URL": self.chat.public,
            "REDIS_URL": self.redis_url,
            "OTEL_SDK_DISABLED": "true",
            "PYTHONUNBUFFERED": "1",
        }
        self._env.pop(_OWN_KEY, None)
        # What is secret goes to those who need it.
        self._token = _taken_out(self._env, _TOKEN)
        self._webhook = _taken_out(self._env, _WEBHOOK_SECRETS)

    async def start(self) -> None:
        """Bring everything up and wait until service and bot answer. Raises CannotStart."""
        if self._redis:
            self._start("redis", self._redis.command(), {}, tell_warnings=False)
        service = self._start("service", _module("service", "run", "--prepare"), {})
        # The others load meanwhile, and wait for it to answer.
        keys = await self._keys(service)
        bot = {_OWN_KEY: keys["bot"], "GARLANDRY_METRICS_KEY": keys["metrics"]}
        worker = {_OWN_KEY: keys["worker"]}
        work = _module("workers", "run")
        chat = self._start("bot", _module("bot", "run"), {**bot, **self._token, **self._webhook})
        self._start("replies", [*work, "replies"], worker)
        if self._token:  # without one there is no push channel; what is owed through it waits
            self._start("deliveries", [*work, "deliveries"], {**worker, **self._token})
        self._start("chores", [*work, "chores"], worker)
        self._start("upkeep", [*work, "upkeep", "--with-scheduler", socket.gethostname()], worker)
        async with httpx.AsyncClient(timeout=2) as http:
            await _answers(http, service, self.service.local)
            await _answers(http, chat, self.chat.local)

    async def stop(self) -> None:
        """Stop all in the order of a message's way, so that nothing that is begun is cut off."""
        last = [name for name in _STOP_S if name != "bot"]
        workers = [child.name for child in self._children if child.name not in _STOP_S]
        for names in (["bot"], workers, *([name] for name in last)):
            stopping = [child for child in self._children if child.name in names]
            await asyncio.gather(
                *(child.stop(self._stop_s.get(child.name, _WORKERS_STOP_S)) for child in stopping)
            )
        if self._redis:
            self._redis.clear()

    def troubled_logs(self) -> str:
        """The ends of the logs of all processes that had trouble."""
        logs = [f"{c.name}:\n{c.tail()}" for c in self._children if c.troubled]
        return "\n".join(logs) or "No process told of any trouble."

    async def welcome(self) -> str | None:
        """The desk's one-time welcome link, when there is one."""
        code, output = await self._run("service", "welcome")
        return output.splitlines()[-1] if code == 0 and output else None

    def child(self, name: str) -> Child:
        """One of the processes: redis, service, bot, replies, deliveries, chores or upkeep."""
        return next(child for child in self._children if child.name == name)

    async def _keys(self, service: Child) -> dict[str, str]:
        """The API keys, once the service has made them. Raises CannotStart."""
        path, loop = self._data / "keys.json", asyncio.get_running_loop()
        deadline = loop.time() + _START_S
        while not _cannot_start(service) and loop.time() < deadline:
            with contextlib.suppress(FileNotFoundError, ValueError):
                keys: dict[str, str] = json.loads(path.read_text())
                if keys.keys() >= _KEYS:
                    return keys
            await asyncio.sleep(0.02)
        raise _not_started(service)

    async def _run(self, *command: str) -> tuple[int, str]:
        process = await asyncio.create_subprocess_exec(
            *_module(*command),
            env=self._env,
            cwd=ROOT,
            stdout=asyncio.subprocess.PIPE,
            stderr=asyncio.subprocess.STDOUT,
            process_group=0,
            preexec_fn=die_with(os.getpid()),
        )
        try:
            output, _ = await process.communicate()
        except asyncio.CancelledError:
            process.kill()
            raise
        return process.returncode or 0, output.decode(errors="replace").strip()

    def _start(
        self, name: str, command: list[str], env: Mapping[str, str], *, tell_warnings: bool = True
    ) -> Child:
        child = Child(
            name,
            command,
            env={**self._env, **env},
            folder=ROOT,
            log=self.logs / f"{name}.log",
            tell=self._tell,
            tell_warnings=tell_warnings,
        )
        self._children.append(child)
        child.start()
        return child


class _Redis:
    """The embedded server, reached through a socket file that only this user can open."""

    def __init__(self, data: Path) -> None:
        self._folder = _folder(data / "redis")
        self._elsewhere: Path | None = None
        socket_file = embedded_redis.socket_in(data)
        if socket_file is None:
            self._elsewhere = Path(tempfile.mkdtemp(prefix="garlandry-"))
            socket_file = self._elsewhere / "redis.sock"
        self._socket = socket_file
        self.url = f"unix://{socket_file}"

    def command(self) -> list[str]:
        return embedded_redis.command(self._folder, self._socket)

    def clear(self) -> None:
        if self._elsewhere:
            shutil.rmtree(self._elsewhere, ignore_errors=True)


async def _answers(http: httpx.AsyncClient, child: Child, base: str) -> None:
    """Wait until this very server answers /healthz. Raises CannotStart with the end of its log."""
    with contextlib.suppress(TimeoutError):
        async with asyncio.timeout(_START_S):
            while not _cannot_start(child):
                with contextlib.suppress(httpx.TransportError):
                    if _is_from(child, await http.get(f"{base}/healthz")):
                        return
                await asyncio.sleep(0.05)
    raise _not_started(child)


def _cannot_start(child: Child) -> bool:
    return child.deaths >= _DEATHS_AT_START or child.ended_with == _WRONG_SETTINGS


def _not_started(child: Child) -> CannotStart:
    if child.ended_with == _WRONG_SETTINGS:
        return CannotStart(f"{child.name} cannot start as it is set up.\n{child.last_words()}")
    return CannotStart(f"{child.name} did not start. The end of its log:\n{child.tail()}")


def _is_from(child: Child, answer: httpx.Response) -> bool:
    """Whether the child answered, and not a stranger who took its port first."""
    try:
        said = answer.json()
    except ValueError:
        return False
    return answer.is_success and isinstance(said, dict) and said.get("pid") == child.pid


def _drain_s(settings: Mapping[str, str]) -> float:
    """How long the service goes on before it begins to stop; the service says what is wrong."""
    try:
        return float(settings.get("GARLANDRY_DRAIN_S") or 0)
    except ValueError:
        return 0.0


def _taken_out(settings: dict[str, str], name: str) -> dict[str, str]:
    """The setting by itself, {} where there is none; `settings` is without it afterwards."""
    value = settings.pop(name, None)
    return {name: value} if value else {}


def _module(*command: str) -> list[str]:
    return [sys.executable, "-m", *command]


def _folder(path: Path) -> Path:
    path.mkdir(mode=0o700, parents=True, exist_ok=True)
    return path


def _free_port(host: str, default: int) -> int:
    for wanted in ports_from(default):
        port = bindable(host, wanted)
        if port is not None:
            return port
    raise CannotStart(f"No free port found from {default} on; set one in the environment.")


def ports_from(default: int) -> list[int]:
    """Where a server may be found that no port was set for."""
    return [default + step for step in _PORT_STEPS]


def bindable(host: str, port: int) -> int | None:
    """The port, if a server could listen on it; for 0 one that the system picks."""
    family = socket.AF_INET6 if ":" in host else socket.AF_INET
    with socket.socket(family) as probe:
        # As the servers do: a port whose last connections are only fading out is free.
        probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            probe.bind((host, port))
        except (OSError, OverflowError):
            return None
        return int(probe.getsockname()[1])
