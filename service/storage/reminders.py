"""Reminders in SQL."""

from collections.abc import Iterable
from datetime import datetime

from sqlalchemy import Connection, RowMapping, Select, insert, select, update

from service.leads.lead import NotFound
from service.leads.reminders import Kind, Reminder, State
from service.leads.steps import StepKind, StepState
from service.storage import tables as t

_ADD = insert(t.reminders)
_STORED = ("id", "lead_id", "basis", "due_at", "made_at", "closed_at", "message_id")


def _reminder(row: RowMapping) -> Reminder:
    kind, state = Kind(row["kind"]), State(row["state"])
    return Reminder(kind=kind, state=state, **{name: row[name] for name in _STORED})


class SqlReminders:
    """`service.leads.reminders.Reminders`; a unique constraint keeps out a second."""

    def __init__(self, connection: Connection) -> None:
        self._connection = connection

    def add(self, reminder: Reminder) -> None:
        row = {name: getattr(reminder, name) for name in _STORED}
        row |= {"kind": reminder.kind, "state": reminder.state}
        self._connection.execute(_ADD, row)

    def get(self, reminder_id: str) -> Reminder:
        query = select(t.reminders).where(t.reminders.c.id == reminder_id)
        row = self._connection.execute(query).mappings().one_or_none()
        if row is None:
            raise NotFound("There is no such reminder.")
        return _reminder(row)

    def save(self, reminder: Reminder) -> None:
        self._connection.execute(
            update(t.reminders)
            .where(t.reminders.c.id == reminder.id)
            .values(
                due_at=reminder.due_at,
                state=reminder.state,
                closed_at=reminder.closed_at,
                message_id=reminder.message_id,
            )
        )

    def of_lead(self, lead_id: str) -> list[Reminder]:
        c = t.reminders.c
        return self._all(select(t.reminders).where(c.lead_id == lead_id).order_by(c.due_at, c.id))

    def owed(self, *, limit: int) -> list[Reminder]:
        c = t.reminders.c
        query = select(t.reminders).where(c.state == State.OWED).order_by(c.due_at, c.id)
        return self._all(query.limit(limit))

    def closed(self, *, limit: int) -> list[Reminder]:
        c = t.reminders.c
        query = select(t.reminders).where(c.state.in_((State.SENT, State.SKIPPED)))
        return self._all(query.order_by(c.closed_at.desc(), c.id).limit(limit))

    def sent_between(self, since: datetime, until: datetime) -> list[Reminder]:
        c = t.reminders.c
        query = select(t.reminders).where(
            c.state == State.SENT, c.closed_at >= since, c.closed_at < until
        )
        return self._all(query.order_by(c.closed_at, c.id))

    def undelivered(self, *, limit: int) -> list[Reminder]:
        c, s = t.reminders.c, t.steps.c
        given_up = (s.subject_id == c.message_id) & (s.kind == StepKind.DELIVER)
        query = (
            select(t.reminders)
            .join(t.steps, given_up)
            .where(c.state == State.SENT, s.state == StepState.DEAD)
            .order_by(c.closed_at.desc(), c.id)
            .limit(limit)
        )
        return self._all(query)

    def _all(self, query: Select[tuple[object, ...]]) -> list[Reminder]:
        rows: Iterable[RowMapping] = self._connection.execute(query).mappings()
        return [_reminder(row) for row in rows]
