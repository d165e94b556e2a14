"""Held set-up windows in SQL."""

from collections.abc import Sequence
from datetime import datetime

from sqlalchemy import Connection, RowMapping, delete, func, insert, or_, select, update
from sqlalchemy.exc import IntegrityError

from service.leads.lead import Client, Hold, Window, WindowTaken
from service.storage import tables as t
from service.storage.leads import client_json

_KEPT = ("active", "booked")


def _hold(row: RowMapping) -> Hold:
    return Hold(
        id=row["id"],
        lead_id=row["lead_id"],
        quote_id=row["quote_id"],
        window=Window(starts_at=row["starts_at"], ends_at=row["ends_at"]),
        expires_at=row["expires_at"],
        client=Client(**row["client"]),
    )


class SqlHolds:
    """`service.leads.repositories.Holds`; the primary key of `hold_slots` refuses overlaps."""

    def __init__(self, connection: Connection) -> None:
        self._connection = connection

    def add(self, hold: Hold, *, slots: Sequence[int], crew: int) -> None:
        try:
            # A savepoint: PostgreSQL would otherwise refuse all that follows a failed insert.
            with self._connection.begin_nested():
                self._connection.execute(
                    insert(t.holds).values(
                        id=hold.id,
                        lead_id=hold.lead_id,
                        quote_id=hold.quote_id,
                        starts_at=hold.window.starts_at,
                        ends_at=hold.window.ends_at,
                        expires_at=hold.expires_at,
                        client=client_json(hold.client),
                        state="active",
                        leaves_at=hold.window.starts_at,
                        free_at=hold.window.ends_at,
                        strikes_at=hold.window.ends_at,
                        struck_at=hold.window.ends_at,
                        returns_at=hold.window.ends_at,
                        crew=crew,
                        revision=0,
                        made_at=hold.expires_at,
                        changed_at=hold.expires_at,
                    )
                )
                # In ascending order, so that two clients cannot wait for one another.
                self._connection.execute(
                    insert(t.hold_slots),
                    [{"slot": slot, "crew": crew, "hold_id": hold.id} for slot in sorted(slots)],
                )
        except IntegrityError:
            raise WindowTaken("That set-up window has just been taken.") from None

    def taken(
        self, slots: Sequence[int], *, crew: int, now: datetime, but: Hold | None = None
    ) -> bool:
        query = (
            select(func.count())
            .select_from(t.hold_slots.join(t.holds))
            .where(
                t.hold_slots.c.crew == crew,
                t.hold_slots.c.slot >= min(slots),
                t.hold_slots.c.slot <= max(slots),
                or_(t.holds.c.state == "booked", t.holds.c.expires_at > now),
                t.holds.c.id != (but.id if but else ""),
            )
        )
        return self._connection.execute(query).scalar_one() > 0

    def of_lead(self, lead_id: str) -> Hold | None:
        query = select(t.holds).where(t.holds.c.lead_id == lead_id, t.holds.c.state.in_(_KEPT))
        row = self._connection.execute(query).mappings().first()
        return None if row is None else _hold(row)

    def release(self, hold_id: str) -> None:
        self._connection.execute(delete(t.hold_slots).where(t.hold_slots.c.hold_id == hold_id))
        self._connection.execute(
            update(t.holds).where(t.holds.c.id == hold_id).values(state="released")
        )

    def book(self, hold_id: str) -> None:
        self._connection.execute(
            update(t.holds).where(t.holds.c.id == hold_id).values(state="booked")
        )

    def expired(self, moment: datetime) -> list[Hold]:
        query = (
            select(t.holds)
            .where(t.holds.c.state == "active", t.holds.c.expires_at <= moment)
            .order_by(t.holds.c.expires_at, t.holds.c.id)
        )
        return [_hold(row) for row in self._connection.execute(query).mappings()]

    def starting(self, since: datetime, until: datetime) -> list[Hold]:
        query = (
            select(t.holds)
            .where(
                t.holds.c.state.in_(_KEPT),
                t.holds.c.starts_at >= since,
                t.holds.c.starts_at < until,
            )
            .order_by(t.holds.c.starts_at, t.holds.c.id)
        )
        return [_hold(row) for row in self._connection.execute(query).mappings()]
