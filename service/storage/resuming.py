"""What has to change in a shop that goes on from an older state, so that nobody hears twice."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import Connection, and_, delete, select, update

from service.leads.reminders import State
from service.leads.steps import StepKind, StepState
from service.storage import tables as t

HELD_BACK = "restored from a backup: it may have been sent since then"


@dataclass(frozen=True, kw_only=True, slots=True)
class Resumed:
    """What was done: deliveries and reminders held back, "stop"s kept, sessions ended."""

    deliveries: int
    reminders: int
    stops: int
    sessions: int


def resume(connection: Connection, *, stopped: Iterable[tuple[str, str]], now: datetime) -> Resumed:
    """Hold back what may have been said since, and keep who said "stop".

    Deliveries that were owed wait for the owner; reminders that fell due meanwhile are taken
    out. Prices that are owed are worked out: nobody has seen them in this state of the shop.
    """
    return Resumed(
        deliveries=_hold_deliveries(connection),
        reminders=_skip_reminders(connection, now),
        stops=sum(_stop(connection, *chat, now) for chat in stopped),
        sessions=connection.execute(delete(t.desk_sessions)).rowcount,
    )


def _hold_deliveries(connection: Connection) -> int:
    c = t.steps.c
    return connection.execute(
        update(t.steps)
        .where(c.kind == StepKind.DELIVER, c.state == StepState.OWED)
        .values(state=StepState.DEAD, lease_until=None, maybe_done=True, last_error=HELD_BACK)
    ).rowcount


def _skip_reminders(connection: Connection, now: datetime) -> int:
    c = t.reminders.c
    due = and_(c.state == State.OWED, c.due_at <= now)
    of_them = select(c.id).where(due)
    connection.execute(
        update(t.steps)
        .where(t.steps.c.kind == StepKind.REMIND, t.steps.c.subject_id.in_(of_them))
        .values(state=StepState.DONE, lease_until=None)
    )
    skipped = update(t.reminders).where(due).values(state=State.SKIPPED, closed_at=now)
    return connection.execute(skipped).rowcount


def _stop(connection: Connection, channel: str, chat_id: str, now: datetime) -> int:
    c = t.conversations.c
    this = and_(c.channel == channel, c.chat_id == chat_id, c.stopped_at.is_(None))
    return connection.execute(update(t.conversations).where(this).values(stopped_at=now)).rowcount
