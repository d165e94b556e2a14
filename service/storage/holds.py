"""Held set-up windows in SQL."""

from collections.abc import Iterable
from datetime import date, datetime
from typing import Any

from sqlalchemy import Connection, RowMapping, and_, bindparam, delete, func, insert, select, update
from sqlalchemy.dialects.postgresql import insert as pg_insert
from sqlalchemy.dialects.sqlite import insert as sqlite_insert
from sqlalchemy.exc import IntegrityError

from service.leads.lead import Client, Hold, HoldState, LeadState, Stay, Window, WindowTaken
from service.leads.stays import Keeps, slots
from service.storage import tables as t
from service.storage.leads import client_json

_KEPT = (HoldState.ACTIVE, HoldState.BOOKED)

# Made once: every reply asks both, and to put one together takes as long as to run it.
_OF_LEAD = select(t.holds).where(
    t.holds.c.lead_id == bindparam("of_lead"), t.holds.c.state.in_(_KEPT)
)
_BETWEEN = (
    select(t.holds)
    .where(
        t.holds.c.state.in_(_KEPT),
        t.holds.c.leaves_at < bindparam("until"),
        t.holds.c.returns_at > bindparam("since"),
    )
    .order_by(t.holds.c.starts_at, t.holds.c.id)
)


class SqlHolds:
    """`service.leads.repositories.Holds`.

    The primary keys of `hold_slots` and `equipment_slots` refuse what overlaps.
    """

    def __init__(self, connection: Connection) -> None:
        self._connection = connection

    def lock_days(self, days: Iterable[date]) -> None:
        names = [{"day": day.isoformat()} for day in sorted(set(days))]
        # One by one and in order, so that two clients cannot wait for one another.
        for name in names:
            self._connection.execute(self._unless_there().values(name))
        wanted = select(t.calendar_days).where(
            t.calendar_days.c.day.in_([name["day"] for name in names])
        )
        self._connection.execute(wanted.order_by(t.calendar_days.c.day).with_for_update()).all()

    def add(self, hold: Hold, *, keeps: Keeps) -> None:
        try:
            # A savepoint: PostgreSQL would otherwise refuse all that follows a failed insert.
            with self._connection.begin_nested():
                self._connection.execute(insert(t.holds).values(_row(hold)))
                self._keep(hold, keeps)
        except IntegrityError:
            raise WindowTaken("That set-up time has just been taken. Pick another one.") from None

    def of_lead(self, lead_id: str) -> Hold | None:
        row = self._connection.execute(_OF_LEAD, {"of_lead": lead_id}).mappings().first()
        return None if row is None else _hold(row)

    def newest_of_lead(self, lead_id: str) -> Hold | None:
        query = (
            select(t.holds)
            .where(t.holds.c.lead_id == lead_id)
            .order_by(t.holds.c.revision.desc())
            .limit(1)
        )
        row = self._connection.execute(query).mappings().first()
        return None if row is None else _hold(row)

    def between(self, since: datetime, until: datetime) -> list[Hold]:
        rows = self._connection.execute(_BETWEEN, {"since": since, "until": until}).mappings()
        return [_hold(row) for row in rows]

    def units_out(
        self, items: Iterable[str], since: datetime, until: datetime
    ) -> list[tuple[str, str, int]]:
        wanted, touched = t.equipment_slots.c, slots(since, until)
        query = (
            select(wanted.hold_id, wanted.item, wanted.unit)
            .where(
                wanted.item.in_(list(items)),
                wanted.slot >= touched.start,
                wanted.slot < touched.stop,
            )
            .distinct()
        )
        return [(row.hold_id, row.item, row.unit) for row in self._connection.execute(query)]

    def changed(self, since: datetime) -> list[Hold]:
        newest = (
            select(t.holds.c.lead_id, func.max(t.holds.c.revision).label("revision"))
            .group_by(t.holds.c.lead_id)
            .subquery()
        )
        query = (
            select(t.holds)
            .join(
                newest,
                and_(
                    newest.c.lead_id == t.holds.c.lead_id,
                    newest.c.revision == t.holds.c.revision,
                ),
            )
            .where(t.holds.c.changed_at >= since)
            .order_by(t.holds.c.changed_at, t.holds.c.id)
        )
        return self._holds(query)

    def ending_soon(self, now: datetime, until: datetime) -> list[Hold]:
        return [hold for hold in self.expired(until) if hold.expires_at > now]

    def count_ending(self, now: datetime, until: datetime | None = None) -> int:
        query = select(func.count()).where(
            t.holds.c.state == HoldState.ACTIVE, t.holds.c.expires_at > now
        )
        if until is not None:
            query = query.where(t.holds.c.expires_at <= until)
        return self._connection.execute(query).scalar_one()

    def expired(self, moment: datetime) -> list[Hold]:
        query = (
            select(t.holds)
            .where(t.holds.c.state == HoldState.ACTIVE, t.holds.c.expires_at <= moment)
            .order_by(t.holds.c.expires_at, t.holds.c.id)
        )
        return self._holds(query)

    def over(self, moment: datetime, *, limit: int) -> list[Hold]:
        # By the leads that are booked: bookings of the past stay what they are.
        query = (
            select(t.holds)
            .join(t.leads, t.leads.c.id == t.holds.c.lead_id)
            .where(
                t.leads.c.state == LeadState.BOOKED,
                t.holds.c.state == HoldState.BOOKED,
                t.holds.c.returns_at <= moment,
            )
            .order_by(t.holds.c.returns_at, t.holds.c.id)
            .limit(limit)
        )
        return self._holds(query)

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
        return self._holds(query)

    def save(self, hold: Hold) -> None:
        if hold.state not in _KEPT:
            for kept in (t.hold_slots, t.equipment_slots):
                self._connection.execute(delete(kept).where(kept.c.hold_id == hold.id))
        self._connection.execute(update(t.holds).where(t.holds.c.id == hold.id).values(_row(hold)))

    def _keep(self, hold: Hold, keeps: Keeps) -> None:
        hours = [
            {"slot": slot, "crew": hold.crew, "hold_id": hold.id} for slot in sorted(keeps.slots)
        ]
        self._connection.execute(insert(t.hold_slots), hours)
        out = [
            {"item": item, "unit": unit, "slot": slot, "hold_id": hold.id}
            for item, unit in sorted(keeps.units)
            for slot in keeps.out
        ]
        if out:
            self._connection.execute(insert(t.equipment_slots), out)

    def _unless_there(self) -> Any:
        made = pg_insert if self._connection.dialect.name == "postgresql" else sqlite_insert
        return made(t.calendar_days).on_conflict_do_nothing()

    def _holds(self, query: Any) -> list[Hold]:
        return [_hold(row) for row in self._connection.execute(query).mappings()]


