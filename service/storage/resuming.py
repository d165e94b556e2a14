"""What has to change in a shop that goes on from an older state, whose clients may know better.

After the moment of that state the shop went on: sent what was owed, took money, reminded. So what
would be pushed to a client waits for the owner, and no date is given away for want of a deposit.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime, timedelta

from sqlalchemy import Connection, and_, delete, select, update

from service.leads.lead import HoldState
from service.leads.messages import PUSH_CHANNELS
from service.leads.reminders import State
from service.leads.steps import HELD_BACK, StepKind, StepState
from service.storage import tables as t

# Whoever holds a date may have paid since: there is time to look until it is given away.
_SOON, _TO_LOOK = timedelta(days=1), timedelta(days=3)


@dataclass(frozen=True, kw_only=True, slots=True)
class Resumed:
    """What was done: deliveries and prices that wait for the owner, holds made longer, reminders
    taken out, "stop"s kept, sessions ended."""

    deliveries: int
    prices: int
    holds: int
    reminders: int
    stops: int
    sessions: int


def resume(connection: Connection, *, stopped: Iterable[tuple[str, str]], now: datetime) -> Resumed:
    """Hold back what may have been said since, and keep who said "stop".

    What was owed through a push channel waits for the owner: deliveries, and prices too, whose
    delivery would follow. Reminders that fell due meanwhile are taken out. Dates whose
    hold is over, or soon will be, stay held for three days: the deposit may have come. Prices that
    are only shown where the client looks are worked out.
    """
    return Resumed(
        deliveries=_hold_deliveries(connection),
        prices=_hold_prices(connection),
        holds=_hold_longer(connection, now),
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


def _hold_prices(connection: Connection) -> int:
    c = t.steps.c
    pushed = select(t.leads.c.id).where(t.leads.c.channel.in_(PUSH_CHANNELS))
    return connection.execute(
        update(t.steps)
        .where(c.kind == StepKind.QUOTE, c.state == StepState.OWED, c.subject_id.in_(pushed))
        .values(state=StepState.DEAD, lease_until=None, last_error=HELD_BACK)
    ).rowcount


def _hold_longer(connection: Connection, now: datetime) -> int:
    c = t.holds.c
    return connection.execute(
        update(t.holds)
        .where(c.state == HoldState.ACTIVE, c.expires_at <= now + _SOON)
        .values(expires_at=now + _TO_LOOK)
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
