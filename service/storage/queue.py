"""Hands steps to RQ. Redis may forget them; the sweep hands them over again."""

import logging
import math
import time
from collections.abc import Callable, Iterable, Sequence
from datetime import UTC, datetime, timedelta
from typing import Any

from redis import Redis
from redis.backoff import NoBackoff
from redis.client import Pipeline
from redis.exceptions import ConnectionError as RedisConnectionError
from redis.exceptions import RedisError
from redis.retry import Retry
from rq import Queue
from rq.exceptions import DuplicateJobError
from rq.serializers import JSONSerializer

from service.contract.redis_address import open_redis
from service.leads.steps import Step, StepKind

log = logging.getLogger(__name__)

# Queue and job of each kind of step.
JOBS = {
    StepKind.QUOTE: ("replies", "workers.quoting.quote_lead"),
    StepKind.DELIVER: ("deliveries", "workers.delivery.deliver"),
    StepKind.REMIND: ("replies", "workers.reminding.remind"),
    StepKind.CHORE: ("chores", "workers.chores.do_part"),
}
QUEUES = ("replies", "deliveries", "upkeep", "chores")
SWEEP_JOB = "workers.sweep.sweep"
SWEEP_EVERY = timedelta(seconds=2)
# Nobody sweeps any more, as when the worker for it is dead or stopped: whoever notices does it.
UNSWEPT_S = 2.5

# Workers have nearer limits of their own.
_JOB_LIMIT_S = 110
_FORGET_AFTER_S = 60
# What is due this soon is handed over at once: an early job is refused, and the sweep brings it.
_SOON = timedelta(milliseconds=400)
# So many of a queue are brought back at once; the next sweep is seconds away.
_MOST_BACK = 500
# A Redis that does not answer must not hold up whoever has just been told "accepted".
_REDIS_PATIENCE_S = 1.0


def connect(url: str) -> Redis:
    """A connection that gives up quickly.

    One that broke, as when Redis was started again, is made anew. What only took too long is not
    said again: it may have been heard.
    """
    return open_redis(
        url,
        socket_connect_timeout=_REDIS_PATIENCE_S,
        socket_timeout=_REDIS_PATIENCE_S,
        retry=Retry(NoBackoff(), 1, supported_errors=(RedisConnectionError,)),
    )


class RqJobQueue:
    """`service.leads.ports.JobQueue`. Arguments are opaque ids, serialized as JSON.

    A step may be queued twice: its lease and fence see to it that it is done once. RQ is not asked
    to retry anything: a step that failed is queued anew for when the ledger says.

    `clock` is the shop's clock, by which steps fall due; RQ's scheduler goes by the wall.
    """

    def __init__(
        self, redis: Redis, *, clock: Callable[[], datetime], wall: Callable[[], datetime]
    ) -> None:
        self._redis = redis
        self._clock = clock
        self._wall = wall
        self._swept_at = -math.inf
        self._queues = {
            name: Queue(name, connection=redis, serializer=JSONSerializer) for name in QUEUES
        }

    @property
    def unswept_s(self) -> float:
        """Seconds since a sweep last came by here."""
        return time.monotonic() - self._swept_at

    def enqueue(self, steps: Sequence[Step]) -> bool:
        """Queue the steps. One that falls due later waits with RQ's scheduler until then."""
        try:
            self._enqueue(steps, mark="0")
        except RedisError as error:
            log.warning(
                "the queue is out of reach (%s); the sweep will do it", type(error).__name__
            )
            return False
        return True

    def bring_back(self, steps: Iterable[Step]) -> int:
        """Queue those of these due steps that lie in no queue: Redis or a worker has lost them.

        While workers are behind, what waits in its queue is left alone. Of very many each queue
        gets the first ones, so that what one has lost does not wait for what another has.
        """
        self._swept_at = time.monotonic()
        try:
            lost = self._lost(steps)
            # A name of its own: RQ may still know the lost job by the old one.
            self._enqueue(lost, mark=str(int(self._wall().timestamp())))
        except RedisError as error:
            log.warning("nothing was brought back, the queue is away (%s)", type(error).__name__)
            return 0
        return len(lost)

    def _lost(self, steps: Iterable[Step]) -> list[Step]:
        waiting: dict[str, set[str]] = {}
        lost: dict[str, list[Step]] = {}
        for step in steps:
            queue = JOBS[step.kind][0]
            if queue not in waiting:
                waiting[queue] = set(map(_step_in, self._queues[queue].get_job_ids()))
                lost[queue] = []
            if step.id not in waiting[queue] and len(lost[queue]) < _MOST_BACK:
                lost[queue].append(step)
        return [step for each in lost.values() for step in each]

    def _enqueue(self, steps: Sequence[Step], *, mark: str) -> None:
        if not steps:
            return
        now = self._clock()
        with self._redis.pipeline() as pipeline:
            for step in steps:
                name = _name_of(step, mark)
                self._enqueue_one(step, name, step.due_at - now, pipeline)
            pipeline.execute()

    def _enqueue_one(self, step: Step, name: str, ahead: timedelta, pipeline: Pipeline) -> None:
        queue, job = JOBS[step.kind]
        known: dict[str, Any] = {
            "job_id": name,
            "result_ttl": 0,
            "failure_ttl": _FORGET_AFTER_S,
            "description": name,
            "pipeline": pipeline,
            "meta": {"traceparent": step.traceparent} if step.traceparent else None,
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


def _name_of(step: Step, mark: str) -> str:
    return f"{step.kind}-{step.id}-{step.fence}-{mark}"


def _step_in(name: str) -> str:
    """The step's id, which may have dashes of its own, in the name of its job."""
    return name.partition("-")[2].rsplit("-", 2)[0]
