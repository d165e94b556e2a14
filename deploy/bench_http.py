"""The service's estimates over HTTP beside a bare endpoint: the same server, bodies and sizes."""

import asyncio
import contextlib
import datetime as dt
import http.client
import json
import socket
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from deploy.questions import ORDINARY, TODAY, Questions, demo_book
from service.contract.brief import Brief

# By its name: started as a command, it is "__main__" to itself.
_ITSELF = "deploy.bench_http"
ROUNDS, SECONDS, CONNECTIONS = 3, 3.0, 16
MOST = 6_000
"""More than are answered in one round."""

ESTIMATES = "/v1/estimates"

_BARE, _AGAIN = "bare", "one brief, again and again"
_DIFFERENT = "different briefs, none of them twice"
_MIXED = "five for each client, three of them different"


@dataclass(frozen=True, kw_only=True)
class Site:
    """A server under load: its port, and the key that it wants."""

    port: int
    key: str

    def request(self, body: bytes) -> bytes:
        """The bytes that go over the wire for one question."""
        head = (
            f"POST {ESTIMATES} HTTP/1.1\r\nHost: localhost\r\nContent-Type: application/json\r\n"
            f"Authorization: Bearer {self.key}\r\nContent-Length: {len(body)}\r\n\r\n"
        )
        return head.encode() + body


def main() -> None:
    """Print requests a second of the service as shares of the bare endpoint's, in one run."""
    asked = _Streams()
    rates: dict[str, list[float]] = {name: [] for name in (_BARE, *asked.titles)}
    with tempfile.TemporaryDirectory() as data, _serving("service", Path(data)) as service:
        answer = _ask(service, asked.once[0])
        with _serving("bare", Path(data), str(len(answer))) as bare:
            for turn in range(ROUNDS):  # side by side, so that a busy moment is busy for all
                for name, bodies in asked.of(turn).items():
                    rates[_BARE].append(asyncio.run(_rate(bare, bodies)))
                    rates[name].append(asyncio.run(_rate(service, bodies)))
    _tell(rates, len(answer))


class _Streams:
    """What is asked. Nothing is asked twice but what is said to be."""

    titles = (_DIFFERENT, _MIXED, _AGAIN)

    def __init__(self) -> None:
        questions = Questions(demo_book(), seed=2027)
        self._all = [questions.bodies(MOST, ORDINARY) for _ in range(2 * ROUNDS)]
        self.once = [_sent(self._all[0][0])]

    def of(self, turn: int) -> Mapping[str, Sequence[bytes]]:
        """The bodies of one round by title."""
        different, begun = self._all[2 * turn : 2 * turn + 2]
        mixed = [body for each in begun[: MOST // 5] for body in _visit(each)]
        return {_DIFFERENT: [*map(_sent, different)], _MIXED: mixed, _AGAIN: self.once}


def _visit(brief: Mapping[str, Any]) -> Iterator[bytes]:
    """What one client's visit to a website of the shop's own asks for.

    A page that shows a price while its form is filled in asks after every answer: here when the
    pieces stand, with another day, and with a color less. It is loaded once more. Then the worker
    asks for what was sent off, in the words of its own client.
    """
    later = {**brief, "event": {"date": (TODAY + dt.timedelta(days=310)).isoformat()}}
    settled = {**later, "palette": brief["palette"][:-1]}
    yield from map(_sent, (brief, later, settled, settled))
    yield Brief.model_validate(settled).model_dump_json(exclude_none=True).encode()


def _sent(body: Mapping[str, Any]) -> bytes:
    return json.dumps(body).encode()


def _tell(rates: dict[str, list[float]], size: int) -> None:
    bare = rates.pop(_BARE)
    print(f"POST {ESTIMATES} beside a bare endpoint, same bodies in, {size} bytes out:")
    print(f"    {_BARE}: {statistics.median(bare):.0f} requests/s")
    for place, (name, each) in enumerate(rates.items()):
        # Each beside the bare endpoint's own rounds with the same bodies.
        beside = bare[place :: len(rates)]
        share = statistics.median(mine / other for mine, other in zip(each, beside, strict=True))
        print(f"    {name}: {statistics.median(each):.0f} requests/s, {share:.2f} of the bare ones")


@contextlib.contextmanager
def _serving(kind: str, data: Path, *more: str) -> Iterator[Site]:
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    command = [sys.executable, "-m", _ITSELF, kind, str(port), str(data), *more]
    process = subprocess.Popen(command)
    try:
        _await(port, process)
        key = (data / "bench.key").read_text() if kind == "service" else ""
        yield Site(port=port, key=key)
    finally:
        process.terminate()
        process.wait()


def _await(port: int, process: subprocess.Popen[bytes]) -> None:
    for _ in range(600):
        with contextlib.suppress(OSError), socket.create_connection(("127.0.0.1", port), 1):
            return
        if process.poll() is not None:
            break
        time.sleep(0.1)
    raise SystemExit("the server under test did not start; run deploy/test to see why")


def _ask(site: Site, body: bytes) -> bytes:
    connection = http.client.HTTPConnection("127.0.0.1", site.port)
    headers = {"Content-Type": "application/json", "Authorization": f"Bearer {site.key}"}
    connection.request("POST", ESTIMATES, body, headers)
    answer = connection.getresponse()
    content = answer.read()
    if answer.status != 200:
        raise SystemExit(f"the service answered {answer.status}: {content[:300]!r}")
    return content


async def _rate(site: Site, bodies: Sequence[bytes]) -> float:
    requests = [site.request(body) for body in bodies]
    done = [0]
    until = time.perf_counter() + SECONDS
    shares = (requests[k::CONNECTIONS] or requests for k in range(CONNECTIONS))
    await asyncio.gather(*(_keep_asking(site.port, share, until, done) for share in shares))
    return done[0] / SECONDS


async def _keep_asking(port: int, requests: Sequence[bytes], until: float, done: list[int]) -> None:
    reader, writer = await asyncio.open_connection("127.0.0.1", port)
    number = 0
    while time.perf_counter() < until:
        writer.write(requests[number % len(requests)])
        head = await reader.readuntil(b"\r\n\r\n")
        if not head.startswith(b"HTTP/1.1 200"):
            raise SystemExit(f"the server under test answered {head.splitlines()[0]!r}")
        length = head.lower().split(b"content-length: ")[1].split(b"\r\n")[0]
        await reader.readexactly(int(length))
        done[0] += 1
        number += 1
    writer.close()


def _serve(kind: str, port: int, data: Path, size: int) -> None:
    import uvicorn

    app = _service(data) if kind == "service" else _bare(size)
    uvicorn.run(app, host="127.0.0.1", port=port, access_log=False, log_level="warning")


def _service(data: Path):  # type: ignore[no-untyped-def]  # the application, imported only there
    from datetime import date

    from service.app import create_app
    from service.assembly import keys_of, prepare
    from service.config import Settings

    settings = Settings(
        data=data, redis_url="redis://127.0.0.1:9/0", reference_date=date(2027, 1, 10)
    )
    prepare(settings)
    (data / "bench.key").write_text(keys_of(settings).worker)
    return create_app(settings)


def _bare(size: int):  # type: ignore[no-untyped-def]
    from fastapi import FastAPI, Response

    app, content = FastAPI(), b"x" * size

    @app.post(ESTIMATES)
    async def answer(_brief: Brief) -> Response:
        return Response(content, media_type="application/json")

    return app


if __name__ == "__main__":
    if sys.argv[1:]:
        _serve(sys.argv[1], int(sys.argv[2]), Path(sys.argv[3]), int((*sys.argv, "0")[4]))
    else:
        main()
