"""Whoever writes to Redis makes a worker do nothing but its own jobs, and reads nothing there."""

import asyncio
import contextlib
import json
import logging
import os
import pickle
import time
import zlib
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Any

import pytest
from redis import Redis
from rq import Queue, Retry
from rq.serializers import JSONSerializer

from service.contract import log_lines, tracing
from tests.security.canaries import CANARIES, Heard, heard
from tests.workers.redis_server import redis_server
from workers.app import performer
from workers.jobs import Perform, Worker
from workers.scheduling import Scheduler

JOB = "workers.quoting.quote_lead"


class Planted:
    """Unpickling this would make a folder."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder

    def __reduce__(self) -> Any:
        return os.mkdir, (str(self.folder),)


@pytest.fixture(scope="module")
def redis_url(tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    with redis_server(tmp_path_factory.mktemp("r")) as url:
        yield url


@pytest.fixture
def redis(redis_url: str) -> Iterator[Redis]:
    connection = Redis.from_url(redis_url)
    connection.flushall()
    yield connection
    connection.close()


def work_off(redis: Redis, perform: Perform) -> None:
    """What lies in the queue, by a worker as the processes have it.

    What is no job at all ends a worker's loop, and its process begins another.
    """
    while redis.llen("rq:queue:replies"):
        Worker("replies", redis, perform).work(burst=True, logging_level="DEBUG")


def dumped(record: tuple[Any, ...]) -> bytes:
    """A job's data as RQ writes it."""
    return zlib.compress(json.dumps(record).encode())


def plant(redis: Redis, name: str, payload: bytes, **fields: bytes | str) -> None:
    """A job's record with a pickle in every place where one may stand."""
    record: dict[str, bytes | str] = {
        "data": payload, "meta": payload, "result": payload, "exc_info": payload,
        "origin": "replies", "status": "queued", "created_at": "2027-01-10T17:00:00.000000Z",
        "success_callback_name": "os.getcwd", "failure_callback_name": "os.getcwd",
    }  # fmt: skip
    redis.hset(f"rq:job:{name}", mapping=record | fields)  # type: ignore[arg-type]
    redis.xadd(f"rq:results:{name}", {"return_value": payload, "type": "1", "created_at": "1"})


def test_a_pickle_is_loaded_nowhere(redis: Redis, tmp_path: Path) -> None:
    done: list[Sequence[object]] = []
    raw = pickle.dumps(Planted(tmp_path / "made"))
    for number, payload in enumerate((raw, zlib.compress(raw), b"cos\nmkdir\n(S'made'\ntR.")):
        plant(redis, f"queued-{number}", payload)
        redis.rpush("rq:queue:replies", f"queued-{number}")
        plant(redis, f"due-{number}", payload, status="scheduled")
        redis.zadd("rq:scheduled:replies", {f"due-{number}": time.time() - 5})
        # A job of ours with a pickle about it.
        good = dumped((JOB, None, [f"s{number}"], {}))
        plant(redis, f"ours-{number}", payload, data=good)
        redis.rpush("rq:queue:replies", f"ours-{number}")
    queue = Queue("replies", connection=redis, serializer=JSONSerializer)
    queue.enqueue_call(JOB, args=("last",), job_id="last")
    scheduler = Scheduler(redis, None)
    scheduler.acquire_locks()
    # Whatever it makes of them, it must not load them.
    with contextlib.suppress(Exception):
        scheduler.enqueue_scheduled_jobs()  # type: ignore[no-untyped-call]
    work_off(redis, lambda _name, arguments: done.append(arguments))
    assert not (tmp_path / "made").exists()
    assert not Path("made").exists()
    assert ["last"] in [list(arguments) for arguments in done]


@pytest.mark.parametrize(
    "record",
    [
        ("os.mkdir", None, ["PLACE"], {}),
        ("rmdir", "os", ["PLACE"], {}),
        (JOB, None, ["s1"], {"step": "s2"}),
        (JOB, ["os"], ["s1"], {}),
    ],
)
def test_no_name_is_imported_and_no_argument_but_one_id_is_passed(
    redis: Redis, tmp_path: Path, record: tuple[Any, ...]
) -> None:
    called: list[str] = []

    async def ours(step: str, **_: str) -> None:
        called.append(step)

    name, instance, arguments, keywords = record
    given = [str(tmp_path / "made") if each == "PLACE" else each for each in arguments]
    data = dumped((name, instance, given, keywords))
    redis.hset(
        "rq:job:x",
        mapping={"data": data, "origin": "replies", "created_at": "2027-01-10T17:00:00Z"},
    )
    redis.rpush("rq:queue:replies", "x")
    with asyncio.Runner() as runner:
        work_off(redis, performer(runner, {JOB: ours}))
    assert called == []
    assert not (tmp_path / "made").exists()


# A step's job is followed across processes, a sweep's is not: each has its own way to fail.
@pytest.mark.parametrize("meta", [{tracing.HEADER: f"00-{'a' * 32}-{'b' * 16}-01"}, {}])
@pytest.mark.parametrize("retry", [None, Retry(max=3, interval=[60, 60, 60])])
def test_what_went_wrong_with_a_job_says_nothing_of_anybody(
    redis: Redis, retry: Retry | None, meta: dict[str, str]
) -> None:
    def perform(_name: str, _arguments: Sequence[object]) -> None:
        raise RuntimeError(" ".join(CANARIES))

    queue = Queue("replies", connection=redis, serializer=JSONSerializer)
    with heard("workers") as log:
        queue.enqueue_call(
            JOB, args=("s1",), job_id="quote-s1-1", retry=retry, description="q", meta=meta
        )
        work_off(redis, perform)
    assert log.canaries() == []
    assert _canaries_in(redis) == []


def _canaries_in(redis: Redis) -> list[str]:
    kept = b"\n".join(_values(redis))
    kept += b"".join(_unpacked(value) for value in _values(redis))
    return [each for each in CANARIES if each.encode() in kept]


def _values(redis: Any) -> list[bytes]:
    """All that stands in Redis: names, fields and what is in them."""
    found: list[bytes] = []
    for key in redis.keys("*"):
        found += [key, redis.dump(key) or b""]
        kind = redis.type(key)
        if kind == b"hash":
            found += [part for pair in redis.hgetall(key).items() for part in pair]
        elif kind == b"stream":
            entries = redis.xrange(key)
            found += [part for _, entry in entries for pair in entry.items() for part in pair]
    return found


def _unpacked(value: bytes) -> bytes:
    try:
        return zlib.decompress(value)
    except zlib.error:
        return b""


def test_the_tests_own_ear_hears(caplog: pytest.LogCaptureFixture) -> None:
    with heard("workers") as log:
        assert isinstance(log, Heard)
        logging.getLogger("workers").debug("the level is low enough; %s", CANARIES[0])
    assert log.canaries() == [CANARIES[0]]
    assert log_lines.tally is not None
