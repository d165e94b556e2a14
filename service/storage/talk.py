"""Conversations in SQL."""

from collections.abc import Callable
from dataclasses import asdict
from datetime import datetime
from typing import Any

from sqlalchemy import Connection, RowMapping, bindparam, func, insert, literal, select, update
from sqlalchemy.dialects.postgresql import insert as pg_insert
from sqlalchemy.dialects.sqlite import insert as sqlite_insert
from sqlalchemy.exc import IntegrityError

from service.leads.lead import EnoughPhotos, LeadState, NotFound, PhotoTaken
from service.leads.limits import MOST_PHOTOS
from service.leads.messages import (
    Attention,
    Button,
    Calling,
    Delivery,
    Message,
    Photo,
    Picture,
    Standing,
    StoredMessage,
    Swatch,
)
from service.storage import tables as t
from service.storage.ids import fresh_id
from service.storage.types import Instant

# Made once: every message goes through them, and to put one together takes as long as to run it.
_ONE = select(t.conversations).where(
    t.conversations.c.channel == bindparam("of_channel"),
    t.conversations.c.chat_id == bindparam("of_chat"),
)
_ONE_LOCKED = _ONE.with_for_update()
# Its row stays locked, so that sequence numbers follow the order of commits: a reader who asks for
# "beyond 7" can never miss an 8 that was committed after a 9.
_COUNT = (
    update(t.conversations)
    .where(
        t.conversations.c.channel == bindparam("of_channel"),
        t.conversations.c.chat_id == bindparam("of_chat"),
    )
    .values(last_seq=t.conversations.c.last_seq + 1, updated_at=bindparam("now"))
    .returning(t.conversations.c.id, t.conversations.c.last_seq)
)
_MOVE = update(t.conversations).where(
    t.conversations.c.channel == bindparam("of_channel"),
    t.conversations.c.chat_id == bindparam("of_chat"),
    t.conversations.c.version == bindparam("from_version"),
)
# Where somebody else began the same conversation in the meantime, theirs will do.
_BEGIN = sqlite_insert(t.conversations).on_conflict_do_nothing()
_BEGIN_ON_POSTGRESQL = pg_insert(t.conversations).on_conflict_do_nothing()
_ADD = insert(t.messages)
_BEYOND = (
    select(t.messages)
    .join(t.conversations)
    .where(
        t.conversations.c.channel == bindparam("of_channel"),
        t.conversations.c.chat_id == bindparam("of_chat"),
        t.messages.c.seq > bindparam("after"),
    )
    .order_by(t.messages.c.seq)
)
_HEARD_AT = (
    select(t.messages.c.at)
    .join(t.conversations)
    .where(
        t.conversations.c.channel == bindparam("of_channel"),
        t.conversations.c.chat_id == bindparam("of_chat"),
        t.messages.c.direction == "in",
    )
    .order_by(t.messages.c.seq.desc())
    .limit(1)
)
# What else a turn begins from, in one question.
_BESIDE = select(
    select(t.owner_chats.c.chat_id)
    .where(
        t.owner_chats.c.channel == bindparam("of_channel"),
        t.owner_chats.c.chat_id == bindparam("of_chat"),
    )
    .exists()
    .label("owner"),
    select(t.leads.c.state)
    .where(t.leads.c.channel == bindparam("of_channel"), t.leads.c.chat_id == bindparam("of_chat"))
    .order_by(t.leads.c.seq.desc())
    .limit(1)
    .scalar_subquery()
    .label("newest"),
)


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
            swatches=tuple(Swatch(**swatch) for swatch in row["swatches"]),
            edits=row["edits"],
            picture=Picture(**row["picture"]) if row["picture"] else None,
        ),
        at=row["at"],
        update_id=row["update_id"],
        photo_id=row["photo_id"],
    )


