"""What needs the owner now, the most pressing first."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from service.leads.dues import Due, overdue
from service.leads.finding import Listed, Wanted
from service.leads.lead import Hold, Lead
from service.leads.messages import Calling
from service.leads.ports import Ports, UnitOfWork
from service.leads.shop_time import today_at
from service.leads.steps import Step

MOST_SHOWN = 50
"""Of each kind; more than one can take in at once."""

MOST_STUCK = 20
"""Steps that were given up, and steps in doubt; the list of what is stuck has all of them."""

# Longer than any hold lasts: all of them are shown.
_HOLDS_LAST = timedelta(days=366)
_FRESH_FOR = timedelta(days=7)
_MOST_FRESH = 5
_TOLD_WITHIN = timedelta(days=30)
_MOST_UNTOLD = 5
_MOST_LATE = 5


@dataclass(frozen=True, kw_only=True, slots=True)
class Call:
    """A client who asks for the owner, with their requests, newest first."""

    calling: Calling
    leads: Sequence[Lead]


@dataclass(frozen=True, kw_only=True, slots=True)
class Ending:
    """A date that is held without a deposit, until it runs out."""

    row: Listed
    hold: Hold


@dataclass(frozen=True, kw_only=True, slots=True)
class Needs:
    """What the owner should look at; `more_…` where there are even more.

    `overdue` is money that should have come, or gone back. Of `untold` jobs nobody has told yet
    what they took; nobody is asked for ever, but there may be `more_untold`. `in_doubt` are steps
    that will be tried again though they may have reached the client already. `answers_owed` while
    a price or a message is on its way.
    """

    calls: tuple[Call, ...]
    more_calls: bool
    waiting: tuple[Listed, ...]
    more_waiting: bool
    ending: tuple[Ending, ...]
    fresh: tuple[Listed, ...]
    overdue: tuple[Due, ...]
    more_overdue: bool
    untold: tuple[Listed, ...]
    more_untold: bool
    stuck: tuple[Step, ...]
    in_doubt: tuple[Step, ...]
    more_stuck: bool
    answers_owed: bool


def needs(work: UnitOfWork, ports: Ports, *, now: datetime) -> Needs:
    """Everything that waits, as it stands."""
    today = today_at(now, ports.price_books.current())
    calling = work.chats.calling(limit=MOST_SHOWN + 1)
    waiting = work.listing.waiting(today=today, limit=MOST_SHOWN + 1)
    untold = _untold(work, today)
    dead = work.outbox.dead(limit=MOST_STUCK + 1)
    doubtful = work.outbox.in_doubt(limit=MOST_STUCK + 1)
    late = overdue(work, ports, now=now, most=_MOST_LATE + 1)
    return Needs(
        calls=_calls(work, calling[:MOST_SHOWN]),
        more_calls=len(calling) > MOST_SHOWN,
        waiting=waiting[:MOST_SHOWN],
        more_waiting=len(waiting) > MOST_SHOWN,
        ending=_ending(work, now),
        fresh=work.listing.unanswered(since=now - _FRESH_FOR, limit=_MOST_FRESH),
        overdue=tuple(late[:_MOST_LATE]),
        more_overdue=len(late) > _MOST_LATE,
        untold=untold,
        more_untold=_more_untold(work, len(untold)),
        stuck=tuple(dead[:MOST_STUCK]),
        in_doubt=tuple(doubtful[:MOST_STUCK]),
        more_stuck=max(len(dead), len(doubtful)) > MOST_STUCK,
        answers_owed=work.outbox.answers_owed(),
    )


def _calls(work: UnitOfWork, calling: Sequence[Calling]) -> tuple[Call, ...]:
    leads = work.listing.of_chats([(one.channel, one.chat_id) for one in calling])
    return tuple(Call(calling=one, leads=leads[one.channel, one.chat_id]) for one in calling)


def _untold(work: UnitOfWork, today: date) -> tuple[Listed, ...]:
    found = work.actuals.untold(since=today - _TOLD_WITHIN, limit=_MOST_UNTOLD)
    rows = {row.lead.id: row for row in work.listing.listed(found)}
    return tuple(rows[lead_id] for lead_id in found)


def _more_untold(work: UnitOfWork, shown: int) -> bool:
    found = work.listing.find(Wanted(untold=True), after=None, limit=shown + 1)
    return len(found.rows) > shown


def _ending(work: UnitOfWork, now: datetime) -> tuple[Ending, ...]:
    holds = work.holds.ending_soon(now, now + _HOLDS_LAST)[:MOST_SHOWN]
    rows = {row.lead.id: row for row in work.listing.listed([hold.lead_id for hold in holds])}
    return tuple(Ending(row=rows[hold.lead_id], hold=hold) for hold in holds)
