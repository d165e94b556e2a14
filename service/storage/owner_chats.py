"""The owner's own chats in SQL."""

from datetime import date

from sqlalchemy import ColumnElement, Connection, and_, delete, insert, select, update
from sqlalchemy.exc import IntegrityError

from service.leads.messages import OwnerChat
from service.storage import tables as t

_c = t.owner_chats.c


class SqlOwnerChats:
    """`service.leads.chats.OwnerChats` over a connection."""

    def __init__(self, connection: Connection) -> None:
        self._connection = connection

    def pair(self, chat: OwnerChat) -> None:
        try:
            with self._connection.begin_nested():
                self._connection.execute(
                    insert(t.owner_chats).values(
                        channel=chat.channel,
                        chat_id=chat.chat_id,
                        name=chat.name,
                        paired_at=chat.paired_at,
                        digest_on=chat.digest_on.isoformat(),
                    )
                )
        except IntegrityError:
            # It is paired already.
            return

    def has(self, channel: str, chat_id: str) -> bool:
        query = select(_c.chat_id).where(_named(channel, chat_id))
        return self._connection.execute(query).first() is not None

    def every(self) -> list[OwnerChat]:
        query = select(t.owner_chats).order_by(_c.paired_at, _c.chat_id)
        return [
            OwnerChat(**{**row, "digest_on": date.fromisoformat(row["digest_on"])})
            for row in self._connection.execute(query).mappings()
        ]

    def unpair(self, channel: str, chat_id: str) -> None:
        self._connection.execute(delete(t.owner_chats).where(_named(channel, chat_id)))

    def take_digest(self, channel: str, chat_id: str, day: date) -> bool:
        taken = self._connection.execute(
            update(t.owner_chats)
            .where(_named(channel, chat_id), _c.digest_on < day.isoformat())
            .values(digest_on=day.isoformat())
        )
        return taken.rowcount == 1


def _named(channel: str, chat_id: str) -> ColumnElement[bool]:
    return and_(_c.channel == channel, _c.chat_id == chat_id)
