"""What the parts that all work stands on tell of themselves."""

import contextlib
import os
import sqlite3
import subprocess
import time
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
from redis import Redis
from rq import Queue
from rq.serializers import JSONSerializer
from sqlalchemy import Engine, column, select, table, update

from service.clock import wall
from service.leads.vitals import Database
from service.storage.database import migrate, open_engine
from service.storage.queue import QUEUES, connect
from service.storage.vitals import RealVitals
from service.storage.vitals.database import DatabaseCheck
from service.storage.vitals.queues import read_queues
from tests.workers.redis_server import redis_server
from workers.jobs import Worker

VERSION = table("alembic_version", column("version_num"))
NOWHERE = "redis://127.0.0.1:9/0"


@pytest.fixture(scope="module")
def redis_url(tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    with redis_server(tmp_path_factory.mktemp("redis")) as url:
        yield url


@pytest.fixture
def redis(redis_url: str) -> Iterator[Redis]:
    with Redis.from_url(redis_url) as connection:
        connection.flushall()
        yield connection


def _vitals(engine: Engine, redis: Redis, folder: Path, **more: Any) -> RealVitals:
    usual: dict[str, Any] = {
        "queues": QUEUES,
        "keys_file": folder / "keys.json",
        "data": folder,
        "wall": wall,
    }
    return RealVitals(engine, redis, **(usual | more))


@contextmanager
def _database(folder: Path) -> Iterator[Engine]:
    engine = open_engine(f"sqlite:///{folder / 'shop.sqlite'}")
    migrate(engine)
    try:
        yield engine
    finally:
        engine.dispose()


def test_a_database_is_written_and_nothing_in_it_is_changed(engine: Engine) -> None:
    with engine.connect() as connection:
        before = connection.execute(select(VERSION.c.version_num)).all()
    assert DatabaseCheck(engine)() is Database.WRITABLE
    with engine.connect() as connection:
        assert connection.execute(select(VERSION.c.version_num)).all() == before


def test_older_tables_are_behind_and_newer_ones_are_not(tmp_path: Path) -> None:
    with _database(tmp_path) as engine:
        check = DatabaseCheck(engine)
        for revision, expected in (
            ("0001", Database.BEHIND),
            ("9999", Database.WRITABLE),
            (check.schema(), Database.WRITABLE),
        ):
            with engine.begin() as connection:
                connection.execute(update(VERSION).values(version_num=revision))
            assert check() is expected


def test_a_database_that_is_not_there_is_down(tmp_path: Path) -> None:
    engine = open_engine(f"sqlite:///{tmp_path / 'nowhere' / 'shop.sqlite'}")
    assert DatabaseCheck(engine)() is Database.DOWN
    engine.dispose()


def test_somebody_else_who_writes_is_no_trouble(tmp_path: Path) -> None:
    with _database(tmp_path) as engine:
        other = sqlite3.connect(tmp_path / "shop.sqlite", isolation_level=None)
        other.execute("BEGIN IMMEDIATE")
        assert DatabaseCheck(engine)() is Database.WRITABLE
        other.close()


def _fill(folder: Path) -> None:
    with contextlib.suppress(OSError), (folder / "rest").open("wb", buffering=0) as rest:
        while rest.write(b"x" * 4096):
            pass


@pytest.mark.skipif(os.getuid() != 0, reason="only root can mount a small file system")
def test_a_full_disk_can_be_read_and_not_written(tmp_path: Path) -> None:
    small = tmp_path / "small"
    small.mkdir()
    mounted = subprocess.run(["mount", "-t", "tmpfs", "-o", "size=4m", "none", small])
    if mounted.returncode:
        pytest.skip("nothing may be mounted here")
    try:
        with _database(small) as engine:
            check = DatabaseCheck(engine)
            assert check() is Database.WRITABLE
            # Room in its log that is used again would hide a full disk for a while.
            with contextlib.closing(sqlite3.connect(small / "shop.sqlite")) as connection:
                connection.execute("PRAGMA wal_checkpoint(TRUNCATE)")
            _fill(small)
            assert check() is Database.READ_ONLY
    finally:
        subprocess.run(["umount", small], check=True)


def test_what_waits_and_who_works_is_read_from_redis(redis: Redis) -> None:
    queue = Queue("replies", connection=redis, serializer=JSONSerializer)
    queue.enqueue_call("some.job", args=("1",))
    queue.enqueue_call("some.job", args=("2",))
    worker = Worker("upkeep", redis, lambda _name, _arguments: None)
    worker.register_birth()  # type: ignore[no-untyped-call]
    now = datetime.now(UTC) + timedelta(seconds=30)
    replies, upkeep = read_queues(redis, ("replies", "upkeep"), now)
    assert (replies.waiting, replies.workers, replies.heard_s) == (2, 0, None)
    assert 30 <= replies.oldest_s < 40
    assert (upkeep.waiting, upkeep.workers) == (0, 1)
    assert upkeep.heard_s is not None
    assert 30 <= upkeep.heard_s < 40


def test_a_redis_that_answers_and_takes_nothing_is_no_queue(redis: Redis, tmp_path: Path) -> None:
    with _database(tmp_path) as engine:
        assert _vitals(engine, redis, tmp_path).readings().queues is not None
        redis.config_set("maxmemory", 1)
        try:
            assert _vitals(engine, redis, tmp_path).readings().queues is None
        finally:
            redis.config_set("maxmemory", 0)


def test_a_sweep_is_remembered_for_all_processes(redis: Redis, tmp_path: Path) -> None:
    with _database(tmp_path) as engine:
        assert _vitals(engine, redis, tmp_path).readings().swept_s is None
        _vitals(engine, redis, tmp_path).swept()
        swept_s = _vitals(engine, redis, tmp_path).readings().swept_s
        assert swept_s is not None
        assert swept_s < 5


def test_without_redis_the_rest_is_told_all_the_same(tmp_path: Path) -> None:
    with _database(tmp_path) as engine:
        readings = _vitals(engine, connect(NOWHERE), tmp_path).readings()
        assert readings.queues is None
        assert readings.database is Database.WRITABLE
        assert not readings.keys_kept
        assert readings.disk_free > 0


def test_whoever_asks_often_is_told_what_was_found_a_moment_ago(tmp_path: Path) -> None:
    ticks = iter([0.0, 0.0, 0.1, 10.0, 10.0, 10.1])
    with _database(tmp_path) as engine:
        vitals = _vitals(engine, connect(NOWHERE), tmp_path, ticks=lambda: next(ticks))
        first = vitals.readings()
        (tmp_path / "keys.json").write_text("{}")
        assert vitals.readings() is first
        assert vitals.readings().keys_kept


def test_a_look_takes_milliseconds(tmp_path: Path) -> None:
    with _database(tmp_path) as engine:
        vitals = _vitals(engine, connect(NOWHERE), tmp_path)
        vitals.readings()
        vitals._ended = float("-inf")
        began = time.process_time()
        vitals.readings()
        assert time.process_time() - began < 0.05