def _hold(row: RowMapping) -> Hold:
    known = row["latitude"] is not None
    return Hold(
        id=row["id"],
        lead_id=row["lead_id"],
        quote_id=row["quote_id"],
        window=Window(starts_at=row["starts_at"], ends_at=row["ends_at"]),
        stay=Stay(
            leaves_at=row["leaves_at"],
            free_at=row["free_at"],
            strikes_at=row["strikes_at"],
            struck_at=row["struck_at"],
            returns_at=row["returns_at"],
        ),
        expires_at=row["expires_at"],
        client=Client(**row["client"]),
        made_at=row["made_at"],
        changed_at=row["changed_at"],
        state=HoldState(row["state"]),
        revision=row["revision"],
        crew=row["crew"],
        position=(row["latitude"], row["longitude"]) if known else None,
    )


def _row(hold: Hold) -> dict[str, Any]:
    latitude, longitude = hold.position or (None, None)
    return {
        "id": hold.id,
        "lead_id": hold.lead_id,
        "quote_id": hold.quote_id,
        "starts_at": hold.window.starts_at,
        "ends_at": hold.window.ends_at,
        "leaves_at": hold.stay.leaves_at,
        "free_at": hold.stay.free_at,
        "strikes_at": hold.stay.strikes_at,
        "struck_at": hold.stay.struck_at,
        "returns_at": hold.stay.returns_at,
        "expires_at": hold.expires_at,
        "client": client_json(hold.client),
        "state": hold.state,
        "crew": hold.crew,
        "latitude": latitude,
        "longitude": longitude,
        "revision": hold.revision,
        "made_at": hold.made_at,
        "changed_at": hold.changed_at,
    }
