"""Which answers count as those of a server that was just started."""

import asyncio
import json
import os
import socket
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from http.server import BaseHTTPRequestHandler, HTTPServer
from pathlib import Path
from threading import Thread

import httpx
import pytest

from deploy import stack
from deploy.children import Child

_SERVER = """
import json, os, sys
from http.server import BaseHTTPRequestHandler, HTTPServer
class Health(BaseHTTPRequestHandler):
    def do_GET(self):
        self.send_response(200)
        self.end_headers()
        self.wfile.write(json.dumps({"status": "alive", "pid": os.getpid()}).encode())
HTTPServer(("127.0.0.1", int(sys.argv[1])), Health).serve_forever()
"""
_SLEEPER = "import time; print('the port is taken', flush=True); time.sleep(60)"


@contextmanager
def _stranger(answer: str) -> Iterator[int]:
    """A server of somebody else; gives its port."""

    class Health(BaseHTTPRequestHandler):
        def do_GET(self) -> None:
            self.send_response(200)
            self.end_headers()
            self.wfile.write(answer.encode())

        def log_message(self, *_: object) -> None:
            """Says nothing."""

    server = HTTPServer(("127.0.0.1", 0), Health)
    thread = Thread(target=server.serve_forever)
    thread.start()
    try:
        yield server.server_port
    finally:
        server.shutdown()
        thread.join()
        server.server_close()


def _start_and_ask(folder: Path, port: int, *command: str) -> None:
    async def whole() -> None:
        child = Child(
            "service",
            [sys.executable, "-c", *command],
            env=dict(os.environ),
            folder=folder,
            log=folder / "service.log",
            tell=lambda _line: None,
        )
        child.start()
        try:
            async with httpx.AsyncClient() as http:
                await stack._answers(http, child, f"http://127.0.0.1:{port}")
        finally:
            await child.stop(patience_s=1)

    asyncio.run(whole())


def test_a_server_that_tells_its_own_process_has_started(tmp_path: Path) -> None:
    with socket.create_server(("127.0.0.1", 0)) as probe:
        port = probe.getsockname()[1]
    _start_and_ask(tmp_path, port, _SERVER, str(port))


@pytest.mark.parametrize(
    "answer",
    [
        json.dumps({"status": "alive", "pid": os.getpid()}),
        json.dumps({"status": "alive"}),
        "[]",
        "<p>It works</p>",
    ],
    ids=["another process", "no process", "a list", "a page"],
)
def test_a_stranger_that_answers_on_the_port_is_not_taken_for_it(
    tmp_path: Path, answer: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(stack, "_START_S", 1.0)
    with _stranger(answer) as port, pytest.raises(stack.CannotStart, match="the port is taken"):
        _start_and_ask(tmp_path, port, _SLEEPER)


def test_the_service_gets_the_time_to_drain_before_it_is_stopped_by_force(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    async def patience(drain: str) -> float:
        given: list[float] = []

        async def stop(_: Child, patience_s: float) -> None:
            given.append(patience_s)

        monkeypatch.setattr(Child, "stop", stop)
        settings = {"GARLANDRY_DRAIN_S": drain, "REDIS_URL": "redis://127.0.0.1:9/0"}
        whole = stack.Stack(tmp_path, settings, print, stack.ANY_PORTS)
        monkeypatch.setattr(Child, "start", lambda _: None)
        whole._start("service", [], {})
        await whole.stop()
        return given[0]

    assert asyncio.run(patience("40")) == asyncio.run(patience("")) + 40


def test_what_cannot_start_as_it_is_set_up_is_given_up_at_once(tmp_path: Path) -> None:
    wrong = "import sys; print('GARLANDRY_DATA: type a path'); sys.exit(2)"
    with pytest.raises(stack.CannotStart, match="type a path") as told:
        _start_and_ask(tmp_path, 9, wrong)
    assert "as it is set up" in str(told.value)
