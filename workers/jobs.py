"""The jobs that may run, and an RQ worker that runs no others."""

import contextlib
import logging
import traceback
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any

from redis import Redis
from rq import Queue, SimpleWorker
from rq.exceptions import StopRequested
from rq.executions import Execution, ExecutionRegistry
from rq.job import Job
from rq.serializers import JSONSerializer

from service.contract import tracing
from workers import queues
from workers.scheduling import Scheduler
from workers.steps import StepFailed

_log = logging.getLogger(__name__)


class JobRefused(Exception):
    """A job that is not one of ours, or whose arguments are not; it was not run."""


class JobFailed(Exception):
    """A job ended by an error; the text says where, and of which kind."""


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


def _discreetly(perform: Perform, name: str, arguments: Sequence[object]) -> None:
    """Perform; RQ writes an error's text into its log and into Redis, and it may quote a client.

    What other errors say is where they came from, and their kind.
    """
    try:
        perform(name, arguments)
    except (StepFailed, JobRefused):
        raise
    except Exception as error:
        place = traceback.extract_tb(error.__traceback__)[-1]
        where = f"{Path(place.filename).name}:{place.lineno}"
        raise JobFailed(f"{type(error).__name__} at {where}") from None


def job_class(perform: Perform) -> type[Job]:
    """An RQ job that goes through `perform(name, arguments)` instead of importing its function.

    RQ would import and call whatever dotted name it finds in Redis. Here a name is only looked
    up, and the callbacks that a job can carry are never resolved.
    """

    class Performed(Job):
        def _execute(self) -> None:
            if self.func_name is None or self.instance is not None or self.kwargs:
                raise JobRefused("malformed job")
            followed = self.meta.get(tracing.HEADER)
            if not isinstance(followed, str):  # a sweep: nobody's message set it off
                _discreetly(perform, self.func_name, self.args)
                return
            token = tracing.enter(followed)
            tracing.note(job_id=self.id)
            try:
                _discreetly(perform, self.func_name, self.args)
            except Exception as error:
                _log.warning("job %s is given back: %s", self.id, error)
                raise
            finally:
                tracing.leave(token)

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
        super().handle_job_failure(job, *args, **kwargs)
        # What is owed stands in SQL, and the owner sees it there; nobody reads RQ's own record.
        job.delete()

    def _start_scheduler(self, *_: Any, **__: Any) -> None:
        # RQ's own would look after this worker's queue only, and nobody would move the
        # retries of the other one.
        self.scheduler = Scheduler(self.connection, self._scheduler_name)
        self.scheduler.acquire_locks(auto_start=True)

    def stop_scheduler(self) -> None:
        if isinstance(self.scheduler, Scheduler):
            self.scheduler.end()

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
