"""Hands steps to RQ. Redis may forget them; the sweep hands them over again."""

import contextlib
import logging
import math
from collections.abc import Callable, Sequence
from datetime import UTC, datetime, timedelta
from typing import Any

from redis import Redis
from redis.exceptions import RedisError
from rq import Queue, Retry
from rq.exceptions import DuplicateJobError
from rq.serializers import JSONSerializer

from service.leads.steps import Step, StepKind, handing

log = logging.getLogger(__name__)

# Queue and job of each kind of step.
JOBS = {
    StepKind.QUOTE: ("replies", "workers.quoting.quote_lead"),
    StepKind.DELIVER: ("deliveries", "workers.delivery.deliver"),
    StepKind.REMIND: ("replies", "workers.reminding.remind"),
    StepKind.CHORE: ("chores", "workers.chores.do_part"),
}
SWEEP_JOB = "workers.sweep.sweep"
SWEEP_EVERY = timedelta(seconds=2)

# A slow channel may take most of a minute; workers have nearer limits of their own.
_JOB_LIMIT_S = 110
_FORGET_AFTER_S = 60
# What is due this soon is handed over at once: an early job is refused, and the sweep brings it.
_SOON = timedelta(seconds=1)
# Shorter than the ledger's own pauses, so that RQ tries first and the sweep only makes up for it.
_RETRY = Retry(max=3, interval=[1, 4, 15])
# A Redis that does not answer must not hold up whoever has just been told "accepted".
_REDIS_PATIENCE_S = 1.0


def connect(url: str) -> Redis:
    """A connection that gives up quickly."""
    return Redis.from_url(
        url, socket_connect_timeout=_REDIS_PATIENCE_S, socket_timeout=_REDIS_PATIENCE_S
    )


class RqJobQueue:
    """`service.leads.ports.JobQueue`. Arguments are opaque ids, serialized as JSON.

    `clock` is the shop's clock, by which steps fall due; RQ's scheduler goes by the wall.
    """

    def __init__(
        self, redis: Redis, *, clock: Callable[[], datetime], wall: Callable[[], datetime]
    ) -> None:
        self._redis = redis
        self._clock = clock
        self._wall = wall
        self._queues = {
            name: Queue(name, connection=redis, serializer=JSONSerializer)
            for name in ("replies", "deliveries", "upkeep", "chores")
        }

    def enqueue(self, steps: Sequence[Step]) -> bool:
        """Queue the steps under names that RQ refuses to take twice.

        A step that falls due later waits with RQ's scheduler until then.
        """
        now = self._clock()
        try:
            for step in steps:
                name = f"{step.kind}-{step.id}-{step.fence}-{handing(step, now)}"
                with contextlib.suppress(DuplicateJobError):
                    self._enqueue_one(step, name, step.due_at - now)
        except RedisError as error:
            log.warning(
                "the queue is out of reach (%s); the sweep will do it", type(error).__name__
            )
            return False
        return True

    def _enqueue_one(self, step: Step, name: str, ahead: timedelta) -> None:
        queue, job = JOBS[step.kind]
        known: dict[str, Any] = {
            "job_id": name,
            "unique": True,
            "retry": _RETRY,
            "result_ttl": 0,
            "failure_ttl": _FORGET_AFTER_S,
            "description": name,
        }
        if ahead <= _SOON:
            self._queues[queue].enqueue_call(job, args=(step.id,), timeout=_JOB_LIMIT_S, **known)
            return
        # RQ keeps whole seconds, cut off: a step must not come before it is due.
        due = math.ceil((self._wall() + ahead).timestamp())
        self._queues[queue].enqueue_at(
            datetime.fromtimestamp(due, tz=UTC), job, step.id, job_timeout=_JOB_LIMIT_S, **known
        )

    def schedule_sweeps(self) -> bool:
        """See to it that RQ's scheduler knows the next sweeps; False when it cannot be reached.

        Called again and again: a Redis that lost everything knows them again at once.
        """
        slot = int(self._wall().timestamp() / SWEEP_EVERY.total_seconds())
        try:
            for ahead in (1, 2):
                self._schedule_sweep(slot + ahead)
        except RedisError:
            return False
        return True

    def _schedule_sweep(self, slot: int) -> None:
        due = datetime.fromtimestamp(slot * SWEEP_EVERY.total_seconds(), tz=UTC)
        try:
            self._queues["upkeep"].enqueue_at(
                due,
                SWEEP_JOB,
                job_id=f"sweep-{slot}",
                unique=True,
                job_timeout=_JOB_LIMIT_S,
                ttl=60,
                result_ttl=0,
                failure_ttl=60,
                description="sweep",
            )
        except DuplicateJobError:
            return

    def reachable(self) -> bool:
        """Whether Redis answers."""
        try:
            return bool(self._redis.ping())
        except RedisError:
            return False
