"""Where Redis is: one server, one over TLS, or the master that Sentinels name.

`redis://`, `rediss://` and `unix://` as redis-py reads them, with its settings in the query
(`?ssl_ca_certs=…`). Sentinels as `redis+sentinel://[user:password@]host:port,host:port/name[/db]`;
`rediss+sentinel://` speaks TLS with them and with the master.
"""

from dataclasses import dataclass
from typing import Any
from urllib.parse import urlsplit

import redis
from redis import asyncio as redis_asyncio
from redis.asyncio import sentinel as sentinel_asyncio
from redis.connection import parse_url
from redis.sentinel import Sentinel, SentinelConnectionPool

_SENTINELS = "+sentinel"
_SENTINEL_PORT = 26379
# A Sentinel that does not answer: the next one is asked.
_SENTINEL_PATIENCE_S = 1.0


@dataclass(frozen=True, kw_only=True)
class _Sentinels:
    """Whom to ask for the master of `name`, and how to speak with it and with them."""

    hosts: tuple[tuple[str, int], ...]
    name: str
    options: dict[str, Any]

    @property
    def own_options(self) -> dict[str, Any]:
        """The same names and certificates; a Sentinel has no numbered databases."""
        patience = {
            "socket_timeout": _SENTINEL_PATIENCE_S,
            "socket_connect_timeout": _SENTINEL_PATIENCE_S,
        }
        return {**self.options, **patience, "db": 0}


def open_redis(url: str, **options: Any) -> redis.Redis:
    """A client; `options` are redis-py's own, for each connection."""
    return redis.Redis(connection_pool=open_pool(url, **options))


def open_pool(url: str, **options: Any) -> redis.ConnectionPool:
    """Connections that find a new master by themselves. Raises ValueError for a wrong address."""
    found = _sentinels_in(url)
    if found is None:
        return redis.ConnectionPool.from_url(url, **options)
    manager = Sentinel(  # type: ignore[no-untyped-call]
        found.hosts, sentinel_kwargs=found.own_options
    )
    options = {**found.options, **options}
    return SentinelConnectionPool(found.name, manager, **options)  # type: ignore[no-untyped-call]


def open_async_pool(url: str, **options: Any) -> redis_asyncio.ConnectionPool:
    """The same for asyncio."""
    found = _sentinels_in(url)
    if found is None:
        return redis_asyncio.ConnectionPool.from_url(url, **options)
    manager = sentinel_asyncio.Sentinel(  # type: ignore[no-untyped-call]
        found.hosts, sentinel_kwargs=found.own_options
    )
    options = {**found.options, **options}
    return _AsyncPool(found.name, manager, **options)  # type: ignore[no-untyped-call]


class _AsyncPool(sentinel_asyncio.SentinelConnectionPool):
    """Lets go of the Sentinels, too: the library's own leaves those connections open."""

    async def disconnect(self, inuse_connections: bool = True) -> None:
        await super().disconnect(inuse_connections)
        for asked in self.sentinel_manager.sentinels:
            await asked.aclose()


def _sentinels_in(url: str) -> _Sentinels | None:
    parts = urlsplit(url)
    if not parts.scheme.endswith(_SENTINELS):
        return None
    credentials, at, hosts = parts.netloc.rpartition("@")
    name, _, number = parts.path.strip("/").partition("/")
    if not name or not hosts:
        raise ValueError("an address of Sentinels names hosts and the master: //host:port/name")
    # redis-py reads the rest as if the first host were the master: name, password, query.
    kind = parts.scheme.removesuffix(_SENTINELS)
    first = hosts.partition(",")[0]
    as_one = f"{kind}://{credentials}{at}{first}/{number or 0}?{parts.query}"
    known = parse_url(as_one)  # type: ignore[no-untyped-call]
    options: dict[str, Any] = {
        key: value
        for key, value in known.items()
        if key not in ("host", "port", "connection_class")
    }
    if kind == "rediss":
        options["ssl"] = True
    return _Sentinels(hosts=tuple(map(_host, hosts.split(","))), name=name, options=options)


def _host(text: str) -> tuple[str, int]:
    parts = urlsplit(f"//{text}")
    if parts.hostname is None:
        raise ValueError("a Sentinel's address is host:port")
    return parts.hostname, parts.port or _SENTINEL_PORT
