"""Making the reminders that a request wants, and dropping those that it does not want any more."""

from collections.abc import Iterable
from dataclasses import replace
from datetime import datetime, timedelta
from typing import TypeVar

from service.leads import balances
from service.leads.follow_up.planning import Standing, planned
from service.leads.lead import Lead, LeadState, Quote
from service.leads.ports import Ports, UnitOfWork
from service.leads.reminders import Kind, Planned, Reminder, State
from service.leads.steps import StepKind

# A reminder that is planned as often as the clock ticks must not be moved for a rounding.
_SAME = timedelta(seconds=1)

# What a reminder is about: its kind and basis.
Thing = tuple[Kind, str]
_Any = TypeVar("_Any", Planned, Reminder)


def arrange(work: UnitOfWork, ports: Ports, lead_id: str, *, now: datetime) -> None:
    """Look at how a request stands and make or drop its reminders; repeatable.

    Call it under the request's lock, after everything else about it is stored. Nobody is told
    anything here.
    """
    wanted = wants(work, ports, work.leads.get(lead_id))
    kept = by_thing(work.reminders.of_lead(lead_id))
    for key, reminder in kept.items():
        if key not in wanted and reminder.state is State.OWED:
            drop(work, reminder, now)
    for key, plan in wanted.items():
        if now < plan.until:
            _keep(work, ports, lead_id, plan, kept.get(key), now)


def arrange_first(
    work: UnitOfWork, ports: Ports, lead: Lead, quote: Quote, *, now: datetime
) -> None:
    """The same for a request whose first quote, this one, has just gone out.

    It has no reminders and holds no date yet, and nobody can have answered.
    """
    stopped = work.chats.stopped_at(lead.channel, lead.chat_id) is not None
    standing = Standing(
        lead=lead, quote=quote, hold=None, heard_at=None, stopped=stopped, due_on=None
    )
    for plan in planned(standing, ports.price_books.current()):
        if now < plan.until:
            _keep(work, ports, lead.id, plan, None, now)


def drop_all(work: UnitOfWork, lead_id: str, *, now: datetime) -> None:
    """A request that came to its end wants no reminders."""
    for reminder in work.reminders.of_lead(lead_id):
        if reminder.state is State.OWED:
            drop(work, reminder, now)


def wants(work: UnitOfWork, ports: Ports, lead: Lead) -> dict[Thing, Planned]:
    """What a request wants as it stands, by what it is about."""
    quote = work.quotes.latest(lead.id, sent=True)
    hold = work.holds.of_lead(lead.id)
    owes = (
        quote is not None
        and lead.state is LeadState.BOOKED
        and balances.of_lead(work, lead, quote).due > 0
    )
    standing = Standing(
        lead=lead,
        quote=quote,
        hold=hold,
        heard_at=work.chats.heard_at(lead.channel, lead.chat_id),
        stopped=work.chats.stopped_at(lead.channel, lead.chat_id) is not None,
        due_on=balances.due_on(work, ports, lead, quote, hold) if quote and owes else None,
    )
    return by_thing(planned(standing, ports.price_books.current()))


def by_thing(many: Iterable[_Any]) -> dict[Thing, _Any]:
    """Reminders, planned or kept, by what they are about."""
    return {(each.kind, each.basis): each for each in many}


def drop(
    work: UnitOfWork, reminder: Reminder, now: datetime, *, state: State = State.DROPPED
) -> None:
    """What was owed is not wanted."""
    work.reminders.save(replace(reminder, state=state, closed_at=now))
    work.outbox.settle(StepKind.REMIND, reminder.id)


def put_off(work: UnitOfWork, reminder: Reminder, due_at: datetime, now: datetime) -> None:
    """It is owed at another time."""
    work.outbox.settle(StepKind.REMIND, reminder.id)
    owed = replace(reminder, state=State.OWED, due_at=due_at, closed_at=None)
    work.reminders.save(owed)
    _owe(work, owed, now)


def _keep(
    work: UnitOfWork,
    ports: Ports,
    lead_id: str,
    plan: Planned,
    before: Reminder | None,
    now: datetime,
) -> None:
    if before is None:
        made = Reminder(
            id=ports.new_id(),
            lead_id=lead_id,
            kind=plan.kind,
            basis=plan.basis,
            due_at=plan.due_at,
            state=State.OWED,
            made_at=now,
        )
        work.reminders.add(made)
        _owe(work, made, now)
    elif before.state is State.DROPPED or (
        before.state is State.OWED and abs(before.due_at - plan.due_at) >= _SAME
    ):
        put_off(work, before, plan.due_at, now)


def _owe(work: UnitOfWork, reminder: Reminder, now: datetime) -> None:
    lane = f"reminder:{reminder.id}"
    work.outbox.owe(StepKind.REMIND, reminder.id, lane=lane, now=now, due_at=reminder.due_at)
