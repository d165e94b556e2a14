"""The shop's processes: whether they run, and who else sits on their ports."""

import fcntl
import os
import time
from collections.abc import Iterator, Mapping
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path

import httpx

from deploy.examining.finding import LOGS, START, Finding, well, wrong
from deploy.stack import DEFAULT_PORTS, bindable, ports_from
from service.config import Settings

_PATIENCE_S = 2.0
_LISTENS = "0A"
_NAMES = {"SERVICE": "The service (pages and API)", "CHAT": "The web chat"}
_SILENT = {role: f"{name} does not answer." for role, name in _NAMES.items()}


@dataclass(frozen=True, kw_only=True, slots=True)
class Launcher:
    """The process that keeps the shop running, as `deploy/run` does, and since when it does."""

    pid: int
    age_s: float


def launcher_of(settings: Settings) -> Launcher | None:
    """Who keeps the shop running; None for nobody."""
    with suppress(OSError), (settings.data / "lock").open("r") as lock:
        try:
            fcntl.flock(lock, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError:
            # It is written once, when it is taken.
            age_s = time.time() - os.fstat(lock.fileno()).st_mtime
            return Launcher(pid=int(lock.read() or 0), age_s=age_s)
    return None


def answering(environment: Mapping[str, str], launcher: Launcher | None) -> Iterator[Finding]:
    """Whether service and chat answer, who does instead, and what the service says of itself."""
    found = [*_each(environment, None if launcher is None else launcher.pid)]
    if launcher is None and all(finding.what in _SILENT.values() for finding in found):
        yield wrong(
            "The shop does not run.",
            means="Clients reach nobody. What they sent before is kept.",
            do=START,
        )
        return
    yield from found


def _each(environment: Mapping[str, str], launcher: int | None) -> Iterator[Finding]:
    for role, default in zip(_NAMES, DEFAULT_PORTS, strict=True):
        host = environment.get(f"GARLANDRY_{role}_HOST") or "127.0.0.1"
        wanted = environment.get(f"GARLANDRY_{role}_PORT")
        ports = [int(wanted)] if wanted else ports_from(default)
        yield _one(role, host, ports, launcher)


def _one(role: str, host: str, ports: list[int], launcher: int | None) -> Finding:
    reachable = "127.0.0.1" if host in ("0.0.0.0", "::") else host  # noqa: S104  # compared
    for port in ports:
        pid = _who_answers(reachable, port)
        if pid is not None and (launcher is None or _parent(pid) == launcher):
            return _ready(role, reachable, port)
        if launcher is None or len(ports) == 1:
            break
    port = ports[0]
    if launcher is None and bindable(host, port) is None:
        return wrong(
            f"Port {port} is taken by {_holder(port)}, which is not Garlandry.",
            means=f"{_NAMES[role]} cannot start there.",
            do=f"End that program, or set GARLANDRY_{role}_PORT to a free port.",
        )
    return wrong(
        _SILENT[role],
        means="Clients reach nobody. What they sent before is kept.",
        do=START if launcher is None else LOGS,
    )


def _ready(role: str, host: str, port: int) -> Finding:
    """The service knows best whether it can take anything in; the chat asks it."""
    if role == "SERVICE" and (trouble := _trouble(host, port)):
        return wrong(
            f"{_NAMES[role]} answers on port {port}, and says of the database: {trouble}.",
            means="No message, request or booking can be taken in.",
            do="See above whether the disk is full; otherwise start the database.",
        )
    return well(f"{_NAMES[role]} answers on port {port}")


def _trouble(host: str, port: int) -> str | None:
    """What ails its database, in the words of its own page; None where it can be written."""
    with suppress(httpx.HTTPError, ValueError):
        said = httpx.get(f"http://{host}:{port}/readyz", timeout=_PATIENCE_S).json()
        if isinstance(said, dict) and said.get("status") == "not ready":
            return str(said.get("database"))
    return None


def _who_answers(host: str, port: int) -> int | None:
    """The process id that Garlandry's own health page tells."""
    try:
        said = httpx.get(f"http://{host}:{port}/healthz", timeout=_PATIENCE_S).json()
        return int(said["pid"]) if said.get("status") == "alive" else None
    except (httpx.HTTPError, ValueError, KeyError, TypeError, AttributeError):
        return None


def _parent(pid: int) -> int | None:
    with suppress(OSError, ValueError):
        return int(Path(f"/proc/{pid}/stat").read_text().rpartition(")")[2].split()[1])
    return None


def _holder(port: int) -> str:
    """Who listens on a port, as far as this user may see it."""
    sockets = {f"socket:[{inode}]" for inode in _inodes(port)}
    for process in Path("/proc").glob("[0-9]*"):
        with suppress(OSError):
            if any(os.readlink(each) in sockets for each in (process / "fd").iterdir()):
                name = (process / "comm").read_text().strip()
                return f"“{name}” (process {process.name})"
    return "another program"


def _inodes(port: int) -> Iterator[str]:
    for table in ("/proc/net/tcp", "/proc/net/tcp6"):
        with suppress(OSError):
            for line in Path(table).read_text().splitlines()[1:]:
                fields = line.split()
                if fields[3] == _LISTENS and int(fields[1].rpartition(":")[2], 16) == port:
                    yield fields[9]
