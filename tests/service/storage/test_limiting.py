"""Limits hold across processes through Redis, and within a process while Redis is away."""

from datetime import timedelta
from pathlib import Path

import pytest
from redis import Redis

from service.storage.limiting import RedisRateLimit
from tests.workers.redis_server import redis_server

MINUTE = timedelta(minutes=1)
NOWHERE = "redis://127.0.0.1:9/0"  # nothing listens on the discard port
ZERO = timedelta(0)


def often(limits: RedisRateLimit, times: int, who: str = "198.51.100.7") -> list[bool]:
    """Whether each of so many tries, three a minute allowed, was let through."""
    return [limits.wait("form", who, most=3, per=MINUTE) == ZERO for _ in range(times)]


def test_two_processes_count_together(tmp_path: Path) -> None:
    with redis_server(tmp_path) as url:
        one, two = RedisRateLimit(url), RedisRateLimit(url)
        assert often(one, 2) == [True, True]
        assert often(two, 2) == [True, False]
        assert often(two, 1, who="198.51.100.8") == [True]
        wait = one.wait("form", "198.51.100.7", most=3, per=MINUTE)
        assert ZERO < wait <= MINUTE
        assert one.wait("api", "198.51.100.7", most=3, per=MINUTE) == ZERO


def test_an_address_is_kept_as_a_digest_only(tmp_path: Path) -> None:
    with redis_server(tmp_path) as url:
        often(RedisRateLimit(url), 1)
        with Redis.from_url(url) as redis:
            (key,) = redis.keys("*")
    assert b"form" in key
    assert b"198.51" not in key


def test_without_redis_each_process_counts_for_itself(caplog: pytest.LogCaptureFixture) -> None:
    limits = RedisRateLimit(NOWHERE)
    assert often(limits, 4) == [True, True, True, False]
    assert caplog.text.count("Redis is away (ConnectionError)") == 1
    assert often(limits, 1, who="198.51.100.8") == [True]
    assert often(RedisRateLimit(NOWHERE), 1) == [True]


def test_a_redis_that_goes_away_opens_nothing_for_good(tmp_path: Path) -> None:
    with redis_server(tmp_path) as url:
        limits = RedisRateLimit(url)
        assert often(limits, 2) == [True, True]
    assert often(limits, 4) == [True, True, True, False]
