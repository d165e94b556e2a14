"""Limits on how often somebody may do something, counted in Redis for all processes together."""

import hashlib
import logging
import time
from collections.abc import Callable
from datetime import timedelta
from typing import TypeVar

from limits import RateLimitItemPerSecond
from limits.errors import StorageError
from limits.storage import MemoryStorage, RedisStorage
from limits.strategies import MovingWindowRateLimiter

from service.contract.redis_address import open_pool

T = TypeVar("T")

log = logging.getLogger(__name__)

# A Redis that does not answer must not hold up a person at a form.
_REDIS_PATIENCE_S = 0.5
_TRY_REDIS_AGAIN_AFTER_S = 10.0


class RedisRateLimit:
    """`service.leads.ports.RateLimit`.

    While Redis is away each process counts for itself: nobody is kept out for that, and nobody
    is let through without being counted. Who is counted stands there as a digest only.
    """

    def __init__(self, redis_url: str) -> None:
        pool = open_pool(
            redis_url,
            socket_connect_timeout=_REDIS_PATIENCE_S,
            socket_timeout=_REDIS_PATIENCE_S,
        )
        shared = RedisStorage(
            "redis://",  # where it is, the pool knows
            connection_pool=pool,
            wrap_exceptions=True,
            key_prefix="garlandry",
        )
        self._shared = MovingWindowRateLimiter(shared)
        self._own = MovingWindowRateLimiter(MemoryStorage())
        self._away_until = float("-inf")

    def wait(self, what: str, who: str, *, most: int, per: timedelta) -> timedelta:
        """Count one; how long to wait where that is too much."""
        item, names = _item(most, per), _names(what, who)
        return self._ask(lambda limiter: _wait(limiter, item, names))

    def is_used_up(self, what: str, who: str, *, most: int, per: timedelta) -> bool:
        """Whether one more would have to wait; nothing is counted."""
        item, names = _item(most, per), _names(what, who)
        return not self._ask(lambda limiter: limiter.test(item, *names))

    def _ask(self, question: Callable[[MovingWindowRateLimiter], T]) -> T:
        if time.monotonic() >= self._away_until:
            try:
                return question(self._shared)
            except StorageError as error:
                kind = type(error.storage_error).__name__
                log.warning("Redis is away (%s); limits are kept here", kind)
                self._away_until = time.monotonic() + _TRY_REDIS_AGAIN_AFTER_S
        return question(self._own)


def _item(most: int, per: timedelta) -> RateLimitItemPerSecond:
    return RateLimitItemPerSecond(most, int(per.total_seconds()))


def _names(what: str, who: str) -> tuple[str, str]:
    return what, hashlib.sha256(who.encode()).hexdigest()[:32]


def _wait(
    limiter: MovingWindowRateLimiter, item: RateLimitItemPerSecond, names: tuple[str, str]
) -> timedelta:
    if limiter.hit(item, *names):
        return timedelta(0)
    # By the same clock as the library's own.
    left = limiter.get_window_stats(item, *names).reset_time - time.time()  # noqa: TID251
    return timedelta(seconds=max(1.0, left))
