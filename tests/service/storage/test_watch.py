"""Whoever waits for news in a conversation is woken by the process that wrote it, or looks."""

import asyncio
import contextlib
import time
from collections.abc import AsyncIterator
from datetime import timedelta
from pathlib import Path

import pytest

from service.storage.watch import ConversationWatch
from tests.workers.redis_server import redis_server

LONG = timedelta(seconds=20)
NOWHERE = "redis://127.0.0.1:9/0"  # nothing listens on the discard port


@contextlib.asynccontextmanager
async def listening(url: str) -> AsyncIterator[ConversationWatch]:
    """A process's watch, once it hears of the others."""
    watch = ConversationWatch(url)
    watch.attach()
    task = asyncio.create_task(watch.listen())
    await asyncio.sleep(0.3)
    try:
        yield watch
    finally:
        task.cancel()
        with contextlib.suppress(asyncio.CancelledError):
            await task


async def waited(watch: ConversationWatch) -> None:
    with watch.news("webchat", "c") as news:
        await news.come(within=LONG)


async def woken_after(watch: ConversationWatch, by: ConversationWatch) -> float:
    began = time.monotonic()
    waiting = asyncio.create_task(waited(watch))
    await asyncio.sleep(0.05)
    by.wake("webchat", "another")
    by.wake("webchat", "c")
    await waiting
    return time.monotonic() - began


def test_what_is_committed_between_looking_and_waiting_is_noticed() -> None:
    async def run() -> float:
        async with listening(NOWHERE) as watch:
            began = time.monotonic()
            with watch.news("webchat", "c") as news:
                watch.wake("webchat", "c")
                await asyncio.sleep(0.05)  # somebody looks, and is told late what there was before
                await news.come(within=LONG)
            return time.monotonic() - began

    assert asyncio.run(run()) < 0.9


def test_what_another_process_commits_is_heard_at_once(tmp_path: Path) -> None:
    async def run(url: str) -> float:
        async with listening(url) as one, listening(url) as two:
            return await woken_after(one, two)

    with redis_server(tmp_path) as url:
        assert asyncio.run(run(url)) < 0.9


def test_without_redis_a_process_wakes_its_own_and_looks_again_for_the_rest() -> None:
    async def run() -> tuple[float, float]:
        async with listening(NOWHERE) as one, listening(NOWHERE) as two:
            return await woken_after(one, one), await woken_after(one, two)

    own, others = asyncio.run(run())
    assert own < 0.9 < others < 3.0


def test_a_redis_that_goes_away_wakes_everybody_and_is_listened_to_again(
    tmp_path: Path, caplog: pytest.LogCaptureFixture
) -> None:
    async def run(server: contextlib.ExitStack) -> tuple[float, float]:
        url = server.enter_context(redis_server(tmp_path))
        async with listening(url) as one, listening(url) as two:
            began = time.monotonic()
            waiting = asyncio.create_task(waited(one))
            await asyncio.sleep(0.05)
            server.close()
            await waiting
            lost = time.monotonic() - began
            server.enter_context(redis_server(tmp_path))
            await asyncio.sleep(1.5)
            return lost, await woken_after(one, two)

    with contextlib.ExitStack() as server:
        lost, again = asyncio.run(run(server))
    assert lost < 3.0
    assert again < 0.9
    assert "news of other processes is looked for" in caplog.text
