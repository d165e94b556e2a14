"""Redis and who works on its queues."""

from collections.abc import Iterator
from datetime import UTC, datetime
from typing import Any

from redis import Redis
from redis.exceptions import RedisError

from deploy.examining.database import skew
from deploy.examining.finding import Finding, note, well, wrong
from service.contract.redis_address import open_redis
from service.leads.vitals import QueueReading
from service.storage.vitals.queues import read_queues, since_sweep
from workers import queues

_OLDEST = (6, 2)
_PATIENCE_S = 2.0
_SILENT_S = 130.0
_SWEPT_S = 30.0


def queue(url: str | None, *, telegram: bool) -> Iterator[Finding]:
    """Redis, then workers and sweeps; `telegram` where something goes out that way."""
    if url is None:
        yield note(
            "Redis cannot be looked at: the data folder's path is too long for its socket.",
            do="Move the data folder to a shorter path, such as /var/lib/garlandry.",
        )
        return
    try:
        redis = open_redis(url, socket_connect_timeout=_PATIENCE_S, socket_timeout=_PATIENCE_S)
        about: dict[str, Any] = redis.info()
    except (RedisError, OSError, ValueError) as error:
        yield wrong(
            f"Redis does not answer ({type(error).__name__}).",
            means="Requests are taken and kept, but prices and messages do not go out until it is"
            " back. Nothing is lost.",
            do="Start the shop (it brings its own), or your Redis; see whether REDIS_URL is right.",
        )
        return
    with redis:
        yield from _server(about)
        yield from _clock(redis)
        yield from _workers(redis, telegram=telegram)


def _server(about: dict[str, Any]) -> Iterator[Finding]:
    version = str(about.get("valkey_version") or about["redis_version"])
    if tuple(int(part) for part in version.split(".")[:2]) < _OLDEST:
        yield wrong(
            f"Redis {version} is too old.",
            means="Workers may fail in ways that nobody tested.",
            do="Use Redis 6.2 or newer, or none: deploy/run brings one.",
        )
    policy = about.get("maxmemory_policy", "noeviction")
    if policy != "noeviction" and about.get("maxmemory", 0):
        yield wrong(
            f"Redis throws things away when its memory is full ({policy}).",
            means="Work may be forgotten and come late; limits against abuse may be lost.",
            do="Set maxmemory-policy noeviction there; caches belong in another Redis.",
        )
    if not about.get("aof_enabled"):
        yield note(
            "Redis keeps nothing on disk at once (appendonly is off).",
            means="After a power cut, work is handed out again from the database, seconds later.",
            do="Set appendonly yes there if you can.",
        )
    yield well(f"Redis {version} answers")


def _clock(redis: Redis) -> Iterator[Finding]:
    seconds, microseconds = redis.time()
    theirs = datetime.fromtimestamp(seconds + microseconds / 1e6, tz=UTC)
    yield skew(theirs, "Redis'")


def _workers(redis: Redis, *, telegram: bool) -> Iterator[Finding]:
    now = datetime.now(UTC)
    needed = [name for name in queues.NAMES if telegram or name != queues.DELIVERIES]
    missing = [each for each in read_queues(redis, needed, now) if _silent(each)]
    swept = since_sweep(redis, now)
    if missing:
        names = ", ".join(each.name for each in missing)
        yield wrong(
            f"Nobody works on: {names}.",
            means="Clients wait for what is done there: "
            + "; ".join(_WAITS[each.name] for each in missing)
            + ". Nothing is lost.",
            do="Start the shop, or that queue's workers: systemctl start garlandry-worker@QUEUE.",
        )
    else:
        yield well("Workers are at work on every queue")
    if swept is None or swept > _SWEPT_S:
        yield wrong(
            "What was missed is not handed out again"
            + (" at all." if swept is None else f": last done {swept / 60:,.0f} minutes ago."),
            means="A price that a killed worker had in hand does not come by itself.",
            do="Start the worker on `upkeep`, or the whole shop.",
        )
    else:
        yield well("Sweeps run")


_WAITS = {
    queues.REPLIES: "prices and reminders",
    queues.DELIVERIES: "messages through Telegram",
    queues.CHORES: "documents of a month, new prices for many jobs",
    queues.UPKEEP: "sweeps, holds that run out",
}


def _silent(reading: QueueReading) -> bool:
    return reading.heard_s is None or reading.heard_s > _SILENT_S
