"""The one place where a worker process is wired."""

import asyncio
import logging
import os
import time
from collections.abc import Awaitable, Callable, Mapping, Sequence
from contextvars import copy_context
from functools import partial

from redis.exceptions import RedisError
from rq.exceptions import StopRequested

from service.contract.client import ServiceClient
from service.contract.log_lines import log_to_stderr
from service.contract.redis_address import open_redis
from workers import queues
from workers.channels import Channel
from workers.chores import do_part
from workers.config import Settings
from workers.delivery import deliver
from workers.jobs import JobRefused, Perform, Worker
from workers.pacing import Pacing
from workers.quoting import quote_lead
from workers.reminding import remind
from workers.sweep import sweep

_log = logging.getLogger(__name__)

_RECONNECT_PAUSE_S = 1.0
_TOLD_EVERY_S = 60.0
_SERVICE_PAUSE_S = 0.1
_REDIS_PATIENCE_S = 2.0
# What nobody waits for gives way to those whom somebody waits for.
_NICENESS = {queues.CHORES: 10}

Job = Callable[..., Awaitable[None]]


def run(
    settings: Settings, queue: str, *, with_scheduler: bool, scheduler_name: str | None
) -> None:
    """Work on one queue until a signal says stop. Trouble with Redis is waited out."""
    log_to_stderr(queue, settings.log, settings.log_level)
    logging.getLogger("rq.worker").addFilter(_is_news)
    os.nice(_NICENESS.get(queue, 0))
    connection = open_redis(
        settings.redis_url.get_secret_value(), socket_connect_timeout=_REDIS_PATIENCE_S
    )
    with asyncio.Runner() as runner:
        service = ServiceClient(settings.service_url, settings.api_key.get_secret_value())
        perform = performer(runner, allowed_jobs(service, channels(settings)))
        # A job that waits since the last run would only be given back.
        while not runner.run(service.answers()):
            time.sleep(_SERVICE_PAUSE_S)
        away = _Away()
        try:
            while not _worked(
                lambda: Worker(queue, connection, perform, scheduler_name), with_scheduler, away
            ):
                time.sleep(_RECONNECT_PAUSE_S)
        except StopRequested:  # the signal came during the pause
            pass
        finally:
            runner.run(service.aclose())


def load(settings: Settings) -> None:
    """Load what a worker needs, so that those who are forked from this process share it."""
    log_to_stderr("pool", settings.log, settings.log_level)
    if settings.telegram_token is not None:
        from workers.channels.telegram import telegram  # noqa: F401


def _is_news(record: logging.LogRecord) -> bool:
    """RQ tells of a failed job with all that an error says; `workers.jobs` has told of its kind."""
    return "exception raised while executing" not in str(record.msg)


def channels(settings: Settings) -> dict[str, Channel]:
    """The push channels that are set up. Without a token there is no way out to Telegram."""
    if settings.telegram_token is None:
        return {}
    # Imported only here: the library takes longer to load than all the rest of a worker.
    from workers.channels.telegram import telegram

    token = settings.telegram_token.get_secret_value()
    pacing = Pacing(settings.redis_url.get_secret_value())
    return {"telegram": telegram(token, settings.telegram_api, pacing)}


def allowed_jobs(service: ServiceClient, ways_out: Mapping[str, Channel]) -> dict[str, Job]:
    """What may be asked for through Redis, by the name that the service enqueues."""
    return {
        "workers.quoting.quote_lead": partial(quote_lead, service),
        "workers.delivery.deliver": partial(deliver, service, ways_out),
        "workers.reminding.remind": partial(remind, service),
        "workers.sweep.sweep": partial(sweep, service),
        "workers.chores.do_part": partial(do_part, service),
    }


def performer(runner: asyncio.Runner, jobs: Mapping[str, Job]) -> Perform:
    """Runs a job by name on the process's own event loop, where its connections live."""

    def perform(name: str, arguments: Sequence[object]) -> None:
        job = jobs.get(name)
        if job is None or len(arguments) > 1 or not all(isinstance(a, str) for a in arguments):
            raise JobRefused("not one of our jobs")
        # The runner would start from the context in which it was made.
        runner.run(_awaited(job(*arguments)), context=copy_context())

    return perform


async def _awaited(work: Awaitable[None]) -> None:
    await work


class _Away:
    """Redis' absence, which is told once a minute as long as it lasts, and tried every second."""

    def __init__(self) -> None:
        self._told: float | None = None

    def seen(self, error: RedisError) -> None:
        now = time.monotonic()
        if self._told is None or now - self._told > _TOLD_EVERY_S:
            _log.warning("Redis is away (%s); it is tried every second", type(error).__name__)
            self._told = now


def _worked(make_worker: Callable[[], Worker], with_scheduler: bool, away: _Away) -> bool:
    """Work until asked to stop (true) or until Redis is gone (false)."""
    worker = None
    try:
        worker = make_worker()
        _log.info("listening on %s", ", ".join(worker.queue_names()))
        worker.work(with_scheduler=with_scheduler)
    except RedisError as error:
        away.seen(error)
    return worker is not None and worker.asked_to_stop
