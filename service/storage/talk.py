"""Conversations and the inbox in SQL."""

from collections.abc import Callable
from datetime import datetime
from typing import Any

from sqlalchemy import Connection, RowMapping, func, insert, literal, select, update
from sqlalchemy.exc import IntegrityError

from service.leads.lead import NotFound
from service.leads.messages import (
    Attention,
    Button,
    Calling,
    Delivery,
    Message,
    StoredMessage,
)
from service.leads.ports import InboxRow
from service.storage import tables as t
from service.storage.ids import fresh_id
from service.storage.types import Instant


def _stored(row: RowMapping) -> StoredMessage:
    return StoredMessage(
        id=row["id"],
        seq=row["seq"],
        direction=row["direction"],
        message=Message(
            kind=row["kind"],
            text=row["text"],
            buttons=tuple(Button(**button) for button in row["buttons"]),
            asks=row["asks"],
        ),
        at=row["at"],
        update_id=row["update_id"],
    )


def _button_json(button: Button) -> dict[str, str | None]:
    return {"label": button.label, "value": button.value, "url": button.url}


class SqlChats:
    """`service.leads.ports.Chats`. `touched` is told of every conversation that changes."""

    def __init__(self, connection: Connection, touched: Callable[[str, str], None]) -> None:
        self._connection = connection
        self._touched = touched

    def state(self, channel: str, chat_id: str) -> tuple[int, dict[str, Any]]:
        row = self._find(channel, chat_id)
        return (0, {}) if row is None else (row["version"], row["state"])

    def advance(
        self, channel: str, chat_id: str, *, version: int, state: dict[str, Any], now: datetime
    ) -> bool:
        self._ensure(channel, chat_id, now)
        moved = self._connection.execute(
            update(t.conversations)
            .where(
                t.conversations.c.channel == channel,
                t.conversations.c.chat_id == chat_id,
                t.conversations.c.version == version,
            )
            .values(version=version + 1, state=state, updated_at=now)
        )
        return moved.rowcount == 1

    def say(self, channel: str, chat_id: str, message: Message, *, now: datetime) -> StoredMessage:
        return self._append(channel, chat_id, "out", message, None, now)

    def hear(
        self, channel: str, chat_id: str, text: str, *, update_id: str, now: datetime
    ) -> StoredMessage:
        message = Message(kind="say", text=text)
        return self._append(channel, chat_id, "in", message, update_id, now)

    def messages(self, channel: str, chat_id: str, *, after: int = 0) -> list[StoredMessage]:
        query = (
            select(t.messages)
            .join(t.conversations)
            .where(
                t.conversations.c.channel == channel,
                t.conversations.c.chat_id == chat_id,
                t.messages.c.seq > after,
            )
            .order_by(t.messages.c.seq)
        )
        return [_stored(row) for row in self._connection.execute(query).mappings()]

    def delivery(self, message_id: str) -> Delivery:
        query = (
            select(t.messages, t.conversations.c.channel, t.conversations.c.chat_id)
            .join(t.conversations)
            .where(t.messages.c.id == message_id)
        )
        row = self._connection.execute(query).mappings().one_or_none()
        if row is None:
            raise NotFound("There is no such message.")
        return Delivery(channel=row["channel"], chat_id=row["chat_id"], stored=_stored(row))

    def attention(self, channel: str, chat_id: str, *, lock: bool = False) -> Attention:
        row = self._find(channel, chat_id, lock=lock)
        if row is None:
            return Attention()
        return Attention(
            last_seq=row["last_seq"],
            calls_since=row["calls_owner_since"],
            owner_spoke=row["owner_spoke"],
        )

    def call_owner(self, channel: str, chat_id: str, *, now: datetime) -> None:
        self._ensure(channel, chat_id, now)
        since = func.coalesce(t.conversations.c.calls_owner_since, literal(now, Instant))
        self._set(channel, chat_id, calls_owner_since=since, owner_spoke=False)

    def calling(self, *, limit: int) -> list[Calling]:
        c, m = t.conversations.c, t.messages.c
        last_words = (
            select(m.text)
            .where(m.conversation_id == c.id, m.direction == "in")
            .order_by(m.seq.desc())
            .limit(1)
            .scalar_subquery()
        )
        query = (
            select(c.channel, c.chat_id, c.calls_owner_since, last_words.label("last_words"))
            .where(c.calls_owner_since.is_not(None))
            .order_by(c.calls_owner_since, c.id)
            .limit(limit)
        )
        return [
            Calling(
                channel=row["channel"],
                chat_id=row["chat_id"],
                since=row["calls_owner_since"],
                last_words=row["last_words"] or "",
            )
            for row in self._connection.execute(query).mappings()
        ]

    def answered(self, channel: str, chat_id: str, *, in_words: bool) -> None:
        self._set(channel, chat_id, calls_owner_since=None, owner_spoke=in_words)

    def _set(self, channel: str, chat_id: str, **values: Any) -> None:
        self._connection.execute(
            update(t.conversations)
            .where(t.conversations.c.channel == channel, t.conversations.c.chat_id == chat_id)
            .values(**values)
        )

    def _find(self, channel: str, chat_id: str, *, lock: bool = False) -> RowMapping | None:
        query = select(t.conversations).where(
            t.conversations.c.channel == channel, t.conversations.c.chat_id == chat_id
        )
        query = query.with_for_update() if lock else query
        return self._connection.execute(query).mappings().one_or_none()

    def _ensure(self, channel: str, chat_id: str, now: datetime) -> None:
        if self._find(channel, chat_id) is not None:
            return
        try:
            with self._connection.begin_nested():
                self._connection.execute(
                    insert(t.conversations).values(
                        channel=channel,
                        chat_id=chat_id,
                        version=0,
                        last_seq=0,
                        state={},
                        updated_at=now,
                        owner_spoke=False,
                    )
                )
        except IntegrityError:
            # Somebody else began the same conversation in the meantime: theirs will do.
            return

    def _append(
        self,
        channel: str,
        chat_id: str,
        direction: str,
        message: Message,
        update_id: str | None,
        now: datetime,
    ) -> StoredMessage:
        self._ensure(channel, chat_id, now)
        # The row lock makes sequence numbers follow the order of commits, so that a reader
        # who asks for "beyond 7" can never miss an 8 that was committed after a 9.
        conversation = self._find(channel, chat_id, lock=True)
        assert conversation is not None  # noqa: S101 - `_ensure` made it
        seq = conversation["last_seq"] + 1
        self._connection.execute(
            update(t.conversations)
            .where(t.conversations.c.id == conversation["id"])
            .values(last_seq=seq, updated_at=now)
        )
        message_id = fresh_id()
        self._connection.execute(
            insert(t.messages).values(
                id=message_id,
                conversation_id=conversation["id"],
                seq=seq,
                direction=direction,
                kind=message.kind,
                text=message.text,
                buttons=[_button_json(button) for button in message.buttons],
                asks=message.asks,
                update_id=update_id,
                at=now,
            )
        )
        self._touched(channel, chat_id)
        return StoredMessage(
            id=message_id,
            seq=seq,
            direction=direction,
            message=message,
            at=now,
            update_id=update_id,
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
    """`service.leads.ports.Inbox` over a connection."""

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

    def pending(
        self, channel: str, *, received_before: datetime, chat_id: str | None = None
    ) -> list[InboxRow]:
        query = (
            select(t.inbox)
            .where(
                t.inbox.c.channel == channel,
                t.inbox.c.handled_at.is_(None),
                t.inbox.c.received_at <= received_before,
            )
            .order_by(t.inbox.c.id)
            .limit(500)
        )
        if chat_id is not None:
            query = query.where(t.inbox.c.chat_id == chat_id)
        return [_inbox_row(row) for row in self._connection.execute(query).mappings()]

    def _find(self, channel: str, update_id: str) -> InboxRow | None:
        query = select(t.inbox).where(
            t.inbox.c.channel == channel, t.inbox.c.update_id == update_id
        )
        row = self._connection.execute(query).mappings().one_or_none()
        return None if row is None else _inbox_row(row)
