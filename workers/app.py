"""The one place where a worker process is wired."""

import asyncio
import logging
import time
from collections.abc import Awaitable, Callable, Mapping, Sequence
from functools import partial

from redis import Redis
from redis.exceptions import RedisError
from rq.exceptions import StopRequested

from service.contract.client import ServiceClient
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

# These tell addresses at INFO and headers at DEBUG; a bot's token and our key are in them.
_TALKATIVE = ("httpx", "httpcore", "telegram")
# Tells at ERROR what it could not read, such as a proxy's page with our request's address in it.
_INDISCREET = "telegram.request"
# These tell every job's coming and going; the steps say themselves what matters.
_CHATTY = ("rq.worker", "rq.job")

_RECONNECT_PAUSE_S = 1.0

Job = Callable[..., Awaitable[None]]


def run(
    settings: Settings, queue: str, *, with_scheduler: bool, scheduler_name: str | None
) -> None:
    """Work on one queue until a signal says stop. Trouble with Redis is waited out."""
    quiet_logs()
    connection = Redis.from_url(settings.redis_url.get_secret_value(), socket_connect_timeout=2)
    with asyncio.Runner() as runner:
        service = ServiceClient(settings.service_url, settings.api_key.get_secret_value())
        perform = performer(runner, allowed_jobs(service, channels(settings)))
        try:
            while not _worked(
                lambda: Worker(queue, connection, perform, scheduler_name), with_scheduler
            ):
                time.sleep(_RECONNECT_PAUSE_S)
        except StopRequested:  # the signal came during the pause
            pass
        finally:
            runner.run(service.aclose())


def quiet_logs() -> None:
    """Keep addresses, headers and clients' words out of the log at any level."""
    for name in (*_TALKATIVE, *_CHATTY):
        logging.getLogger(name).setLevel(logging.WARNING)
    logging.getLogger(_INDISCREET).setLevel(logging.CRITICAL)


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
        runner.run(_awaited(job(*arguments)))

    return perform


async def _awaited(work: Awaitable[None]) -> None:
    await work


def _worked(make_worker: Callable[[], Worker], with_scheduler: bool) -> bool:
    """Work until asked to stop (true) or until Redis is gone (false)."""
    worker = None
    try:
        worker = make_worker()
        _log.info("listening on %s", ", ".join(worker.queue_names()))
        worker.work(with_scheduler=with_scheduler)
    except RedisError as error:
        _log.warning("Redis is away (%s), trying again", type(error).__name__)
    return worker is not None and worker.asked_to_stop
