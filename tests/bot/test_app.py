"""The bot as a process: what it says at the start, what it refuses, how it stops."""

import asyncio
import os
import signal
import socket
import subprocess
import sys
import threading
import time
from collections.abc import Iterator
from contextlib import AsyncExitStack, contextmanager
from datetime import date, datetime, timedelta
from pathlib import Path
from zoneinfo import ZoneInfo

import httpx
import pytest
import uvicorn
from starlette.applications import Starlette
from starlette.requests import Request
from starlette.responses import JSONResponse, Response
from starlette.routing import Route

from bot.app import a_clock
from tests.bot.fake_service import CARD
from tests.bot_api import BotApiServer

ROOT = Path(__file__).parents[2]
KEY = "a-bot-key"


async def _shop(request: Request) -> Response:
    if request.headers.get("authorization") != f"Bearer {KEY}":
        return JSONResponse({"title": "Unauthorized", "status": 401}, status_code=401)
    return JSONResponse(CARD)


async def _nothing(request: Request) -> Response:
    await asyncio.sleep(float(request.query_params.get("wait_s", "0")))
    return JSONResponse([])


@contextmanager
def a_service() -> Iterator[str]:
    """A service with a card, no open updates and no messages."""
    routes = [
        Route("/v1/shop", _shop),
        Route("/v1/inbox", _nothing),
        Route("/v1/conversations/{channel}/{chat}/messages", _nothing),
    ]
    server = uvicorn.Server(
        uvicorn.Config(
            Starlette(routes=routes),
            log_config=None,
            log_level="critical",
            timeout_graceful_shutdown=0,
        )
    )
    with socket.create_server(("127.0.0.1", 0)) as listening:
        thread = threading.Thread(target=server.run, kwargs={"sockets": [listening]}, daemon=True)
        thread.start()
        yield f"http://127.0.0.1:{listening.getsockname()[1]}"
        server.should_exit = True
        thread.join(timeout=10)


@contextmanager
def running(service_url: str, **settings: str) -> Iterator[subprocess.Popen[str]]:
    """The process, which does not outlive the test whatever becomes of it."""
    process = _start(service_url, **settings)
    try:
        yield process
    finally:
        process.kill()
        process.communicate()


def _start(service_url: str, **settings: str) -> subprocess.Popen[str]:
    inherited = {k: v for k, v in os.environ.items() if not k.startswith("GARLANDRY_")}
    environment = inherited | {
        "GARLANDRY_SERVICE_URL": service_url,
        "GARLANDRY_API_KEY": KEY,
        "GARLANDRY_CHAT_PORT": "0",
        "GARLANDRY_LOG": "text",
        **settings,
    }
    return subprocess.Popen(
        [sys.executable, "-m", "bot", "run"],
        cwd=ROOT,
        env={name: value for name, value in environment.items() if value != "unset"},
        stderr=subprocess.PIPE,
        text=True,
    )


def read_until(process: subprocess.Popen[str], wanted: str) -> list[str]:
    assert process.stderr is not None
    lines: list[str] = []
    for line in process.stderr:
        lines.append(line)
        if wanted in line:
            return lines
    raise AssertionError(f"{wanted!r} was never said: {lines}")


def stop(process: subprocess.Popen[str]) -> tuple[int, float, str]:
    began = time.monotonic()
    process.send_signal(signal.SIGTERM)
    _, rest = process.communicate(timeout=10)
    return process.returncode, time.monotonic() - began, rest


def test_the_clock_moves_the_date_and_lets_the_time_of_day_run() -> None:
    zone = ZoneInfo("America/New_York")
    moved, real = a_clock(date(2027, 1, 10), zone)(), a_clock(None, zone)()
    assert moved.date() == date(2027, 1, 10)
    assert moved.tzinfo is zone
    apart = datetime.combine(date.min, moved.time()) - datetime.combine(date.min, real.time())
    assert abs(apart) < timedelta(seconds=5)


