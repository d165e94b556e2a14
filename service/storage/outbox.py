"""Owed steps, and answers by idempotency key, in SQL."""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import fields
from datetime import datetime
from typing import Any

from sqlalchemy import (
    ColumnElement,
    Connection,
    RowMapping,
    Select,
    and_,
    bindparam,
    exists,
    func,
    insert,
    or_,
    select,
    update,
)
from sqlalchemy.dialects import postgresql, sqlite

from service.contract import tracing
from service.leads.lead import NotFound
from service.leads.repositories import Answered
from service.leads.steps import (
    LEASE,
    LONGEST_PAUSE,
    SKEW,
    Doubtful,
    Owed,
    Step,
    StepKind,
    StepState,
)
from service.storage import tables as t
from service.storage.ids import fresh_id

_STEP_FIELDS = tuple(f.name for f in fields(Step))
_CHANGING = (
    *("state", "attempts", "fence", "due_at", "lease_until"),
    *("maybe_done", "last_error", "doubts", "doubtful_since"),
)

# Made once: every reply goes through each of them, and to put one together takes as long as to run.
_ONE = select(t.steps).where(t.steps.c.id == bindparam("step_id"))
_ONE_LOCKED = _ONE.with_for_update()
_ADD = insert(t.steps).returning(t.steps.c.position)
_SAVE = update(t.steps).where(t.steps.c.id == bindparam("step_id"))
_OF_LANE = (t.steps.c.lane == bindparam("lane"), t.steps.c.state == StepState.OWED)
_OLDER = (
    select(t.steps.c.position).where(*_OF_LANE, t.steps.c.position < bindparam("before")).limit(1)
)
_ANSWER = select(t.answers).where(
    t.answers.c.scope == bindparam("of_scope"), t.answers.c.key == bindparam("of_key")
)
_STORE = {
    dialect.dialect.name: dialect.insert(t.answers)
    .on_conflict_do_nothing()
    .returning(t.answers.c.key)
    for dialect in (sqlite, postgresql)
}
_FIRST = select(t.steps).where(*_OF_LANE).order_by(t.steps.c.position).limit(1)


def _step(row: RowMapping) -> Step:
    values = {name: row[name] for name in _STEP_FIELDS}
    values["kind"] = StepKind(row["kind"])
    values["state"] = StepState(row["state"])
    return Step(**values)


def _due(by: datetime) -> ColumnElement[bool]:
    return and_(t.steps.c.state == StepState.OWED, t.steps.c.due_at <= by)


def _free(now: datetime) -> ColumnElement[bool]:
    c = t.steps.c
    return or_(c.lease_until.is_(None), c.lease_until <= now, c.lease_until > now + LEASE + SKEW)


