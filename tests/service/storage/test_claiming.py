"""Whose turn it is in a conversation, noted for all processes; without Redis it is everybody's."""

from pathlib import Path

import pytest
from redis import Redis

from service.storage.claiming import RedisClaims
from service.storage.queue import connect
from tests.workers.redis_server import redis_server

ONE, TWO = "bot-number-one", "bot-number-two"


def test_one_process_at_a_time_and_the_same_one_again(tmp_path: Path) -> None:
    with redis_server(tmp_path) as url, connect(url) as redis:
        claims = RedisClaims(redis)
        assert claims.claim("telegram", "7", ONE)
        assert not claims.claim("telegram", "7", TWO)
        assert claims.claim("telegram", "7", ONE)
        assert claims.claim("telegram", "8", TWO)

        claims.let_go("telegram", "7", TWO)  # not theirs
        assert not claims.claim("telegram", "7", TWO)
        claims.let_go("telegram", "7", ONE)
        assert claims.claim("telegram", "7", TWO)


def test_a_claim_runs_out_and_does_not_say_whose_conversation_it_is(tmp_path: Path) -> None:
    with redis_server(tmp_path) as url, connect(url) as redis:
        RedisClaims(redis).claim("webchat", "a-key-to-a-chat", ONE)
        (name,) = redis.keys("*")
        assert b"a-key-to-a-chat" not in name
        assert 0 < redis.pttl(name) <= 5000


def test_without_redis_the_turns_are_everybodys(caplog: pytest.LogCaptureFixture) -> None:
    claims = RedisClaims(Redis(port=9))  # nothing listens on the discard port
    assert claims.claim("telegram", "7", ONE)
    assert claims.claim("telegram", "7", TWO)
    claims.let_go("telegram", "7", ONE)
    assert caplog.text.count("Redis is away (ConnectionError)") == 1
