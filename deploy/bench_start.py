"""How long everything takes from `deploy/launch` until service and bot answer and workers listen.

The packages are installed, the data folder is new. Beside that: how long each process takes to
import what it is made of, and which modules take most of it.
"""

import os
import re
import signal
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path

from redis import Redis
from redis.exceptions import RedisError

ROUNDS, IMPORTS, DEAREST = 5, 3, 6
WORKERS = 3
"""Without a push channel: replies, chores, upkeep."""

_TOO_LONG_S = 60.0
_PROCESSES = ("service.app", "bot.app", "workers.app", "deploy.stack")
_TIMED = re.compile(r"import time: +(\d+) \| +(\d+) \|( +)(\S+)")


def main() -> None:
    """Start everything several times, then import everything several times."""
    answers, listening = zip(*(_start() for _ in range(ROUNDS)), strict=True)
    print(f"everything started {ROUNDS} times with a new data folder, seconds:")
    print(f"    service and bot answer after {_told(answers)}")
    print(f"    {WORKERS} workers listen after    {_told(listening)}")
    for name in _PROCESSES:
        _import(name)


def _told(seconds: tuple[float, ...]) -> str:
    each = ", ".join(f"{one:.1f}" for one in seconds)
    return f"{each}; median {statistics.median(seconds):.1f}"


def _start() -> tuple[float, float]:
    """Seconds until service and bot answer, and until all workers listen."""
    with tempfile.TemporaryDirectory(prefix="garlandry-start-") as folder:
        began = time.perf_counter()
        process = subprocess.Popen(
            [sys.executable, "-m", "deploy.launch"],
            env=_settings(folder),
            stdout=subprocess.PIPE,
            text=True,
        )
        try:
            _await_addresses(process)
            answered = time.perf_counter() - began
            _await_workers(Path(folder))
            return answered, time.perf_counter() - began
        finally:
            process.send_signal(signal.SIGTERM)
            process.communicate()


def _settings(folder: str) -> dict[str, str]:
    ours = ("GARLANDRY_", "DATABASE_URL", "REDIS_URL")
    kept = {name: value for name, value in os.environ.items() if not name.startswith(ours)}
    return {**kept, "GARLANDRY_DATA": folder}


def _await_addresses(process: subprocess.Popen[str]) -> None:
    for line in process.stdout or ():
        if line.startswith("Chat with clients"):
            return
    raise SystemExit("nothing started; run deploy/run to see why")


def _await_workers(data: Path) -> None:
    server = Redis(unix_socket_path=str(data / "redis" / "redis.sock"))
    until = time.perf_counter() + _TOO_LONG_S
    while time.perf_counter() < until:
        try:
            if int(server.scard("rq:workers")) >= WORKERS:
                return
        except RedisError:
            pass
        time.sleep(0.02)
    raise SystemExit("the workers did not start; run deploy/run to see why")


def _import(name: str) -> None:
    taken = []
    for _ in range(IMPORTS):
        began = time.perf_counter()
        command = [sys.executable, "-X", "importtime", "-c", f"import {name}"]
        said = subprocess.run(command, check=True, capture_output=True, text=True).stderr
        taken.append(time.perf_counter() - began)
    modules = [(int(cost), module) for _, cost, _, module in _TIMED.findall(said)]
    packages = sorted((each for each in modules if "." not in each[1]), reverse=True)
    dearest = ", ".join(f"{module} {cost / 1000:.0f} ms" for cost, module in packages[1:][:DEAREST])
    print(f"    importing {name}: {statistics.median(taken):.2f} s; with {dearest}")


if __name__ == "__main__":
    main()
