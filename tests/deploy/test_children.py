"""Child processes that are kept alive."""

import asyncio
import json
import os
import signal
import subprocess
import sys
from collections.abc import Awaitable, Callable
from functools import partial
from pathlib import Path

from deploy.children import Child
from tests.deploy.waiting import alive, wait_for

ROOT = Path(__file__).resolve().parents[2]

SLEEPER = "import os, time; print('pid', os.getpid(), flush=True); time.sleep(60)"


def _child(folder: Path, code: str, told: list[str], **env: str) -> Child:
    return Child(
        "child",
        [sys.executable, "-c", code],
        env={**os.environ, **env},
        folder=folder,
        log=folder / "child.log",
        tell=told.append,
    )


def _pids(child: Child) -> list[int]:
    return [int(line.split()[-1]) for line in child.tail().splitlines() if " pid " in line]


async def _until(condition: Callable[[], bool]) -> None:
    async with asyncio.timeout(10):
        while not condition():
            await asyncio.sleep(0.01)


def _with(child: Child, body: Callable[[], Awaitable[None]]) -> None:
    async def whole() -> None:
        child.start()
        try:
            await body()
        finally:
            await child.stop(patience_s=1)

    asyncio.run(whole())


def test_a_killed_child_is_started_again_at_once(tmp_path: Path) -> None:
    told: list[str] = []
    child = _child(tmp_path, SLEEPER, told)

    async def body() -> None:
        await _until(lambda: len(_pids(child)) == 1)
        os.kill(_pids(child)[0], signal.SIGKILL)
        await _until(lambda: len(_pids(child)) == 2)

    _with(child, body)
    assert told == ["child ended by itself (signal 9); started again at once"]
    assert not any(alive(pid) for pid in _pids(child))


def test_a_child_that_keeps_dying_waits_longer_each_time(tmp_path: Path) -> None:
    told: list[str] = []
    child = _child(tmp_path, "raise SystemExit(7)", told)

    async def body() -> None:
        await _until(lambda: child.deaths == 3)

    _with(child, body)
    assert [line.rsplit("again ")[1] for line in told] == ["at once", "in 0.5 s", "in 1 s"]
    assert all("exit code 7" in line for line in told)


def test_output_goes_to_the_log_and_what_matters_to_the_console(tmp_path: Path) -> None:
    told: list[str] = []
    code = "print('all is well'); print('WARNING the pump is hot', flush=True)\n" + SLEEPER
    child = _child(tmp_path, code, told)

    async def body() -> None:
        await _until(lambda: bool(_pids(child)))

    _with(child, body)
    assert "all is well" in child.tail()
    assert told == ["child: WARNING the pump is hot"]


def test_a_child_that_ignores_the_request_to_stop_is_stopped_with_its_own_children(
    tmp_path: Path,
) -> None:
    code = (
        "import signal, subprocess, sys\n"
        "signal.signal(signal.SIGTERM, signal.SIG_IGN)\n"
        f"subprocess.Popen([sys.executable, '-c', {SLEEPER!r}])\n" + SLEEPER
    )
    child = _child(tmp_path, code, [])

    async def body() -> None:
        await _until(lambda: len(_pids(child)) == 2)

    _with(child, body)
    for pid in _pids(child):
        wait_for(partial(_gone, pid), "it is gone")


def _gone(pid: int) -> bool:
    return not alive(pid)


def test_a_child_ends_with_a_launcher_that_is_killed(tmp_path: Path) -> None:
    launcher = f"""
import asyncio, os, sys
from pathlib import Path
from deploy.children import Child
async def main():
    folder = Path({str(tmp_path)!r})
    Child("child", [sys.executable, "-c", {SLEEPER!r}], env=dict(os.environ), folder=folder,
          log=folder / "child.log", tell=print).start()
    await asyncio.sleep(60)
asyncio.run(main())
"""
    log = tmp_path / "child.log"
    with subprocess.Popen([sys.executable, "-c", launcher], cwd=ROOT) as process:
        wait_for(lambda: log.exists() and "pid" in log.read_text(), "the child runs")
        process.kill()
    [pid] = [int(line.split()[-1]) for line in log.read_text().splitlines()]
    wait_for(lambda: not alive(pid), "the child is gone")


def test_a_log_in_json_holds_an_object_for_each_line_whoever_wrote_it(tmp_path: Path) -> None:
    told: list[str] = []
    ours = {"level": "ERROR", "process": "child", "message": "off it went", "error": "x\nOSError"}
    code = f"print({json.dumps(ours)!r}); print('last words', flush=True)\n" + SLEEPER
    child = _child(tmp_path, code, told, GARLANDRY_LOG="json")

    async def body() -> None:
        await _until(lambda: "pid" in child.tail())

    _with(child, body)
    first, second, *_ = [json.loads(line) for line in child.log.read_text().splitlines()]
    assert first == ours
    assert (second["process"], second["message"]) == ("child", "last words")
    assert told == ["child: off it went (OSError)"]


def test_a_log_that_cannot_be_written_is_told_once_and_stops_nobody(tmp_path: Path) -> None:
    told: list[str] = []
    code = "for n in range(9): print('line', n, flush=True)\n" + SLEEPER
    child = _child(tmp_path, code, told)
    child.log = Path("/dev/full")

    async def body() -> None:
        await _until(lambda: bool(told))
        await asyncio.sleep(0.2)

    _with(child, body)
    assert told == ["/dev/full cannot be written; is the disk full?"]
