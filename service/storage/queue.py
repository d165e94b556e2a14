"""Hands steps to RQ. Redis may forget them; the sweep hands them over again."""

import logging
from collections.abc import Callable, Sequence
from datetime import UTC, datetime, timedelta

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
}
SWEEP_JOB = "workers.sweep.sweep"
SWEEP_EVERY = timedelta(seconds=2)

# A slow channel may take most of a minute; workers have nearer limits of their own.
_JOB_LIMIT_S = 110
_FORGET_AFTER_S = 60
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
            for name in ("replies", "deliveries", "upkeep")
        }

    def enqueue(self, steps: Sequence[Step]) -> bool:
        """Queue the steps under names that RQ refuses to take twice."""
        now = self._clock()
        try:
            for step in steps:
                self._enqueue_one(step, f"{step.id}-{step.fence}-{handing(step, now)}")
        except RedisError as error:
            log.warning(
                "the queue is out of reach (%s); the sweep will do it", type(error).__name__
            )
            return False
        return True

    def _enqueue_one(self, step: Step, name: str) -> None:
        queue, job = JOBS[step.kind]
        try:
            self._queues[queue].enqueue_call(
                job,
                args=(step.id,),
                job_id=f"{step.kind}-{name}",
                unique=True,
                retry=_RETRY,
                timeout=_JOB_LIMIT_S,
                result_ttl=0,
                failure_ttl=_FORGET_AFTER_S,
                description=f"{step.kind}-{name}",
            )
        except DuplicateJobError:
            return

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
