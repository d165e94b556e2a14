"""Everything started by one command, for real."""

import contextlib
import os
import re
import signal
import subprocess
import sys
import uuid
from collections.abc import Iterator
from pathlib import Path

import httpx
import pytest

from tests.deploy.waiting import alive, wait_for

pytestmark = pytest.mark.whole

ROOT = Path(__file__).resolve().parents[2]
FRAME = (
    "hi how much for a garland on a 4 ft wide 7 ft tall arch frame, sage cream and gold, "
    "june 6 at 3pm, indoors at a hall in 02139"
)


class Launched:
    """A running launcher and what it printed so far."""

    def __init__(self, data: Path, **settings: str) -> None:
        self._output = data.with_name(f"{uuid.uuid4()}.out")
        kept = {name: v for name, v in os.environ.items() if not name.startswith("GARLANDRY_")}
        with self._output.open("wb") as output:
            self.process = subprocess.Popen(
                [sys.executable, "-m", "deploy.launch"],
                cwd=ROOT,
                env={**kept, "GARLANDRY_DATA": str(data), **settings},
                stdout=output,
                stderr=subprocess.STDOUT,
            )

    @property
    def output(self) -> str:
        return self._output.read_text()

    def wait_until_ready(self) -> None:
        wait_for(lambda: "Stop with Ctrl-C" in self.output or self._ended(), "it is up", 60)
        assert "Stop with Ctrl-C" in self.output, self.output

    def address(self, of: str) -> str:
        found = re.search(rf"^{of}\s+(http://[^\s/]+)", self.output, re.MULTILINE)
        assert found, self.output
        return found[1]

    def family(self) -> dict[int, str]:
        """Process ids with command lines, of all that the launcher and its children started."""
        found: dict[int, str] = {}
        parents = {self.process.pid}
        while parents:
            children = {pid for pid in _pids() if _parent(pid) in parents}
            found |= {pid: _command(pid) for pid in children}
            parents = children
        return found

    def _ended(self) -> bool:
        return self.process.poll() is not None


def _pids() -> list[int]:
    return [int(process.name) for process in Path("/proc").iterdir() if process.name.isdigit()]


def _parent(pid: int) -> int | None:
    with contextlib.suppress(OSError):
        return int(Path(f"/proc/{pid}/stat").read_text().rpartition(")")[2].split()[1])
    return None


def _command(pid: int) -> str:
    with contextlib.suppress(OSError):
        return Path(f"/proc/{pid}/cmdline").read_bytes().replace(b"\0", b" ").decode()
    return ""


@contextlib.contextmanager
def _launched(data: Path, **settings: str) -> Iterator[Launched]:
    launched = Launched(data, **settings)
    try:
        launched.wait_until_ready()
        yield launched
    finally:
        launched.process.kill()
        launched.process.wait()


def test_a_start_serves_everything_keeps_it_up_and_a_stop_leaves_nothing(tmp_path: Path) -> None:
    data = tmp_path / "data"
    with _launched(data) as launched:
        health = launched.address("API") + "/healthz"
        assert httpx.get(launched.address("Chat with clients") + "/").status_code == 200
        assert httpx.get(health).status_code == 200
        commands = " ".join(launched.family().values())
        for part in (
            "valkey-server",
            "service run",
            "bot run",
            "run replies",
            "run chores",
            "run upkeep",
        ):
            assert part in commands
        [service] = [pid for pid, what in launched.family().items() if "service run" in what]
        os.kill(service, signal.SIGKILL)
        wait_for(lambda: "service ended by itself (signal 9)" in launched.output, "it is noticed")
        wait_for(lambda: _healthy(health), "it answers again")
        children = launched.family()
        launched.process.send_signal(signal.SIGTERM)
        assert launched.process.wait(timeout=20) == 0
        assert not any(alive(pid) for pid in children)
        assert "Traceback" not in launched.output


def test_a_folder_or_port_that_is_taken_is_told_and_another_shop_starts_side_by_side(
    tmp_path: Path,
) -> None:
    with _launched(tmp_path / "a") as first:
        same_folder = Launched(tmp_path / "a")
        assert same_folder.process.wait(timeout=20) == 1
        port = first.address("API").rpartition(":")[2]
        same_port = Launched(tmp_path / "b", GARLANDRY_SERVICE_PORT=port)
        assert same_port.process.wait(timeout=20) == 1
        assert f"GARLANDRY_SERVICE_PORT={port} is not a free port" in same_port.output
        with _launched(tmp_path / "b") as other:
            assert other.address("API") != first.address("API")
            assert httpx.get(other.address("API") + "/healthz").status_code == 200
            children = other.family()
            assert len(children) >= 6  # five of ours, and the scheduler that one of them forked
            other.process.kill()
            other.process.wait()
            # Nothing outlives a launcher, however it ends.
            wait_for(lambda: not any(alive(pid) for pid in children), "all are gone", 5)


def _healthy(url: str) -> bool:
    with contextlib.suppress(httpx.TransportError):
        return httpx.get(url).is_success
    return False


def _once(message: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [ROOT / "deploy/run", "--once", message, "--reference-date", "2027-01-10"],
        capture_output=True,
        text=True,
        timeout=90,
    )


def test_one_message_comes_back_as_a_ballpark_with_a_link() -> None:
    conversation = _once(FRAME)
    assert conversation.returncode == 0, conversation.stderr + conversation.stdout
    ballpark = conversation.stdout.rpartition("shop:")[2]
    low, high = re.findall(r"\$(\d+)", ballpark.replace(",", ""))[:2]
    assert 0 < int(low) < int(high)
    assert re.search(r"\] http://127\.0\.0\.1:\d+/\S+", ballpark)


def test_a_message_that_lacks_something_is_answered_with_a_question() -> None:
    conversation = _once("how much for a garland?")
    assert conversation.returncode == 3, conversation.stderr + conversation.stdout
    assert "?" in conversation.stdout.rpartition("shop:")[2]
