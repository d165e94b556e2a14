"""RQ's scheduler for all our queues: one on each machine, of which one at a time is at work."""

import contextlib
import os
import signal
import time
from typing import Any

from redis import Redis
from rq.scheduler import RQScheduler
from rq.serializers import JSONSerializer

from workers import queues

_STOPS = (signal.SIGINT, signal.SIGTERM)
_LOOKS_EVERY_S = 1
# Whoever holds the locks and dies is followed by another machine's scheduler after so long.
_LOCKS_LAST_S = 5
# RQ holds them for its interval and a minute more.
_RQS_OWN_S = 60

# It looks up once a second.
_STOPS_WITHIN_S = 5.0


class Scheduler(RQScheduler):
    """Ends when its worker is gone, and stands by while another machine's is at work.

    RQ forks it from the worker and would leave it running after a SIGKILL of that worker.
    """

    def __init__(self, connection: Redis, name: str | None) -> None:
        super().__init__(
            queues.NAMES,
            connection,
            interval=_LOCKS_LAST_S - _RQS_OWN_S,
            serializer=JSONSerializer,
            name=name,
            logging_level="WARNING",
        )
        self._given = connection
        self._worker_pid = os.getpid()

    @property
    def connection(self) -> Redis:
        # RQ would connect anew to the server of the worker's, and know nothing of Sentinels. A
        # pool notices by itself that it is in another process now.
        return self._given

    @property
    def should_reacquire_locks(self) -> bool:
        return bool(self._queue_names != self.acquired_locks)

    def acquire_locks(self, auto_start: bool = False) -> Any:
        held = super().acquire_locks()  # type: ignore[no-untyped-call]
        # Without a lock, too: it stands by.
        if auto_start and not (self._process and self._process.is_alive()):
            self.start()
        return held

    def start(self) -> Any:
        # Between the fork and the child's own handlers a signal would run the worker's handler
        # in the child and be lost, and the worker would wait for a scheduler that never stops.
        # So both hold their signals until the child is ready for them.
        before = signal.pthread_sigmask(signal.SIG_BLOCK, _STOPS)
        try:
            return super().start()  # type: ignore[no-untyped-call]
        finally:
            signal.pthread_sigmask(signal.SIG_SETMASK, before)

    def work(self) -> None:
        # As RQ's own loop, whose pause is the interval that its locks are reckoned by.
        self._install_signal_handlers()
        self.register_birth()
        while not self._stop_requested:
            if self.should_reacquire_locks:
                self.acquire_locks()
            self.heartbeat()
            self.enqueue_scheduled_jobs()  # type: ignore[no-untyped-call]
            time.sleep(_LOOKS_EVERY_S)
        super().stop()  # type: ignore[no-untyped-call]

    def end(self) -> None:
        """Stop the process that `start` began. RQ's own way waits for it without end."""
        process = self._process
        if process and process.pid:
            with contextlib.suppress(OSError):
                os.kill(process.pid, signal.SIGTERM)
            process.join(_STOPS_WITHIN_S)
            if process.is_alive():
                process.kill()
                process.join()

    def _install_signal_handlers(self) -> None:
        super()._install_signal_handlers()  # type: ignore[no-untyped-call]
        signal.pthread_sigmask(signal.SIG_UNBLOCK, _STOPS)

    def heartbeat(self) -> None:
        if os.getppid() != self._worker_pid:
            self.request_stop()  # type: ignore[no-untyped-call]
            return
        super().heartbeat()  # type: ignore[no-untyped-call]