def _hidden(now: datetime) -> ColumnElement[bool]:
    """Due by a clock that was set back since then (`Step.was_due`)."""
    c = t.steps.c
    was_due = or_(
        and_(c.fence == 0, c.kind != StepKind.REMIND),
        c.lease_until.is_not(None),
        and_(c.fence > 0, c.due_at > now + LONGEST_PAUSE + SKEW),
    )
    return and_(c.state == StepState.OWED, c.due_at > now + SKEW, was_due)


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
        row: dict[str, Any] = {
            "id": fresh_id(),
            "kind": kind,
            "subject_id": subject_id,
            "lane": lane,
            "state": StepState.OWED,
            "attempts": 0,
            "fence": 0,
            "due_at": due_at or now,
            "maybe_done": False,
            "traceparent": tracing.header(),
        }
        added = self._connection.execute(_ADD, row)
        self._handed(Step(position=added.scalar_one(), **row))

    def settle(self, kind: StepKind, subject_id: str) -> None:
        c = t.steps.c
        self._connection.execute(
            update(t.steps)
            .where(c.subject_id == subject_id, c.kind == kind, c.state != StepState.DONE)
            .values(state=StepState.DONE, lease_until=None)
        )

    def get(self, step_id: str, *, lock: bool = False) -> Step:
        query = _ONE_LOCKED if lock else _ONE
        row = self._connection.execute(query, {"step_id": step_id}).mappings().one_or_none()
        if row is None:
            raise NotFound("There is no such step.")
        return _step(row)

    def save(self, step: Step) -> None:
        changed = {name: getattr(step, name) for name in _CHANGING}
        self._connection.execute(_SAVE, {"step_id": step.id, **changed})

    def extend(self, step_id: str, fence: int, *, until: datetime) -> bool:
        c = t.steps.c
        extended = self._connection.execute(
            update(t.steps)
            # A renewal that comes late must not hold up a step that was given back.
            .where(
                c.id == step_id,
                c.fence == fence,
                c.state == StepState.OWED,
                c.lease_until.is_not(None),
            )
            .values(lease_until=until)
        )
        return extended.rowcount == 1

    def first_owed(self, lane: str) -> Step | None:
        row = self._connection.execute(_FIRST, {"lane": lane}).mappings().one_or_none()
        return None if row is None else _step(row)

    def is_next(self, step: Step) -> bool:
        of_lane = {"lane": step.lane, "before": step.position}
        return self._connection.execute(_OLDER, of_lane).first() is None

    def hand_over(self, step: Step) -> None:
        self._handed(step)

    def due(self, now: datetime, *, limit: int) -> list[Step]:
        return self._all(select(t.steps).where(_due(now), _free(now)), limit)

    def stranded(self, due_until: datetime, *, now: datetime) -> Iterator[Step]:
        c, older = t.steps.c, t.steps.alias("older")
        ahead = exists().where(
            older.c.lane == c.lane,
            older.c.state == StepState.OWED,
            older.c.position < c.position,
        )
        due = or_(_due(due_until), _hidden(now))
        query = select(t.steps).where(due, _free(now), ~ahead).order_by(c.position)
        return map(_step, self._connection.execute(query).mappings())

    def _all(self, query: Select[tuple[object, ...]], limit: int) -> list[Step]:
        oldest_first = query.order_by(t.steps.c.position).limit(limit)
        return [_step(row) for row in self._connection.execute(oldest_first).mappings()]

    def ages(self, now: datetime) -> tuple[Owed, ...]:
        c = t.steps.c
        query = (
            select(c.kind, c.state, func.count(), func.min(c.due_at))
            .where(c.state.in_((StepState.OWED, StepState.DEAD)), c.due_at <= now)
            .group_by(c.kind, c.state)
            .order_by(c.kind, c.state)
        )
        return tuple(
            Owed(
                kind=StepKind(kind),
                state=StepState(state),
                count=count,
                oldest_s=(now - oldest).total_seconds() if state == StepState.OWED else 0.0,
            )
            for kind, state, count, oldest in self._connection.execute(query)
        )

    def unclear(self, now: datetime) -> Doubtful:
        c = t.steps.c
        query = (
            select(c.state, func.count(), func.min(c.doubtful_since))
            .where(c.doubts > 0)
            .group_by(c.state)
        )
        found = {state: (count, since) for state, count, since in self._connection.execute(query)}
        open_since = [
            since for state, (_, since) in found.items() if since and state != StepState.DONE
        ]
        counts = {state: count for state, (count, _) in found.items()}
        return Doubtful(
            owed=counts.get(StepState.OWED, 0) + self._just_cut_off(now),
            given_up=counts.get(StepState.DEAD, 0),
            settled=counts.get(StepState.DONE, 0),
            oldest_s=(now - min(open_since)).total_seconds() if open_since else 0.0,
        )

    def _just_cut_off(self, now: datetime) -> int:
        """Those in doubt that nobody has taken again yet, so that nobody has counted them."""
        c = t.steps.c
        query = select(func.count()).where(
            _due(now), c.lease_until <= now, c.maybe_done, c.doubts == 0
        )
        return self._connection.execute(query).scalar_one()

    def in_doubt(self, *, limit: int) -> list[Step]:
        c = t.steps.c
        query = select(t.steps).where(c.doubts > 0, c.state == StepState.OWED)
        newest_first = query.order_by(c.position.desc()).limit(limit)
        return [_step(row) for row in self._connection.execute(newest_first).mappings()]

    def troubled(
        self, *, limit: int, before: int | None = None, lanes: Sequence[str] | None = None
    ) -> list[Step]:
        c = t.steps.c
        doubtful = and_(c.state == StepState.OWED, c.doubts > 0)
        query = select(t.steps).where(or_(c.state == StepState.DEAD, doubtful))
        if before is not None:
            query = query.where(c.position < before)
        if lanes is not None:
            query = query.where(c.lane.in_(lanes))
        newest_first = query.order_by(c.position.desc()).limit(limit)
        return [_step(row) for row in self._connection.execute(newest_first).mappings()]

    def answers_owed(self) -> bool:
        c = t.steps.c
        query = select(c.position).where(
            c.state == StepState.OWED, c.kind.in_((StepKind.QUOTE, StepKind.DELIVER))
        )
        return self._connection.execute(query.limit(1)).first() is not None

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
        of = {"of_scope": scope, "of_key": key}
        row = self._connection.execute(_ANSWER, of).mappings().one_or_none()
        if row is None:
            return None
        return Answered(fingerprint=row["fingerprint"], status=row["status"], body=row["body"])

    def store(self, scope: str, key: str, answered: Answered, now: datetime) -> bool:
        row = {
            "scope": scope,
            "key": key,
            "fingerprint": answered.fingerprint,
            "status": answered.status,
            "body": answered.body,
            "created_at": now,
        }
        # A twin that is under way is waited for.
        stored = self._connection.execute(_STORE[self._connection.dialect.name], row)
        return stored.first() is not None
