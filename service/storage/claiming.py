"""Who takes the turns of a conversation now, noted in Redis for all processes together."""

import hashlib
import logging
import time

from redis import Redis
from redis.exceptions import LockError, LockNotOwnedError, RedisError
from redis.lock import Lock

log = logging.getLogger(__name__)

# Whoever is killed is waited for so long; a turn takes milliseconds, and each one renews.
_LASTS_S = 5.0
_TRY_REDIS_AGAIN_AFTER_S = 5.0


class RedisClaims:
    """`service.leads.ports.Claims`. Which conversation stands in Redis as a digest only."""

    def __init__(self, redis: Redis) -> None:
        self._redis = redis
        self._away_until = float("-inf")

    def claim(self, channel: str, chat_id: str, holder: str) -> bool:
        """Whether the turns are `holder`'s now. While Redis is away they are everybody's."""
        if time.monotonic() < self._away_until:
            return True
        lock = self._lock(channel, chat_id)
        try:
            return lock.acquire(blocking=False, token=holder) or _renewed(lock, holder)
        except RedisError as error:
            self._note(error)
            return True

    def let_go(self, channel: str, chat_id: str, holder: str) -> None:
        """Leave the turns to others; nothing happens where they are somebody else's."""
        if time.monotonic() < self._away_until:
            return
        lock = self._lock(channel, chat_id)
        lock.local.token = holder.encode()
        try:
            lock.release()
        except LockError:  # it ran out, or is another's
            return
        except RedisError as error:
            self._note(error)

    def _lock(self, channel: str, chat_id: str) -> Lock:
        digest = hashlib.sha256(f"{channel}:{chat_id}".encode()).hexdigest()[:32]
        name = f"garlandry:turns:{digest}"
        return Lock(self._redis, name, timeout=_LASTS_S, blocking=False, thread_local=False)

    def _note(self, error: RedisError) -> None:
        log.warning("Redis is away (%s); whoever comes takes the turns", type(error).__name__)
        self._away_until = time.monotonic() + _TRY_REDIS_AGAIN_AFTER_S


def _renewed(lock: Lock, holder: str) -> bool:
    lock.local.token = holder.encode()
    try:
        return bool(lock.reacquire())
    except LockNotOwnedError:
        return False
