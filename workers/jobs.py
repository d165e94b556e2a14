"""The jobs that may run, and an RQ worker and scheduler that run no others."""

import contextlib
import os
import signal
from collections.abc import Callable, Sequence
from typing import Any

from redis import Redis
from rq import Queue, SimpleWorker
from rq.exceptions import StopRequested
from rq.executions import Execution, ExecutionRegistry
from rq.job import Job
from rq.scheduler import RQScheduler
from rq.serializers import JSONSerializer

from workers import queues

_STOPS = (signal.SIGINT, signal.SIGTERM)

# It looks up once a second.
_SCHEDULER_STOPS_WITHIN_S = 5.0


class JobRefused(Exception):
    """A job that is not one of ours, or whose arguments are not; it was not run."""


class _Executions(ExecutionRegistry):
    """RQ forgets an abandoned execution a minute before it forgets that there was one.

    Its own look-up stumbles over that gap, and the job that is run again fails after its work.
    """

    def get_executions(self, start: int = 0, end: int = -1) -> list[Execution]:
        found = []
        for execution_id in self.get_execution_ids(start, end):
            with contextlib.suppress(ValueError):
                found.append(Execution.fetch(execution_id, self.job_id, self.connection))
        return found


Perform = Callable[[str, Sequence[object]], None]


def job_class(perform: Perform) -> type[Job]:
    """An RQ job that goes through `perform(name, arguments)` instead of importing its function.

    RQ would import and call whatever dotted name it finds in Redis. Here a name is only looked
    up, and the callbacks that a job can carry are never resolved.
    """

    class Performed(Job):
        def _execute(self) -> None:
            if self.func_name is None or self.instance is not None or self.kwargs:
                raise JobRefused("malformed job")
            perform(self.func_name, self.args)

        @property
        def execution_registry(self) -> ExecutionRegistry:
            return _Executions(self.id, connection=self.connection)

        @property
        def success_callback(self) -> None:
            return None

        @property
        def failure_callback(self) -> None:
            return None

        @property
        def stopped_callback(self) -> None:
            return None

        def send_webhooks(self, *_: Any, **__: Any) -> None:
            return None

    return Performed


class Scheduler(RQScheduler):
    """RQ's scheduler for all our queues, which ends when its worker is gone.

    RQ forks it from the worker and would leave it running after a SIGKILL of that worker.
    """

    def __init__(self, connection: Redis, name: str | None) -> None:
        super().__init__(
            queues.NAMES, connection, serializer=JSONSerializer, name=name, logging_level="WARNING"
        )
        self._worker_pid = os.getpid()

    def start(self) -> Any:
        # Between the fork and the child's own handlers a signal would run the worker's handler
        # in the child and be lost, and the worker would wait for a scheduler that never stops.
        # So both hold their signals until the child is ready for them.
        before = signal.pthread_sigmask(signal.SIG_BLOCK, _STOPS)
        try:
            return super().start()  # type: ignore[no-untyped-call]
        finally:
            signal.pthread_sigmask(signal.SIG_SETMASK, before)

    def _install_signal_handlers(self) -> None:
        super()._install_signal_handlers()  # type: ignore[no-untyped-call]
        signal.pthread_sigmask(signal.SIG_UNBLOCK, _STOPS)

    def heartbeat(self) -> None:
        if os.getppid() != self._worker_pid:
            self.request_stop()  # type: ignore[no-untyped-call]
            return
        super().heartbeat()  # type: ignore[no-untyped-call]


class Worker(SimpleWorker):
    """An RQ worker without a fork per job: our jobs are short HTTP calls."""

    exponential_backoff_factor = 1.5
    max_connection_wait_time = 5.0

    def __init__(
        self, queue: str, connection: Redis, perform: Perform, scheduler_name: str | None = None
    ) -> None:
        performed = job_class(perform)
        super().__init__(
            [Queue(queue, connection, serializer=JSONSerializer, job_class=performed)],
            connection=connection,
            serializer=JSONSerializer,
            job_class=performed,
            worker_ttl=queues.WORKER_TTL_S,
            maintenance_interval=queues.MAINTENANCE_INTERVAL_S,
            log_job_description=False,
        )
        self._scheduler_name = scheduler_name

    def get_heartbeat_ttl(self, job: Job, working_time: float = 0.0) -> int:  # noqa: ARG002
        return queues.ABANDONED_AFTER_S

    def handle_job_failure(self, job: Job, *args: Any, **kwargs: Any) -> None:
        last_try = not job.should_retry
        super().handle_job_failure(job, *args, **kwargs)
        if last_try:
            # What is owed stands in SQL, and the owner sees it there. RQ's own record would
            # only keep the sweep from queueing the step again: job ids are unique.
            job.delete()

    def _start_scheduler(self, *_: Any, **__: Any) -> None:
        # RQ's own would look after this worker's queue only, and nobody would move the
        # retries of the other one.
        self.scheduler = Scheduler(self.connection, self._scheduler_name)
        if self.scheduler.acquire_locks():  # type: ignore[no-untyped-call]
            self.scheduler.start()

    def stop_scheduler(self) -> None:
        # RQ's own waits for it without end, and the worker's supervisor with it.
        process = self.scheduler and self.scheduler._process
        if process and process.pid:
            with contextlib.suppress(OSError):
                os.kill(process.pid, signal.SIGTERM)
            process.join(_SCHEDULER_STOPS_WITHIN_S)
            if process.is_alive():
                process.kill()
                process.join()

    def heartbeat(self, timeout: int | None = None, pipeline: Any = None) -> None:
        # RQ says "stop" once, by an exception out of a signal handler. Whatever it interrupted may
        # have swallowed that, and the worker would go on for ever.
        if self.asked_to_stop and not self._stop_requested:
            raise StopRequested
        super().heartbeat(timeout, pipeline)

    @property
    def asked_to_stop(self) -> bool:
        """Whether the loop ended by a signal rather than by trouble with Redis."""
        return self._shutdown_requested_date is not None
