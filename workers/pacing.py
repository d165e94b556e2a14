"""How fast messages may go out through one bot, over all processes together."""

import hashlib
import logging
import time

from limits import RateLimitItem, RateLimitItemPerMinute, RateLimitItemPerSecond
from limits.aio.storage import MemoryStorage, RedisStorage
from limits.aio.strategies import MovingWindowRateLimiter
from limits.errors import StorageError
from redis.asyncio import ConnectionPool
from redis.asyncio.retry import Retry
from redis.backoff import NoBackoff

from service.contract.redis_address import open_async_pool

_log = logging.getLogger(__name__)

# Bot FAQ, "My bot is hitting limits": one message a second in a chat, with short bursts; twenty a
# minute in a group; some thirty a second in all.
_PRIVATE = RateLimitItemPerSecond(5, 5)
_GROUP = RateLimitItemPerMinute(20)
_IN_ALL = RateLimitItemPerSecond(30)

_EVERY_CHAT = "all"
_SHORTEST_WAIT_S = 0.05
# A Redis that does not answer must not hold up a message that may go.
_REDIS_PATIENCE_S = 0.5


class Pacing:
    """The limits of one bot, counted in the Redis at `redis_url`.

    While that is away, and without one, this process keeps them by itself.
    """

    def __init__(self, redis_url: str | None) -> None:
        self._alone = MovingWindowRateLimiter(MemoryStorage())
        self._pool = None if redis_url is None else _pool(redis_url)
        self._shared = None if self._pool is None else _over_redis(self._pool)
        self._away = False

    async def wait_s(self, chat_id: str, messages: int = 1) -> float:
        """0 when `messages` may go to the chat now, which counts them; else the seconds to wait."""
        if self._shared is None:
            return await _wait_s(self._alone, chat_id, messages)
        try:
            wait = await _wait_s(self._shared, chat_id, messages)
        except StorageError as error:
            if not self._away:
                kind = type(error.storage_error).__name__
                _log.warning("Redis is away (%s): messages are paced by this process alone", kind)
            self._away = True
            return await _wait_s(self._alone, chat_id, messages)
        self._away = False
        return wait

    async def aclose(self) -> None:
        """Let go of the connections."""
        if self._pool is not None:
            await self._pool.disconnect()


def _pool(redis_url: str) -> ConnectionPool:
    return open_async_pool(
        redis_url,
        socket_connect_timeout=_REDIS_PATIENCE_S,
        socket_timeout=_REDIS_PATIENCE_S,
        retry=Retry(NoBackoff(), 0),
    )


def _over_redis(pool: ConnectionPool) -> MovingWindowRateLimiter:
    storage = RedisStorage(
        "async+redis://",  # where it is, the pool knows
        wrap_exceptions=True,
        implementation="redispy",
        key_prefix="garlandry:pace",
        connection_pool=pool,  # type: ignore[arg-type]  # the library's hints forget it
    )
    return MovingWindowRateLimiter(storage)


async def _wait_s(limiter: MovingWindowRateLimiter, chat_id: str, messages: int) -> float:
    # Looked at first: a chat's own share must not be spent on what is refused for all.
    wait = await _until(limiter, _IN_ALL, _EVERY_CHAT, messages)
    if wait:
        return wait
    of_chat = _GROUP if chat_id.startswith("-") else _PRIVATE
    for limit, who in ((of_chat, _opaque(chat_id)), (_IN_ALL, _EVERY_CHAT)):
        if not await limiter.hit(limit, who, cost=min(messages, limit.amount)):
            return max(await _until(limiter, limit, who, messages), _SHORTEST_WAIT_S)
    return 0.0


async def _until(
    limiter: MovingWindowRateLimiter, limit: RateLimitItem, who: str, messages: int
) -> float:
    if await limiter.test(limit, who, cost=min(messages, limit.amount)):
        return 0.0
    stats = await limiter.get_window_stats(limit, who)
    return max(stats.reset_time - time.time(), _SHORTEST_WAIT_S)


def _opaque(chat_id: str) -> str:
    return hashlib.blake2b(chat_id.encode(), digest_size=12).hexdigest()
