"""Several workers of one machine, and two machines' schedulers of which one dies."""

import os
import signal
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import pytest
from redis import Redis
from rq.worker import BaseWorker

from tests.workers.ledger import Ledger, wait_for
from tests.workers.redis_server import redis_server
from workers.pool import sizes_in

pytestmark = pytest.mark.whole

# Starting takes a second, and much longer where others use the processors.
START_S = 60


@contextmanager
def a_pool(url: str, folder: Path, *sizes: str) -> Iterator[subprocess.Popen[bytes]]:
    command = [sys.executable, "-m", "workers", "pool", *sizes]
    # A session of its own: what a test leaves behind can be ended with it.
    with Ledger() as service, (folder / "pool.log").open("ab") as log:
        env = environment(url, service)
        pool = subprocess.Popen(command, env=env, stdout=log, stderr=log, start_new_session=True)
        try:
            yield pool
        finally:
            if pool.poll() is None:
                pool.kill()
            pool.wait()


def environment(url: str, service: Ledger) -> dict[str, str]:
    return {
        **os.environ,
        "REDIS_URL": url,
        "GARLANDRY_SERVICE_URL": service.url,
        "GARLANDRY_API_KEY": "a-key-for-tests",
    }


def at_work(redis: Redis) -> dict[int, str]:
    """The queue of each worker by its process id."""
    found = BaseWorker.all(connection=redis)
    return {int(w.pid): w.queue_names()[0] for w in found if w.pid and _lives(int(w.pid))}


def _lives(pid: int) -> bool:
    try:
        state = Path(f"/proc/{pid}/stat").read_text().rpartition(")")[2].split()[0]
    except FileNotFoundError:
        return False
    return state != "Z"


def niceness(pid: int) -> int:
    return os.getpriority(os.PRIO_PROCESS, pid)


def queues_of(redis: Redis) -> list[str]:
    return sorted(at_work(redis).values())


def test_a_pool_fills_every_place_replaces_who_dies_and_drains(tmp_path: Path) -> None:
    wanted = ["chores", "replies", "replies"]
    with (
        redis_server(tmp_path) as url,
        Redis.from_url(url) as redis,
        a_pool(url, tmp_path, "replies=2", "chores=1") as pool,
    ):
        wait_for(lambda: queues_of(redis) == wanted, "all are at work", START_S)
        before = at_work(redis)
        usual = niceness(os.getpid())
        assert sorted(niceness(pid) - usual for pid in before) == [0, 0, 10]

        killed = next(pid for pid, queue in before.items() if queue == "replies")
        os.kill(killed, signal.SIGKILL)
        wait_for(lambda: killed not in at_work(redis), "it is gone")
        wait_for(lambda: queues_of(redis) == wanted, "another took its place", START_S)

        pool.terminate()
        assert pool.wait(timeout=15) == 0
        assert not at_work(redis)


def test_workers_end_with_their_pool_even_when_that_is_killed(tmp_path: Path) -> None:
    with (
        redis_server(tmp_path) as url,
        Redis.from_url(url) as redis,
        a_pool(url, tmp_path, "replies=1", "upkeep=1") as pool,
    ):
        wait_for(lambda: queues_of(redis) == ["replies", "upkeep"], "both are at work", START_S)
        left = at_work(redis)
        pool.kill()
        pool.wait()
        wait_for(lambda: not any(_lives(pid) for pid in left), "they end, too", timeout_s=20)


@pytest.mark.parametrize("words", [["replies"], ["parcels=1"], ["replies=1", "replies=2"]])
def test_sizes_that_cannot_be_are_refused(words: list[str]) -> None:
    with pytest.raises(ValueError, match="say QUEUE=NUMBER"):
        sizes_in(words)


def test_another_machines_scheduler_takes_over_within_seconds(tmp_path: Path) -> None:
    command = [sys.executable, "-m", "workers", "run", "upkeep", "--with-scheduler"]
    with redis_server(tmp_path) as url, Redis.from_url(url) as redis, Ledger() as service:
        env = environment(url, service)
        quiet: dict[str, Any] = {"stdout": subprocess.DEVNULL, "stderr": subprocess.DEVNULL}
        machines = {n: subprocess.Popen([*command, n], env=env, **quiet) for n in ("one", "two")}
        try:
            wait_for(lambda: redis.get("rq:scheduler-lock:upkeep"), "one is at work", START_S)
            first = holder(redis)
            time.sleep(2)
            assert holder(redis) == first
            # As a machine that loses its power: neither worker nor scheduler says goodbye.
            for process in _family(machines[first].pid):
                os.kill(process, signal.SIGKILL)
            other = "two" if first == "one" else "one"
            wait_for(lambda: holder(redis) == other, "the other took over", timeout_s=9)
        finally:
            for machine in machines.values():
                machine.terminate()
                machine.wait(timeout=15)


def holder(redis: Redis) -> str:
    held = redis.get("rq:scheduler-lock:upkeep")
    return held.decode() if isinstance(held, bytes) else "nobody"


def _family(pid: int) -> list[int]:
    children = Path(f"/proc/{pid}/task/{pid}/children").read_text().split()
    return [pid, *map(int, children)]