class SqlChats:
    """`service.leads.chats.Chats`. `touched` is told of every conversation that changes."""

    def __init__(self, connection: Connection, touched: Callable[[str, str], None]) -> None:
        self._connection = connection
        self._touched = touched

    def state(self, channel: str, chat_id: str) -> tuple[int, dict[str, Any]]:
        row = self._find(channel, chat_id)
        return (0, {}) if row is None else (row["version"], row["state"])

    def standing(self, channel: str, chat_id: str) -> Standing:
        chat = {"of_channel": channel, "of_chat": chat_id}
        row = self._connection.execute(_ONE, chat).mappings().one_or_none()
        beside = self._connection.execute(_BESIDE, chat).one()
        return Standing(
            version=row["version"] if row else 0,
            state=row["state"] if row else {},
            owner_spoke=row is not None and row["owner_spoke"],
            stopped=row is not None and row["stopped_at"] is not None,
            owner=bool(beside.owner),
            under_review=beside.newest == LeadState.REVIEW,
        )

    def advance(
        self, channel: str, chat_id: str, *, version: int, state: dict[str, Any], now: datetime
    ) -> bool:
        row = {
            "of_channel": channel,
            "of_chat": chat_id,
            "from_version": version,
            "version": version + 1,
            "state": state,
            "updated_at": now,
        }
        if self._connection.execute(_MOVE, row).rowcount == 1:
            return True
        if version:
            return False
        self._ensure(channel, chat_id, now)
        return self._connection.execute(_MOVE, row).rowcount == 1

    def say(self, channel: str, chat_id: str, message: Message, *, now: datetime) -> StoredMessage:
        return self._append(channel, chat_id, "out", message, now)

    def hear(
        self,
        channel: str,
        chat_id: str,
        text: str,
        *,
        update_id: str,
        now: datetime,
        photo_id: str | None = None,
    ) -> StoredMessage:
        came_with = {"update_id": update_id, "photo_id": photo_id}
        message = Message(kind="say", text=text)
        return self._append(channel, chat_id, "in", message, now, **came_with)

    def keep_photo(
        self, photo_id: str, channel: str, chat_id: str, jpeg: bytes, *, now: datetime
    ) -> None:
        if not self.has_photo(photo_id, channel, chat_id):
            self._keep(photo_id, channel, chat_id, jpeg, now)

    def has_photo(self, photo_id: str, channel: str, chat_id: str) -> bool:
        c = t.conversations.c
        query = (
            select(t.photos.c.id)
            .join(t.conversations)
            .where(t.photos.c.id == photo_id, c.channel == channel, c.chat_id == chat_id)
        )
        return self._connection.execute(query).first() is not None

    def photo(self, photo_id: str) -> Photo | None:
        query = (
            select(t.photos.c.jpeg, t.conversations.c.channel, t.conversations.c.chat_id)
            .join(t.conversations)
            .where(t.photos.c.id == photo_id)
        )
        row = self._connection.execute(query).mappings().one_or_none()
        return None if row is None else Photo(**row)

    def messages(self, channel: str, chat_id: str, *, after: int = 0) -> list[StoredMessage]:
        which = {"of_channel": channel, "of_chat": chat_id, "after": after}
        return [_stored(row) for row in self._connection.execute(_BEYOND, which).mappings()]

    def delivery(self, message_id: str) -> Delivery:
        query = (
            select(t.messages, t.conversations.c.channel, t.conversations.c.chat_id)
            .join(t.conversations)
            .where(t.messages.c.id == message_id)
        )
        row = self._connection.execute(query).mappings().one_or_none()
        if row is None:
            raise NotFound("There is no such message.")
        return Delivery(
            channel=row["channel"],
            chat_id=row["chat_id"],
            stored=_stored(row),
            after_share=self._offered_share(row["conversation_id"], before=row["seq"]),
        )

    def _offered_share(self, conversation_id: int, *, before: int) -> bool:
        m = t.messages.c
        query = (
            select(m.buttons)
            .where(m.conversation_id == conversation_id, m.direction == "out", m.seq < before)
            .order_by(m.seq.desc())
            .limit(1)
        )
        buttons = self._connection.execute(query).scalar_one_or_none() or []
        return any(button.get("share") for button in buttons)

    def attention(self, channel: str, chat_id: str, *, lock: bool = False) -> Attention:
        row = self._find(channel, chat_id, lock=lock)
        if row is None:
            return Attention()
        return Attention(
            conversation_id=row["id"],
            last_seq=row["last_seq"],
            calls_since=row["calls_owner_since"],
            owner_spoke=row["owner_spoke"],
        )

    def chat_of(self, conversation_id: int) -> tuple[str, str]:
        c = t.conversations.c
        row = self._connection.execute(
            select(c.channel, c.chat_id).where(c.id == conversation_id)
        ).one_or_none()
        if row is None:
            raise NotFound("There is no such conversation.")
        return row.channel, row.chat_id

    def call_owner(self, channel: str, chat_id: str, *, now: datetime) -> None:
        self._ensure(channel, chat_id, now)
        since = func.coalesce(t.conversations.c.calls_owner_since, literal(now, Instant))
        self._set(channel, chat_id, calls_owner_since=since, owner_spoke=False)

    def calling(self, *, limit: int) -> list[Calling]:
        c, m = t.conversations.c, t.messages.c
        # The message that called came at the same moment as the call.
        words = (
            select(m.text)
            .where(m.conversation_id == c.id, m.direction == "in", m.at == c.calls_owner_since)
            .order_by(m.seq.desc())
            .limit(1)
            .scalar_subquery()
        )
        query = (
            select(c.id, c.channel, c.chat_id, c.calls_owner_since, words.label("words"))
            .where(c.calls_owner_since.is_not(None))
            .order_by(c.calls_owner_since, c.id)
            .limit(limit)
        )
        return [
            Calling(
                id=row["id"],
                channel=row["channel"],
                chat_id=row["chat_id"],
                since=row["calls_owner_since"],
                words=row["words"] or "",
            )
            for row in self._connection.execute(query).mappings()
        ]

    def heard_at(self, channel: str, chat_id: str) -> datetime | None:
        chat = {"of_channel": channel, "of_chat": chat_id}
        return self._connection.execute(_HEARD_AT, chat).scalar_one_or_none()

    def stopped_at(self, channel: str, chat_id: str) -> datetime | None:
        row = self._find(channel, chat_id)
        return None if row is None else row["stopped_at"]

    def stop(self, channel: str, chat_id: str, *, at: datetime | None) -> bool:
        row = self._find(channel, chat_id, lock=True)
        if row is None and at is None:
            return False
        if row is not None and (row["stopped_at"] is None) == (at is None):
            return False
        if row is None and at is not None:
            self._ensure(channel, chat_id, at)
        self._set(channel, chat_id, stopped_at=at)
        return True

    def answered(self, channel: str, chat_id: str, *, in_words: bool) -> None:
        self._set(channel, chat_id, calls_owner_since=None, owner_spoke=in_words)

    def _set(self, channel: str, chat_id: str, **values: Any) -> None:
        self._connection.execute(
            update(t.conversations)
            .where(t.conversations.c.channel == channel, t.conversations.c.chat_id == chat_id)
            .values(**values)
        )

    def _find(self, channel: str, chat_id: str, *, lock: bool = False) -> RowMapping | None:
        query = _ONE_LOCKED if lock else _ONE
        chat = {"of_channel": channel, "of_chat": chat_id}
        return self._connection.execute(query, chat).mappings().one_or_none()

    def _ensure(self, channel: str, chat_id: str, now: datetime) -> None:
        begin = _BEGIN_ON_POSTGRESQL if self._connection.dialect.name == "postgresql" else _BEGIN
        fresh = {
            "channel": channel,
            "chat_id": chat_id,
            "version": 0,
            "last_seq": 0,
            "state": {},
            "updated_at": now,
            "owner_spoke": False,
        }
        self._connection.execute(begin, fresh)

    def _keep(self, photo_id: str, channel: str, chat_id: str, jpeg: bytes, now: datetime) -> None:
        self._ensure(channel, chat_id, now)
        conversation = self._find(channel, chat_id)
        assert conversation is not None  # noqa: S101 - `_ensure` made it
        if self._photos_of(conversation["id"]) >= MOST_PHOTOS:
            raise EnoughPhotos("This conversation holds as many photos as one may.")
        row = {"id": photo_id, "conversation_id": conversation["id"], "jpeg": jpeg}
        try:
            with self._connection.begin_nested():
                self._connection.execute(insert(t.photos).values(**row, created_at=now))
        except IntegrityError:
            # It was kept in the meantime, or the name is another conversation's.
            if not self.has_photo(photo_id, channel, chat_id):
                raise PhotoTaken("That photo belongs to another conversation.") from None

    def _photos_of(self, conversation_id: int) -> int:
        query = select(func.count()).where(t.photos.c.conversation_id == conversation_id)
        return self._connection.execute(query).scalar_one()

    def _append(
        self,
        channel: str,
        chat_id: str,
        direction: str,
        message: Message,
        now: datetime,
        *,
        update_id: str | None = None,
        photo_id: str | None = None,
    ) -> StoredMessage:
        place = {"of_channel": channel, "of_chat": chat_id, "now": now}
        counted = self._connection.execute(_COUNT, place).one_or_none()
        while counted is None:
            # A client may be erased between the two: then the conversation begins anew.
            self._ensure(channel, chat_id, now)
            counted = self._connection.execute(_COUNT, place).one_or_none()
        message_id = fresh_id()
        row = {
            "id": message_id,
            "conversation_id": counted.id,
            "seq": counted.last_seq,
            "direction": direction,
            "kind": message.kind,
            "text": message.text,
            "buttons": [asdict(button) for button in message.buttons],
            "asks": message.asks,
            "swatches": [asdict(swatch) for swatch in message.swatches],
            "edits": message.edits,
            "picture": asdict(message.picture) if message.picture else None,
            "update_id": update_id,
            "photo_id": photo_id,
            "at": now,
        }
        self._connection.execute(_ADD, row)
        self._touched(channel, chat_id)
        return StoredMessage(
            id=message_id,
            seq=counted.last_seq,
            direction=direction,
            message=message,
            at=now,
            update_id=update_id,
            photo_id=photo_id,
        )
