"""The inbox in SQL."""

from datetime import datetime
from typing import Any

from sqlalchemy import Connection, RowMapping, bindparam, func, select, update
from sqlalchemy.dialects.postgresql import insert as pg_insert
from sqlalchemy.dialects.sqlite import insert as sqlite_insert

from service.leads.chats import InboxRow
from service.leads.lead import NotFound
from service.storage import tables as t

_MOST = 500
# Where somebody sends hundreds, the first are enough: they keep no other chat from being listed,
# and every turn of the chat itself reads them.
_OF_CHAT_MOST = 20

# Made once: every update goes through them, and to put one together takes as long as to run it.
_ONE = select(t.inbox).where(t.inbox.c.id == bindparam("this"))
_ONE_LOCKED = _ONE.with_for_update()
_HANDLE = update(t.inbox).where(t.inbox.c.id == bindparam("this"))
_ADD = sqlite_insert(t.inbox).on_conflict_do_nothing().returning(t.inbox.c.id)
_ADD_TO_POSTGRESQL = pg_insert(t.inbox).on_conflict_do_nothing().returning(t.inbox.c.id)
_KNOWN = select(t.inbox).where(
    t.inbox.c.channel == bindparam("of_channel"), t.inbox.c.update_id == bindparam("of_update")
)
_OPEN = (
    select(t.inbox)
    .where(
        t.inbox.c.handled_at.is_(None),
        t.inbox.c.channel == bindparam("of_channel"),
        t.inbox.c.chat_id == bindparam("of_chat"),
    )
    .order_by(t.inbox.c.id)
    .limit(_OF_CHAT_MOST)
)
_numbered = (
    select(
        t.inbox.c.id,
        func.row_number()
        .over(partition_by=t.inbox.c.chat_id, order_by=t.inbox.c.id)
        .label("number"),
    )
    .where(
        t.inbox.c.handled_at.is_(None),
        t.inbox.c.channel == bindparam("of_channel"),
        t.inbox.c.received_at <= bindparam("received_before"),
    )
    .subquery()
)
_LEFT = (
    select(t.inbox)
    .join(_numbered, _numbered.c.id == t.inbox.c.id)
    .where(_numbered.c.number <= _OF_CHAT_MOST)
    .order_by(t.inbox.c.id)
    .limit(_MOST)
)


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
        row = {
            "channel": channel,
            "chat_id": chat_id,
            "update_id": update_id,
            "payload": payload,
            "received_at": now,
        }
        add = _ADD_TO_POSTGRESQL if self._connection.dialect.name == "postgresql" else _ADD
        inbox_id = self._connection.execute(add, row).scalar_one_or_none()
        if inbox_id is None:
            known = self._find(channel, update_id)
            assert known is not None  # noqa: S101 - it was in the way
            return known, True
        fresh = InboxRow(
            id=inbox_id,
            channel=channel,
            chat_id=chat_id,
            update_id=update_id,
            payload=payload,
            received_at=now,
            handled=False,
        )
        return fresh, False

    def get(self, inbox_id: int, *, lock: bool = False) -> InboxRow:
        query = _ONE_LOCKED if lock else _ONE
        row = self._connection.execute(query, {"this": inbox_id}).mappings().one_or_none()
        if row is None:
            raise NotFound("There is no such update.")
        return _inbox_row(row)

    def mark_handled(self, inbox_id: int, now: datetime) -> None:
        self._connection.execute(_HANDLE, {"this": inbox_id, "handled_at": now})

    def pending(self, channel: str, *, received_before: datetime) -> list[InboxRow]:
        which = {"of_channel": channel, "received_before": received_before}
        return [_inbox_row(row) for row in self._connection.execute(_LEFT, which).mappings()]

    def pending_of(self, channel: str, chat_id: str) -> list[InboxRow]:
        of_chat = {"of_channel": channel, "of_chat": chat_id}
        return [_inbox_row(row) for row in self._connection.execute(_OPEN, of_chat).mappings()]

    def _find(self, channel: str, update_id: str) -> InboxRow | None:
        sought = {"of_channel": channel, "of_update": update_id}
        row = self._connection.execute(_KNOWN, sought).mappings().one_or_none()
        return None if row is None else _inbox_row(row)
