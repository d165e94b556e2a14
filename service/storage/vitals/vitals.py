"""All readings, taken at most every other second however often somebody asks."""

import contextlib
import shutil
import threading
import time
from collections.abc import Callable, Sequence
from dataclasses import replace
from datetime import datetime
from pathlib import Path

from redis import Redis
from redis.exceptions import RedisError
from sqlalchemy import Engine

from service.leads.vitals import Database, QueueReading, Readings
from service.storage.vitals.database import DatabaseCheck
from service.storage.vitals.queues import note_sweep, read_queues, since_sweep

_KEPT_S = 2.0
# A look that takes longer waits for something that does not answer.
_PATIENCE_S = 3.0


class RealVitals:
    """`service.leads.vitals.Vitals`. `wall` is the time by which RQ goes."""

    def __init__(
        self,
        engine: Engine,
        redis: Redis,
        *,
        queues: Sequence[str],
        keys_file: Path | None,
        data: Path,
        wall: Callable[[], datetime],
        ticks: Callable[[], float] = time.monotonic,
    ) -> None:
        self._database = DatabaseCheck(engine)
        self._redis, self._queues = redis, tuple(queues)
        self._keys_file, self._data = keys_file, data
        self._wall, self._ticks = wall, ticks
        self._looking = threading.Lock()
        self._last: Readings | None = None
        self._began = self._ended = float("-inf")

    def readings(self) -> Readings:
        last = self._last
        if not self._looking.acquire(blocking=last is None) and last is not None:
            stuck = self._ticks() - self._began > _PATIENCE_S
            return replace(last, database=Database.DOWN) if stuck else last
        try:
            if self._last is None or self._ticks() - self._ended >= _KEPT_S:
                self._began = self._ticks()
                self._last = self._look()
                self._ended = self._ticks()
            return self._last
        finally:
            self._looking.release()

    def swept(self) -> None:
        with contextlib.suppress(RedisError):
            note_sweep(self._redis, self._wall())

    @property
    def schema(self) -> str:
        return self._database.schema()

    def _look(self) -> Readings:
        queues, swept_s = self._look_at_redis()
        return Readings(
            database=self._database(),
            queues=queues,
            swept_s=swept_s,
            keys_kept=self._keys_file is None or self._keys_file.is_file(),
            disk_free=_free(self._data),
        )

    def _look_at_redis(self) -> tuple[tuple[QueueReading, ...] | None, float | None]:
        now = self._wall()
        try:
            return read_queues(self._redis, self._queues, now), since_sweep(self._redis, now)
        except RedisError:
            return None, None


def _free(folder: Path) -> int:
    try:
        return shutil.disk_usage(folder).free
    except OSError:
        return 0
