"""The inbox in SQL."""

from datetime import datetime
from typing import Any

from sqlalchemy import ColumnElement, Connection, RowMapping, insert, select, update
from sqlalchemy.exc import IntegrityError

from service.leads.chats import InboxRow
from service.leads.lead import NotFound
from service.storage import tables as t

_MOST = 500
# Every turn of a chat reads them: where somebody sends hundreds, the first are enough.
_OF_CHAT_MOST = 50


def _inbox_row(row: RowMapping) -> InboxRow:
    return InboxRow(
        id=row["id"],
        channel=row["channel"],
        chat_id=row["chat_id"],
        update_id=row["update_id"],
        payload=row["payload"],
        received_at=row["received_at"],
        handled=row["handled_at"] is not None,
    )


class SqlInbox:
    """`service.leads.chats.Inbox` over a connection."""

    def __init__(self, connection: Connection) -> None:
        self._connection = connection

    def receive(
        self, channel: str, chat_id: str, update_id: str, payload: dict[str, Any], now: datetime
    ) -> tuple[InboxRow, bool]:
        known = self._find(channel, update_id)
        if known is not None:
            return known, True
        try:
            with self._connection.begin_nested():
                self._connection.execute(
                    insert(t.inbox).values(
                        channel=channel,
                        chat_id=chat_id,
                        update_id=update_id,
                        payload=payload,
                        received_at=now,
                    )
                )
        except IntegrityError:
            duplicate = True
        else:
            duplicate = False
        row = self._find(channel, update_id)
        assert row is not None  # noqa: S101 - inserted here or by whoever was first
        return row, duplicate

    def get(self, inbox_id: int, *, lock: bool = False) -> InboxRow:
        query = select(t.inbox).where(t.inbox.c.id == inbox_id)
        query = query.with_for_update() if lock else query
        row = self._connection.execute(query).mappings().one_or_none()
        if row is None:
            raise NotFound("There is no such update.")
        return _inbox_row(row)

    def mark_handled(self, inbox_id: int, now: datetime) -> None:
        self._connection.execute(
            update(t.inbox).where(t.inbox.c.id == inbox_id).values(handled_at=now)
        )

    def pending(self, channel: str, *, received_before: datetime) -> list[InboxRow]:
        return self._open(t.inbox.c.channel == channel, t.inbox.c.received_at <= received_before)

    def pending_of(self, channel: str, chat_id: str) -> list[InboxRow]:
        of_chat = t.inbox.c.channel == channel, t.inbox.c.chat_id == chat_id
        return self._open(*of_chat, most=_OF_CHAT_MOST)

    def _open(self, *which: ColumnElement[bool], most: int = _MOST) -> list[InboxRow]:
        query = (
            select(t.inbox)
            .where(t.inbox.c.handled_at.is_(None), *which)
            .order_by(t.inbox.c.id)
            .limit(most)
        )
        return [_inbox_row(row) for row in self._connection.execute(query).mappings()]

    def _find(self, channel: str, update_id: str) -> InboxRow | None:
        query = select(t.inbox).where(
            t.inbox.c.channel == channel, t.inbox.c.update_id == update_id
        )
        row = self._connection.execute(query).mappings().one_or_none()
        return None if row is None else _inbox_row(row)
