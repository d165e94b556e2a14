"""The owner's account and sessions in SQL."""

import hashlib
from datetime import datetime

from sqlalchemy import Connection, delete, func, insert, select

from service.leads.repositories import DeskSession
from service.storage import tables as t


def _digest(session_id: str) -> str:
    return hashlib.sha256(session_id.encode()).hexdigest()


class SqlOwners:
    """`service.leads.repositories.Owners`. Only digests of session ids are stored."""

    def __init__(self, connection: Connection) -> None:
        self._connection = connection

    def password_hash(self) -> str | None:
        query = select(t.people.c.password_hash).where(t.people.c.id == "owner")
        return self._connection.execute(query).scalar_one_or_none()

    def set_password_hash(self, value: str, now: datetime) -> None:
        self._connection.execute(delete(t.desk_sessions))
        self._connection.execute(delete(t.people))
        self._connection.execute(
            insert(t.people).values(
                id="owner",
                role="owner",
                name="owner",
                sign_in_name="owner",
                password_hash=value,
                since=now,
                password_at=now,
            )
        )

    def open_session(self, session: DeskSession) -> None:
        self._connection.execute(
            insert(t.desk_sessions).values(
                digest=_digest(session.id),
                person_id="owner",
                csrf=session.csrf,
                device="",
                opened_at=session.expires_at,
                seen_at=session.expires_at,
                expires_at=session.expires_at,
            )
        )

    def session(self, session_id: str, now: datetime) -> DeskSession | None:
        query = select(t.desk_sessions).where(
            t.desk_sessions.c.digest == _digest(session_id), t.desk_sessions.c.expires_at > now
        )
        row = self._connection.execute(query).mappings().one_or_none()
        if row is None:
            return None
        return DeskSession(id=session_id, csrf=row["csrf"], expires_at=row["expires_at"])

    def close_session(self, session_id: str) -> None:
        self._connection.execute(
            delete(t.desk_sessions).where(t.desk_sessions.c.digest == _digest(session_id))
        )

    def failures_since(self, since: datetime, address: str) -> int:
        query = select(func.count()).where(
            t.sign_in_failures.c.at >= since, t.sign_in_failures.c.address == address
        )
        return self._connection.execute(query).scalar_one()

    def record_failure(self, now: datetime, address: str) -> None:
        self._connection.execute(
            insert(t.sign_in_failures).values(at=now, address=address, sign_in_name="")
        )
