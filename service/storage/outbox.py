"""Owed steps, and answers by idempotency key, in SQL."""

from collections.abc import Callable
from dataclasses import fields
from datetime import datetime

from sqlalchemy import Connection, RowMapping, func, insert, or_, select, update
from sqlalchemy.exc import IntegrityError

from service.leads.lead import NotFound
from service.leads.repositories import Answered
from service.leads.steps import Step, StepKind, StepState
from service.storage import tables as t
from service.storage.ids import fresh_id

_STEP_FIELDS = tuple(f.name for f in fields(Step))


def _step(row: RowMapping) -> Step:
    values = {name: row[name] for name in _STEP_FIELDS}
    values["kind"] = StepKind(row["kind"])
    values["state"] = StepState(row["state"])
    return Step(**values)


class SqlOutbox:
    """`service.leads.repositories.Outbox`. `handed` gets the steps to queue after the commit."""

    def __init__(self, connection: Connection, handed: Callable[[Step], None]) -> None:
        self._connection = connection
        self._handed = handed

    def owe(
        self,
        kind: StepKind,
        subject_id: str,
        *,
        lane: str,
        now: datetime,
        due_at: datetime | None = None,
    ) -> None:
        step_id = fresh_id()
        self._connection.execute(
            insert(t.steps).values(
                id=step_id,
                kind=kind,
                subject_id=subject_id,
                lane=lane,
                state=StepState.OWED,
                attempts=0,
                fence=0,
                due_at=due_at or now,
                maybe_done=False,
            )
        )
        self._handed(self.get(step_id))

    def settle(self, kind: StepKind, subject_id: str) -> None:
        c = t.steps.c
        self._connection.execute(
            update(t.steps)
            .where(c.subject_id == subject_id, c.kind == kind, c.state != StepState.DONE)
            .values(state=StepState.DONE, lease_until=None)
        )

    def get(self, step_id: str, *, lock: bool = False) -> Step:
        query = select(t.steps).where(t.steps.c.id == step_id)
        query = query.with_for_update() if lock else query
        row = self._connection.execute(query).mappings().one_or_none()
        if row is None:
            raise NotFound("There is no such step.")
        return _step(row)

    def save(self, step: Step) -> None:
        self._connection.execute(
            update(t.steps)
            .where(t.steps.c.id == step.id)
            .values(
                state=step.state,
                attempts=step.attempts,
                fence=step.fence,
                due_at=step.due_at,
                lease_until=step.lease_until,
                maybe_done=step.maybe_done,
                last_error=step.last_error,
            )
        )

    def first_owed(self, lane: str) -> Step | None:
        query = (
            select(t.steps)
            .where(t.steps.c.lane == lane, t.steps.c.state == StepState.OWED)
            .order_by(t.steps.c.position)
            .limit(1)
        )
        row = self._connection.execute(query).mappings().one_or_none()
        return None if row is None else _step(row)

    def hand_over(self, step: Step) -> None:
        self._handed(step)

    def due(self, now: datetime, *, limit: int) -> list[Step]:
        query = (
            select(t.steps)
            .where(
                t.steps.c.state == StepState.OWED,
                t.steps.c.due_at <= now,
                or_(t.steps.c.lease_until.is_(None), t.steps.c.lease_until <= now),
            )
            .order_by(t.steps.c.position)
            .limit(limit)
        )
        return [_step(row) for row in self._connection.execute(query).mappings()]

    def count_open(self, now: datetime) -> dict[StepState, int]:
        query = (
            select(t.steps.c.state, func.count())
            .where(
                t.steps.c.state != StepState.DONE,
                or_(t.steps.c.kind != StepKind.REMIND, t.steps.c.due_at <= now),
            )
            .group_by(t.steps.c.state)
        )
        return {StepState(state): count for state, count in self._connection.execute(query)}

    def dead(self, *, limit: int) -> list[Step]:
        query = (
            select(t.steps)
            .where(t.steps.c.state == StepState.DEAD)
            .order_by(t.steps.c.position.desc())
            .limit(limit)
        )
        return [_step(row) for row in self._connection.execute(query).mappings()]


class SqlAnswers:
    """`service.leads.repositories.Answers` over a connection."""

    def __init__(self, connection: Connection) -> None:
        self._connection = connection

    def find(self, scope: str, key: str) -> Answered | None:
        query = select(t.answers).where(t.answers.c.scope == scope, t.answers.c.key == key)
        row = self._connection.execute(query).mappings().one_or_none()
        if row is None:
            return None
        return Answered(fingerprint=row["fingerprint"], status=row["status"], body=row["body"])

    def store(self, scope: str, key: str, answered: Answered, now: datetime) -> bool:
        try:
            with self._connection.begin_nested():
                self._connection.execute(
                    insert(t.answers).values(
                        scope=scope,
                        key=key,
                        fingerprint=answered.fingerprint,
                        status=answered.status,
                        body=answered.body,
                        created_at=now,
                    )
                )
        except IntegrityError:
            return False
        return True
