"""Steps in a real queue: due ones, later ones, and a Redis that forgets."""

import json
import math
import zlib
from collections.abc import Iterator
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
from redis import Redis
from rq import Queue
from rq.registry import ScheduledJobRegistry
from rq.serializers import JSONSerializer

from service.leads.steps import Step, StepKind, StepState
from service.storage.queue import RqJobQueue, connect
from tests.workers.redis_server import redis_server

SHOP_NOON = datetime(2027, 1, 10, 17, 0, tzinfo=UTC)
WALL = datetime(2026, 11, 3, 8, 30, 0, 250_000, tzinfo=UTC)


@pytest.fixture(scope="module")
def url(tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    folder: Path = tmp_path_factory.mktemp("q")
    with redis_server(folder) as address:
        yield address


@pytest.fixture
def redis(url: str) -> Iterator[Redis]:
    with Redis.from_url(url) as connection:
        connection.flushall()
        yield connection


@pytest.fixture
def queue(url: str) -> RqJobQueue:
    return RqJobQueue(connect(url), clock=lambda: SHOP_NOON, wall=lambda: WALL)


def a_step(*, ahead: timedelta, fence: int = 0, step_id: str = "step-1") -> Step:
    return Step(
        id=step_id,
        kind=StepKind.REMIND,
        subject_id="reminder-1",
        lane="reminder:reminder-1",
        position=1,
        state=StepState.OWED,
        attempts=0,
        fence=fence,
        due_at=SHOP_NOON + ahead,
    )


def waiting(redis: Redis) -> list[str]:
    return Queue("replies", connection=redis, serializer=JSONSerializer).get_job_ids()


def scheduled(redis: Redis) -> dict[str, datetime]:
    registry = ScheduledJobRegistry(  # type: ignore[no-untyped-call]
        "replies", connection=redis, serializer=JSONSerializer
    )
    return {name: registry.get_scheduled_time(name) for name in registry.get_job_ids()}


def test_a_due_step_waits_in_the_queue_at_once(redis: Redis, queue: RqJobQueue) -> None:
    assert queue.enqueue([a_step(ahead=timedelta(0))])
    assert waiting(redis) == ["remind-step-1-0-0"]
    assert scheduled(redis) == {}


def test_a_later_one_is_scheduled_by_the_wall_never_before_it_is_due(
    redis: Redis, queue: RqJobQueue
) -> None:
    """The shop's clock may stand elsewhere; RQ keeps whole seconds, and cuts the rest off."""
    ahead = timedelta(days=40, seconds=3)
    queue.enqueue([a_step(ahead=ahead)])
    assert waiting(redis) == []
    due = scheduled(redis)["remind-step-1-0-0"]
    assert WALL + ahead <= due < WALL + ahead + timedelta(seconds=1)
    assert redis.ttl("rq:job:remind-step-1-0-0") == -1  # kept as long as it takes


def test_the_same_step_is_scheduled_once(redis: Redis, queue: RqJobQueue) -> None:
    for _ in range(3):
        assert queue.enqueue([a_step(ahead=timedelta(hours=1))])
    assert len(scheduled(redis)) == 1


def test_what_lies_in_redis_is_an_opaque_id_as_json(redis: Redis, queue: RqJobQueue) -> None:
    queue.enqueue([a_step(ahead=timedelta(hours=1))])
    job: Any = redis.hgetall("rq:job:remind-step-1-0-0")
    name, instance, arguments, named = json.loads(zlib.decompress(job[b"data"]))
    assert (name, instance, arguments, named) == (
        "workers.reminding.remind",
        None,
        ["step-1"],
        {},
    )
    assert job[b"description"] == b"remind-step-1-0-0"


def test_a_redis_that_lost_everything_gets_it_again_when_it_is_due(
    redis: Redis, queue: RqJobQueue, url: str
) -> None:
    queue.enqueue([a_step(ahead=timedelta(hours=1))])
    redis.flushall()
    later = RqJobQueue(
        connect(url),
        clock=lambda: SHOP_NOON + timedelta(hours=1),
        wall=lambda: WALL + timedelta(hours=1),
    )
    assert later.bring_back([a_step(ahead=timedelta(hours=1))]) == 1
    [name] = waiting(redis)
    assert name.startswith("remind-step-1-0-")


def test_what_waits_in_the_queue_is_not_brought_back(redis: Redis, queue: RqJobQueue) -> None:
    known, lost = (a_step(ahead=timedelta(0), step_id=each) for each in ("-a_b-", "c-1-0"))
    queue.enqueue([known])
    assert queue.bring_back([known, lost]) == 1
    assert queue.bring_back([known, lost]) == 0
    assert [name.rpartition("-")[0] for name in waiting(redis)] == [
        "remind--a_b--0",
        "remind-c-1-0-0",
    ]


def test_a_job_that_a_dead_worker_took_is_brought_back_under_a_new_name(
    redis: Redis, queue: RqJobQueue
) -> None:
    queue.enqueue([a_step(ahead=timedelta(0))])
    taken = redis.blmove("rq:queue:replies", "rq:queue:replies:intermediate", 1)
    assert taken == b"remind-step-1-0-0"
    assert queue.bring_back([a_step(ahead=timedelta(0))]) == 1
    assert waiting(redis) == [f"remind-step-1-0-{WALL.timestamp():.0f}"]


def test_what_one_queue_lost_does_not_wait_for_what_lies_in_another(
    redis: Redis, queue: RqJobQueue
) -> None:
    """However much is waiting for whoever delivers, and was owed before."""
    soon = a_step(ahead=timedelta(0))
    deliveries = [replace(soon, kind=StepKind.DELIVER, id=f"d{n}") for n in range(1200)]
    steps = [*deliveries, soon]
    assert [queue.bring_back(iter(steps)) for _ in range(4)] == [501, 500, 200, 0]
    assert len(waiting(redis)) == 1


def test_it_knows_how_long_nobody_has_swept(queue: RqJobQueue) -> None:
    assert queue.unswept_s == math.inf
    queue.bring_back([])
    assert queue.unswept_s < 1


def test_a_redis_that_is_away_is_no_trouble() -> None:
    nowhere = RqJobQueue(
        connect("redis://127.0.0.1:9/0"), clock=lambda: SHOP_NOON, wall=lambda: WALL
    )
    assert not nowhere.enqueue([a_step(ahead=timedelta(hours=1))])
    assert nowhere.bring_back([a_step(ahead=timedelta(0))]) == 0
