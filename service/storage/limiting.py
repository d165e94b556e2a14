"""Limits on how often somebody may do something, counted in Redis for all processes together."""

import hashlib
import logging
import time
from datetime import timedelta

from limits import RateLimitItemPerSecond
from limits.errors import StorageError
from limits.storage import MemoryStorage, RedisStorage
from limits.strategies import MovingWindowRateLimiter

from service.contract.redis_address import open_pool

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
        item = RateLimitItemPerSecond(most, int(per.total_seconds()))
        names = what, hashlib.sha256(who.encode()).hexdigest()[:32]
        if time.monotonic() >= self._away_until:
            try:
                return _wait(self._shared, item, names)
            except StorageError as error:
                kind = type(error.storage_error).__name__
                log.warning("Redis is away (%s); limits are kept here", kind)
                self._away_until = time.monotonic() + _TRY_REDIS_AGAIN_AFTER_S
        return _wait(self._own, item, names)


def _wait(
    limiter: MovingWindowRateLimiter, item: RateLimitItemPerSecond, names: tuple[str, str]
) -> timedelta:
    if limiter.hit(item, *names):
        return timedelta(0)
    # By the same clock as the library's own.
    left = limiter.get_window_stats(item, *names).reset_time - time.time()  # noqa: TID251
    return timedelta(seconds=max(1.0, left))
