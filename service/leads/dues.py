"""Whose account is open: what clients still owe, and what has to go back to them."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from itertools import islice

from service.leads import paying
from service.leads.accounts import Account
from service.leads.lead import Lead, NotFound
from service.leads.ports import Ports, UnitOfWork
from service.leads.shop_time import today_at

# Of jobs done longer ago than a year the account stands on the job's own page.
_LOOKED_BACK = timedelta(days=366)
_MOST_LOOKED_AT = 40


@dataclass(frozen=True, kw_only=True, slots=True)
class Due:
    """An open account: by when it is to be settled, None where the event has no day yet."""

    lead: Lead
    account: Account
    on: date | None
    overdue: bool


def dues(work: UnitOfWork, ports: Ports, *, now: datetime) -> list[Due]:
    """Open accounts: first what has to go back, then what is due, the earliest first."""
    today = today_at(now, ports.price_books.current())
    ids = work.payments.to_settle(since=today - _LOOKED_BACK)
    return _in_order(_open(work, ports, ids, today))


def overdue(work: UnitOfWork, ports: Ports, *, now: datetime, most: int) -> list[Due]:
    """At most so many accounts that should have been settled by now, those of the latest jobs.

    In the order of `dues`. To make up an account takes its time: only so many are looked at.
    """
    current = ports.price_books.current()
    today = today_at(now, current)
    until = today + timedelta(days=current.booking.balance_days_before)
    ids = work.payments.to_settle(since=today - _LOOKED_BACK, until=until)
    found = _open(work, ports, ids[:_MOST_LOOKED_AT], today)
    late = (due for due in found if due.overdue or due.account.owed_back)
    return _in_order(islice(late, most))


def _in_order(found: Iterable[Due]) -> list[Due]:
    return sorted(
        found, key=lambda due: (not due.account.owed_back, due.on or date.max, due.lead.number)
    )


def _open(work: UnitOfWork, ports: Ports, lead_ids: Iterable[str], today: date) -> Iterator[Due]:
    for lead_id in lead_ids:
        lead = work.leads.get(lead_id)
        try:
            quote = paying.quote_of(work, lead_id)
        except NotFound:
            continue
        account = paying.of_lead(work, lead, quote)
        if not account.owed_back and not account.due:
            continue
        on = None
        if account.due:
            on = paying.due_on(work, ports, lead, quote, work.holds.of_lead(lead_id))
        yield Due(lead=lead, account=account, on=on, overdue=on is not None and on < today)
