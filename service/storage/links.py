"""Links, each for one purpose, in SQL."""

from collections.abc import Sequence
from datetime import datetime

from sqlalchemy import Connection, bindparam, insert, select, update

from service.leads.lead import LinkExpired, NotFound
from service.storage import tables as t
from service.storage.ids import fresh_id

_ADD = insert(t.links)
_PROLONG = update(t.links).where(
    t.links.c.subject_id == bindparam("of_subject"),
    t.links.c.purpose == bindparam("for_purpose"),
    t.links.c.revoked_at.is_(None),
    t.links.c.expires_at < bindparam("before"),
)
_PROLONG_EACH = update(t.links).where(
    t.links.c.subject_id == bindparam("of_subject"),
    t.links.c.purpose.in_(bindparam("for_purposes", expanding=True)),
    t.links.c.revoked_at.is_(None),
    t.links.c.expires_at < bindparam("before"),
)


class SqlLinks:
    """`service.leads.repositories.Links` over a connection."""

    def __init__(self, connection: Connection, clock_now: datetime) -> None:
        self._connection = connection
        self._now = clock_now

    def add(self, *, purpose: str, subject_id: str, expires_at: datetime) -> str:
        return self._add(subject_id, (purpose,), expires_at)[0]

    def _add(self, subject_id: str, purposes: Sequence[str], until: datetime) -> list[str]:
        about = {"subject_id": subject_id, "created_at": self._now, "expires_at": until}
        ids = [fresh_id() for _ in purposes]
        rows = [{"id": i, "purpose": p, **about} for i, p in zip(ids, purposes, strict=True)]
        self._connection.execute(_ADD, rows)
        return ids

    def find(self, link_id: str, *, purpose: str, now: datetime) -> str:
        query = select(t.links).where(t.links.c.id == link_id, t.links.c.purpose == purpose)
        row = self._connection.execute(query).mappings().one_or_none()
        if row is None:
            raise NotFound("There is no such link.")
        if row["revoked_at"] is not None or row["expires_at"] <= now:
            raise LinkExpired("This link is no longer valid.")
        return str(row["subject_id"])

    def of(self, subject_id: str, purpose: str) -> str | None:
        query = (
            select(t.links.c.id)
            .where(t.links.c.subject_id == subject_id, t.links.c.purpose == purpose)
            .order_by(t.links.c.created_at.desc())
            .limit(1)
        )
        return self._connection.execute(query).scalar_one_or_none()

    def prolong(self, subject_id: str, *, purpose: str, until: datetime) -> None:
        whose = {"of_subject": subject_id, "for_purpose": purpose}
        self._connection.execute(_PROLONG, {**whose, "before": until, "expires_at": until})

    def renew(self, subject_id: str, *, purposes: Sequence[str], until: datetime) -> list[str]:
        whose = {"of_subject": subject_id, "for_purposes": list(purposes)}
        self._connection.execute(_PROLONG_EACH, {**whose, "before": until, "expires_at": until})
        return self._add(subject_id, purposes, until)

    def use(self, link_id: str, *, purpose: str, now: datetime) -> str:
        subject = self.find(link_id, purpose=purpose, now=now)
        used = self._connection.execute(
            update(t.links)
            .where(t.links.c.id == link_id, t.links.c.revoked_at.is_(None))
            .values(revoked_at=now)
        )
        if used.rowcount != 1:
            raise LinkExpired("This link has been used.")
        return subject

    def revoke(self, subject_id: str, purpose: str, now: datetime) -> None:
        self._connection.execute(
            update(t.links)
            .where(
                t.links.c.subject_id == subject_id,
                t.links.c.purpose == purpose,
                t.links.c.revoked_at.is_(None),
            )
            .values(revoked_at=now)
        )
