"""What waits in Redis, who works on it, and when steps were last swept."""

from collections.abc import Sequence
from datetime import datetime

from redis import Redis
from rq.job import Job
from rq.queue import Queue
from rq.utils import str_to_date
from rq.worker_registration import WORKERS_BY_QUEUE_KEY

from service.leads.vitals import QueueReading

_SWEPT = "garlandry:swept"
_TRIED = "garlandry:tried"
_TRIED_LASTS_S = 60
_SWEPT_LASTS_S = 86_400


def read_queues(redis: Redis, names: Sequence[str], now: datetime) -> tuple[QueueReading, ...]:
    """Each queue as it stands `now`, by the wall.

    Raises RedisError, also where Redis answers and takes nothing: full, or a replica.
    """
    with redis.pipeline(transaction=False) as pipe:
        pipe.set(_TRIED, b"", ex=_TRIED_LASTS_S)
        for name in names:
            pipe.llen(f"{Queue.redis_queue_namespace_prefix}{name}")
            pipe.lindex(f"{Queue.redis_queue_namespace_prefix}{name}", 0)
            pipe.smembers(WORKERS_BY_QUEUE_KEY % name)
        answers = iter(pipe.execute()[1:])
    return tuple(
        _reading(redis, name, next(answers), next(answers), next(answers), now) for name in names
    )


def note_sweep(redis: Redis, now: datetime) -> None:
    """Steps were swept `now`. Raises RedisError."""
    redis.set(_SWEPT, now.isoformat(), ex=_SWEPT_LASTS_S)


def since_sweep(redis: Redis, now: datetime) -> float | None:
    """Seconds since the last sweep; None for none in a day. Raises RedisError."""
    noted = redis.get(_SWEPT)
    return None if noted is None else _age(datetime.fromisoformat(_text(noted)), now)


def _reading(
    redis: Redis, name: str, waiting: int, first: bytes | None, workers: set[bytes], now: datetime
) -> QueueReading:
    with redis.pipeline(transaction=False) as pipe:
        if first is not None:
            pipe.hget(Job.key_for(_text(first)), "enqueued_at")
        for worker in workers:
            pipe.hget(_text(worker), "last_heartbeat")
        found = pipe.execute()
    since = found.pop(0) if first is not None else None
    # A worker that was killed is listed until RQ tidies up; its own key is gone before.
    heard = [_age(str_to_date(at), now) for at in found if at]
    return QueueReading(
        name=name,
        waiting=waiting,
        oldest_s=_age(str_to_date(since), now) if since else 0.0,
        workers=len(heard),
        heard_s=min(heard, default=None),
    )


def _age(moment: datetime, now: datetime) -> float:
    return max(0.0, (now - moment).total_seconds())


def _text(answer: object) -> str:
    return answer.decode() if isinstance(answer, bytes) else str(answer)
