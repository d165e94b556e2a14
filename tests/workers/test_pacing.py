"""How fast messages go out, over all processes together."""

import asyncio
import logging
from collections.abc import Awaitable, Callable, Iterator
from pathlib import Path

import pytest

from tests.workers.redis_server import redis_server
from workers.pacing import Pacing


@pytest.fixture
def redis_url(tmp_path: Path) -> Iterator[str]:
    with redis_server(tmp_path) as url:
        yield url


def paced(redis_url: str | None, act: Callable[[Pacing, Pacing], Awaitable[None]]) -> None:
    """Two processes' worth of pacing at one Redis."""

    async def run() -> None:
        one, other = Pacing(redis_url), Pacing(redis_url)
        try:
            await act(one, other)
        finally:
            await one.aclose()
            await other.aclose()

    asyncio.run(run())


def test_a_chat_may_have_a_burst_and_then_one_a_second_whoever_sends(redis_url: str) -> None:
    async def act(one: Pacing, other: Pacing) -> None:
        assert [await p.wait_s("501") for p in (one, other, one, other, one)] == [0.0] * 5
        wait = await other.wait_s("501")
        assert 0 < wait <= 5
        assert await other.wait_s("502") == 0.0  # nobody else waits for it

    paced(redis_url, act)


def test_a_wait_that_was_kept_is_enough(redis_url: str) -> None:
    async def act(one: Pacing, other: Pacing) -> None:
        assert await one.wait_s("501", messages=5) == 0.0
        await asyncio.sleep(await other.wait_s("501"))
        assert await other.wait_s("501") == 0.0

    paced(redis_url, act)


def test_what_was_refused_counts_for_nothing(redis_url: str) -> None:
    async def act(one: Pacing, other: Pacing) -> None:
        assert await one.wait_s("501", messages=5) == 0.0
        first = await one.wait_s("501")
        waits = [await other.wait_s("501") for _ in range(20)]
        assert all(wait <= first for wait in waits)

    paced(redis_url, act)


def test_a_group_has_twenty_a_minute(redis_url: str) -> None:
    async def act(one: Pacing, other: Pacing) -> None:
        waits = [await (one, other)[n % 2].wait_s("-77") for n in range(21)]
        assert waits[:20] == [0.0] * 20
        assert 50 < waits[20] <= 60

    paced(redis_url, act)


def test_thirty_a_second_go_out_in_all(redis_url: str) -> None:
    async def act(one: Pacing, other: Pacing) -> None:
        waits = [await (one, other)[n % 2].wait_s(str(500 + n)) for n in range(31)]
        assert waits[:30] == [0.0] * 30
        assert 0 < waits[30] <= 1
        # Its own share is untouched: five may go once there is room in all.
        await asyncio.sleep(1.05)
        assert await one.wait_s("530", messages=5) == 0.0

    paced(redis_url, act)


def test_a_message_in_more_parts_than_a_burst_holds_goes_when_nothing_else_went(
    redis_url: str,
) -> None:
    async def act(one: Pacing, _: Pacing) -> None:
        assert await one.wait_s("501", messages=9) == 0.0
        assert await one.wait_s("501") > 0

    paced(redis_url, act)


def test_with_redis_away_each_process_keeps_the_limits_and_says_so_once(
    tmp_path: Path, caplog: pytest.LogCaptureFixture
) -> None:
    async def act(one: Pacing, _: Pacing) -> None:
        assert [await one.wait_s("501") for _ in range(5)] == [0.0] * 5
        assert await one.wait_s("501") > 0

    paced(f"unix://{tmp_path}/nobody.sock", act)
    warned = [record for record in caplog.records if record.levelno == logging.WARNING]
    assert len(warned) == 1
    assert "Redis is away" in caplog.text
    assert "501" not in caplog.text


def test_a_redis_that_comes_back_is_used_again(tmp_path: Path) -> None:
    url = f"unix://{tmp_path}/redis.sock"

    async def act(one: Pacing, other: Pacing) -> None:
        assert await one.wait_s("501", messages=5) == 0.0
        with redis_server(tmp_path):
            assert await one.wait_s("501", messages=5) == 0.0  # it knows of nothing yet
            assert await other.wait_s("501") > 0

    paced(url, act)