def test_without_a_token_the_web_chat_runs_alone_says_so_and_stops_within_two_seconds() -> None:
    with a_service() as service_url, running(service_url) as process:
        said = read_until(process, "GARLANDRY_TELEGRAM_TOKEN")
        url = next(line.split()[-1] for line in said if "web chat: http" in line)
        with httpx.Client(base_url=url) as client:
            assert str(CARD["name"]) in client.get("/").text
            with client.stream("GET", "/chat/stream") as response:
                assert next(response.iter_lines()) == "retry: 2000"
                status, took_s, rest = stop(process)
    assert (status, rest) == (0, "")
    assert took_s < 2


def test_many_open_pages_keep_nobody_out() -> None:
    async def open_pages(url: str, count: int) -> int:
        limits = httpx.Limits(max_connections=None)
        async with (
            httpx.AsyncClient(base_url=url, limits=limits) as client,
            AsyncExitStack() as pages_open,
        ):
            chats = [await a_chat(client) for _ in range(count)]
            streams = [client.stream("GET", "/chat/stream", headers=chat) for chat in chats]
            pages = [
                (await pages_open.enter_async_context(stream)).aiter_lines() for stream in streams
            ]
            assert {await anext(page) for page in pages} == {"retry: 2000"}
            await asyncio.sleep(0.5)  # by now each of them waits at the service
            return (await client.get("/chat/messages", headers=chats[0])).status_code

    async def a_chat(client: httpx.AsyncClient) -> dict[str, str]:
        """The cookies of a page that was opened for the first time."""
        client.cookies.clear()
        await client.post("/chat/session")
        kept = "; ".join(f"{name}={value}" for name, value in client.cookies.items())
        client.cookies.clear()
        return {"Cookie": kept}

    with a_service() as service_url, running(service_url) as process:
        said = read_until(process, "GARLANDRY_TELEGRAM_TOKEN")
        url = next(line.split()[-1] for line in said if "web chat: http" in line)
        assert asyncio.run(open_pages(url, 120)) == 200
        stop(process)


def test_with_a_token_both_channels_run_and_the_token_is_never_told() -> None:
    with (
        a_service() as service_url,
        BotApiServer("7000000009:canary-at-the-door") as api,
        running(
            service_url, GARLANDRY_TELEGRAM_TOKEN=api.token, GARLANDRY_TELEGRAM_API=api.base_url
        ) as process,
    ):
        api.say(501, "hello")
        # This service takes no updates: trouble is logged, and still without the token.
        said = read_until(process, "refused an update")
        status, took_s, rest = stop(process)
    text = "".join(said) + rest
    assert "receiving as @ribbon_bot" in text
    assert "web chat: http" in text
    assert "canary" not in text
    assert status == 0
    assert took_s < 2


def test_it_waits_for_a_service_that_is_not_there_and_stops_while_waiting() -> None:
    with running("http://127.0.0.1:9") as process:
        read_until(process, "waiting for the service")
        status, took_s, _ = stop(process)
    assert status == 0
    assert took_s < 2


@pytest.mark.parametrize(
    ("settings", "told"),
    [
        ({"GARLANDRY_API_KEY": "unset"}, "GARLANDRY_API_KEY"),
        ({"GARLANDRY_API_KEY": "of-somebody-else"}, "GARLANDRY_API_KEY"),
        ({"GARLANDRY_REFERENCE_DATE": "soon"}, "GARLANDRY_REFERENCE_DATE"),
        ({"GARLANDRY_CHAT_HOST": "192.0.2.1"}, "GARLANDRY_CHAT_HOST"),
    ],
    ids=["no key", "wrong key", "no date", "an address of another machine"],
)
def test_settings_at_fault_are_named_and_end_the_start(settings: dict[str, str], told: str) -> None:
    with a_service() as service_url, running(service_url, **settings) as process:
        _, error = process.communicate(timeout=20)
    assert process.returncode == 2
    assert told in error
    assert "Traceback" not in error
