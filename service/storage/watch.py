"""Wakes readers that wait for news in a conversation, whichever process wrote it."""

import asyncio
import hashlib
import logging
from collections import defaultdict
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from datetime import timedelta

from redis.asyncio import Redis
from redis.exceptions import RedisError

from service.contract.redis_address import open_async_pool

log = logging.getLogger(__name__)

# What is told between processes may be lost: we look again, sooner while nobody is heard.
_LOOK_AGAIN_S, _LOOK_AGAIN_UNTOLD_S = 5.0, 1.0

_NEWS = "garlandry:news"
_REDIS_PATIENCE_S = 2.0
_LISTEN_AGAIN_AFTER_S = 1.0
# Where Redis is slower than we commit, the others look by themselves.
_UNTOLD_MOST = 1000


class ConversationWatch:
    """`service.leads.ports.Watch`, safe to wake from any thread.

    While `listen` runs, processes tell each other through the Redis at `redis_url`, as a hint.
    Which conversation it is stands there as a digest only.
    """

    def __init__(self, redis_url: str) -> None:
        self._redis_url = redis_url
        self._waiting: defaultdict[str, set[asyncio.Event]] = defaultdict(set)
        self._loop: asyncio.AbstractEventLoop | None = None
        self._untold: asyncio.Queue[str] = asyncio.Queue(_UNTOLD_MOST)
        self._hears = False
        self.closing = False

    def attach(self) -> None:
        """Remember the running loop; called once at start."""
        self._loop = asyncio.get_running_loop()

    async def listen(self) -> None:
        """Tell other processes of what is committed here, and hear of theirs, until cancelled."""
        pool = open_async_pool(
            self._redis_url,
            socket_connect_timeout=_REDIS_PATIENCE_S,
            socket_timeout=_REDIS_PATIENCE_S,
            health_check_interval=_LOOK_AGAIN_S,
            decode_responses=True,
        )
        try:
            async with Redis(connection_pool=pool) as redis, asyncio.TaskGroup() as tasks:
                tasks.create_task(self._tell(redis))
                tasks.create_task(self._hear(redis))
        finally:
            await pool.disconnect()

    def close(self) -> None:
        """Nobody is to wait any more: the process stops."""
        self.closing = True
        for key in list(self._waiting):
            self._wake(key)

    def wake(self, channel: str, chat_id: str) -> None:
        """Something was committed in this conversation."""
        if self._loop is not None and not self._loop.is_closed():
            self._loop.call_soon_threadsafe(self._committed, _digest(channel, chat_id))

    @contextmanager
    def news(self, channel: str, chat_id: str) -> Iterator["_News"]:
        """News from here on, to be looked for within."""
        event, key = asyncio.Event(), _digest(channel, chat_id)
        self._waiting[key].add(event)
        try:
            yield _News(event, _LOOK_AGAIN_S if self._hears else _LOOK_AGAIN_UNTOLD_S)
        finally:
            self._waiting[key].discard(event)
            if not self._waiting[key]:
                del self._waiting[key]

    def _committed(self, key: str) -> None:
        self._wake(key)
        if self._hears and not self._untold.full():
            self._untold.put_nowait(key)

    def _wake(self, key: str) -> None:
        for event in self._waiting.get(key, ()):
            event.set()

    async def _tell(self, redis: Redis) -> None:
        while True:
            key = await self._untold.get()
            try:
                await redis.publish(_NEWS, key)
            except RedisError:
                continue  # the others look again by themselves

    async def _hear(self, redis: Redis) -> None:
        while True:
            try:
                await self._hear_until_it_breaks(redis)
            except (RedisError, OSError) as error:
                self._went_deaf(type(error).__name__)
            await asyncio.sleep(_LISTEN_AGAIN_AFTER_S)

    def _went_deaf(self, why: str) -> None:
        if not self._hears:
            return
        log.warning("Redis is away (%s); news of other processes is looked for", why)
        self._hears = False
        # What comes now is not heard any more: each looks, and again within a second.
        for key in list(self._waiting):
            self._wake(key)

    async def _hear_until_it_breaks(self, redis: Redis) -> None:
        async with redis.pubsub(ignore_subscribe_messages=True) as heard:
            await heard.subscribe(_NEWS)
            self._hears = True
            while True:
                message = await heard.get_message(timeout=_LOOK_AGAIN_S)
                if message is not None:
                    self._wake(message["data"])


class _News:
    """`service.leads.ports.News`."""

    def __init__(self, event: asyncio.Event, look_again_s: float) -> None:
        self._event = event
        self._look_again_s = look_again_s

    async def come(self, *, within: timedelta) -> None:
        with suppress(TimeoutError):
            async with asyncio.timeout(min(within.total_seconds(), self._look_again_s)):
                await self._event.wait()


def _digest(channel: str, chat_id: str) -> str:
    return hashlib.sha256(f"{channel}:{chat_id}".encode()).hexdigest()[:32]
