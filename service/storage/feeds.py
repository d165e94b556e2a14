"""Calendar feeds in SQL."""

import hashlib
import secrets
from datetime import datetime

from sqlalchemy import Connection, RowMapping, insert, select, update

from service.leads.feeds import Feed
from service.leads.people import PersonRole
from service.storage import tables as t

_KEY_BYTES = 24


class SqlFeeds:
    """`service.leads.feeds.Feeds`."""

    def __init__(self, connection: Connection) -> None:
        self._connection = connection

    def make(self, feed: Feed) -> str:
        key = secrets.token_urlsafe(_KEY_BYTES)
        self._connection.execute(
            insert(t.feeds).values(
                id=feed.id,
                digest=_digest(key),
                role=feed.role,
                name=feed.name,
                made_at=feed.made_at,
            )
        )
        return key

    def of_key(self, key: str) -> Feed | None:
        query = select(t.feeds).where(
            t.feeds.c.digest == _digest(key), t.feeds.c.revoked_at.is_(None)
        )
        row = self._connection.execute(query).mappings().first()
        return None if row is None else _feed(row)

    def every(self) -> list[Feed]:
        query = (
            select(t.feeds)
            .where(t.feeds.c.revoked_at.is_(None))
            .order_by(t.feeds.c.made_at, t.feeds.c.id)
        )
        return [_feed(row) for row in self._connection.execute(query).mappings()]

    def revoke(self, feed_id: str, now: datetime) -> None:
        self._connection.execute(
            update(t.feeds)
            .where(t.feeds.c.id == feed_id, t.feeds.c.revoked_at.is_(None))
            .values(revoked_at=now)
        )


def _digest(key: str) -> str:
    return hashlib.sha256(key.encode()).hexdigest()


def _feed(row: RowMapping) -> Feed:
    return Feed(
        id=row["id"], role=PersonRole(row["role"]), name=row["name"], made_at=row["made_at"]
    )
