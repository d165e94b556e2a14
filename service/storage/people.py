"""Accounts, sessions and failed tries at signing in, in SQL."""

import hashlib
from datetime import datetime, timedelta

from sqlalchemy import (
    ColumnElement,
    Connection,
    RowMapping,
    case,
    delete,
    func,
    insert,
    select,
    update,
)
from sqlalchemy.exc import IntegrityError

from service.leads.lead import NotFound
from service.leads.people import (
    OWNER_ID,
    SESSION_IDLES,
    SESSION_LASTS,
    BadName,
    DeskSession,
    Guesses,
    Person,
    PersonRole,
    folded,
)
from service.storage import tables as t

# No rule looks further back.
_GUESSES_ARE_KEPT = timedelta(days=1)

_SESSIONS = select(
    t.desk_sessions,
    *(
        t.people.c[name].label(f"person_{name}")
        for name in ("role", "name", "since", "password_hash", "ended_at")
    ),
).join_from(t.desk_sessions, t.people)


def _digest(secret: str) -> str:
    return hashlib.sha256(secret.encode()).hexdigest()


class SqlPeople:
    """`service.leads.people.People`.

    Of session ids only digests are stored, and of what was typed as a name in vain as well: now
    and then it is a password.
    """

    def __init__(self, connection: Connection) -> None:
        self._connection = connection

    def get(self, person_id: str) -> Person:
        person = self._one(t.people.c.id == person_id)
        if person is None:
            raise NotFound("There is no such person.")
        return person

    def named(self, name: str) -> Person | None:
        return self._one(t.people.c.sign_in_name == name)

    def every(self) -> list[Person]:
        owner_first = case((t.people.c.id == OWNER_ID, 0), else_=1)
        query = select(t.people).order_by(owner_first, t.people.c.sign_in_name)
        return [_person(row) for row in self._connection.execute(query).mappings()]

    def add(self, person: Person) -> None:
        values = {
            "id": person.id,
            "role": person.role,
            "name": person.name,
            "sign_in_name": folded(person.name),
            "since": person.since,
        }
        try:
            with self._connection.begin_nested():
                self._connection.execute(insert(t.people).values(values))
        except IntegrityError:
            raise BadName("There is somebody of that name already.") from None

    def welcome_back(self, person_id: str) -> None:
        self._connection.execute(
            update(t.people).where(t.people.c.id == person_id).values(ended_at=None)
        )

    def end(self, person_id: str, now: datetime) -> None:
        self.close_sessions_of(person_id)
        self._connection.execute(
            update(t.people)
            .where(t.people.c.id == person_id, t.people.c.ended_at.is_(None))
            .values(ended_at=now, password_hash=None)
        )

    def password_hash(self, person_id: str) -> str | None:
        query = select(t.people.c.password_hash).where(
            t.people.c.id == person_id, t.people.c.ended_at.is_(None)
        )
        return self._connection.execute(query).scalar_one_or_none()

    def set_password_hash(self, person_id: str, value: str, now: datetime) -> None:
        if person_id == OWNER_ID and self._one(t.people.c.id == OWNER_ID) is None:
            self.add(Person(id=OWNER_ID, role=PersonRole.OWNER, name=OWNER_ID, since=now))
        self.close_sessions_of(person_id)
        self._connection.execute(
            update(t.people)
            .where(t.people.c.id == person_id)
            .values(password_hash=value, password_at=now)
        )

    def open_session(
        self, session_id: str, person_id: str, *, csrf: str, device: str, now: datetime
    ) -> None:
        self._close(t.desk_sessions.c.expires_at <= now)
        self._connection.execute(
            insert(t.desk_sessions).values(
                digest=_digest(session_id),
                person_id=person_id,
                csrf=csrf,
                device=device,
                opened_at=now,
                seen_at=now,
                expires_at=now + SESSION_LASTS,
            )
        )

    def session(self, session_id: str, now: datetime) -> DeskSession | None:
        query = _SESSIONS.where(t.desk_sessions.c.digest == _digest(session_id), *_alive(now))
        row = self._connection.execute(query).mappings().one_or_none()
        return None if row is None else _session(row)

    def sessions_of(self, person_id: str, now: datetime) -> list[DeskSession]:
        query = _SESSIONS.where(t.desk_sessions.c.person_id == person_id, *_alive(now)).order_by(
            t.desk_sessions.c.seen_at.desc(), t.desk_sessions.c.digest
        )
        return [_session(row) for row in self._connection.execute(query).mappings()]

    def seen(self, session_id: str, now: datetime) -> None:
        self._connection.execute(
            update(t.desk_sessions)
            .where(t.desk_sessions.c.digest == _digest(session_id))
            .values(seen_at=now)
        )

    def close_session(self, session_id: str) -> None:
        self._close(t.desk_sessions.c.digest == _digest(session_id))

    def close_session_of(self, person_id: str, key: str) -> None:
        self._close(t.desk_sessions.c.person_id == person_id, t.desk_sessions.c.digest == key)

    def close_sessions_of(self, person_id: str) -> None:
        self._close(t.desk_sessions.c.person_id == person_id)

    def guesses_from(self, source: str, since: datetime) -> Guesses:
        return self._guesses(t.sign_in_failures.c.address == source, since)

    def guesses_at(self, name: str, since: datetime) -> Guesses:
        failures = t.sign_in_failures
        strange = ~failures.c.address.startswith("known:")
        return self._guesses((failures.c.sign_in_name == _digest(name)) & strange, since)

    def record_guess(self, name: str, source: str, now: datetime) -> None:
        self._connection.execute(
            delete(t.sign_in_failures).where(t.sign_in_failures.c.at < now - _GUESSES_ARE_KEPT)
        )
        self._connection.execute(
            insert(t.sign_in_failures).values(at=now, address=source, sign_in_name=_digest(name))
        )

    def forget_guesses(self, name: str, source: str) -> None:
        self._connection.execute(
            delete(t.sign_in_failures).where(
                t.sign_in_failures.c.sign_in_name == _digest(name),
                t.sign_in_failures.c.address == source,
            )
        )

    def _one(self, condition: ColumnElement[bool]) -> Person | None:
        row = self._connection.execute(select(t.people).where(condition)).mappings().first()
        return None if row is None else _person(row)

    def _close(self, *conditions: ColumnElement[bool]) -> None:
        self._connection.execute(delete(t.desk_sessions).where(*conditions))

    def _guesses(self, condition: ColumnElement[bool], since: datetime) -> Guesses:
        query = select(func.count(), func.max(t.sign_in_failures.c.at)).where(
            condition, t.sign_in_failures.c.at >= since
        )
        count, latest = self._connection.execute(query).one()
        return Guesses(count=count, latest=latest)


def _alive(now: datetime) -> tuple[ColumnElement[bool], ...]:
    return (
        t.desk_sessions.c.expires_at > now,
        t.desk_sessions.c.seen_at > now - SESSION_IDLES,
        t.people.c.ended_at.is_(None),
    )


def _person(row: RowMapping) -> Person:
    return Person(
        id=row["id"],
        role=PersonRole(row["role"]),
        name=row["name"],
        since=row["since"],
        may_sign_in=row["password_hash"] is not None,
        ended_at=row["ended_at"],
    )


def _session(row: RowMapping) -> DeskSession:
    person = Person(
        id=row["person_id"],
        role=PersonRole(row["person_role"]),
        name=row["person_name"],
        since=row["person_since"],
        may_sign_in=row["person_password_hash"] is not None,
        ended_at=row["person_ended_at"],
    )
    return DeskSession(
        key=row["digest"],
        person=person,
        csrf=row["csrf"],
        device=row["device"],
        opened_at=row["opened_at"],
        seen_at=row["seen_at"],
        expires_at=row["expires_at"],
    )
