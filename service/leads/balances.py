"""How a job's account stands, what is left after the deposit, and by when that is due."""

from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal

from service.estimating import PriceBook
from service.leads.accounts import (
    KEPT,
    Account,
    account,
    called_off,
    calling_off,
    fees_charged,
    missing_deposit,
)
from service.leads.lead import Hold, Lead, LeadState, Quote
from service.leads.ports import Ports, UnitOfWork
from service.leads.price_books import book_of
from service.leads.shop_time import today_at, zone_of


@dataclass(frozen=True, kw_only=True, slots=True)
class Rest:
    """What is left of a price once the deposit is in, and by when it is to be paid."""

    amount: Decimal
    currency: str
    on: date


def of_lead(work: UnitOfWork, lead: Lead, quote: Quote, *, without: str | None = None) -> Account:
    """The account of a job as it stands, or as it would stand `without` the entry of that id."""
    payments = [each for each in work.payments.of_lead(lead.id) if each.id != without]
    history = work.leads.history(lead.id)
    off = calling_off(history) if lead.state is LeadState.DECLINED else None
    if off is not None:
        kept = Decimal(str(off.detail[KEPT]))
        return called_off(quote, payments, kept=kept, since=off.at)
    if lead.state in (LeadState.DECLINED, LeadState.LAPSED):
        return called_off(quote, payments, kept=Decimal(0))
    return account(quote, payments, fees=fees_charged(history))


def day_of(lead: Lead, quote: Quote, hold: Hold | None, book: PriceBook) -> date | None:
    """The day of the event: the held one, or the one asked for."""
    if hold is not None:
        return hold.window.starts_at.astimezone(zone_of(book)).date()
    return quote.brief.event.date or lead.brief.event.date


def due_on(
    work: UnitOfWork, ports: Ports, lead: Lead, quote: Quote, hold: Hold | None
) -> date | None:
    """By when the rest of the price is due; None where the event has no day yet.

    So many days before the event, but never before the deposit: not before the hold's end, nor
    before the first money came. On the day of the event at the latest.
    """
    current = ports.price_books.current()
    day = day_of(lead, quote, hold, current)
    if day is None:
        return None
    rules = book_of(ports.price_books, quote).booking
    payments = work.payments.of_lead(lead.id)
    first = min((each.recorded_at for each in payments if not each.voided_at), default=None)
    ends = hold.expires_at if hold is not None else None
    deposit = [today_at(moment, current) for moment in (first, ends) if moment is not None]
    planned = day - timedelta(days=rules.balance_days_before)
    return min(day, max([planned, *deposit]))


def rest_of(work: UnitOfWork, ports: Ports, lead: Lead, quote: Quote, hold: Hold) -> Rest | None:
    """What a client who holds a date pays after the deposit; None where nothing is left."""
    so_far = of_lead(work, lead, quote)
    deposit = missing_deposit(quote, so_far) if lead.state is LeadState.HELD else Decimal(0)
    on = due_on(work, ports, lead, quote, hold)
    if on is None or so_far.due <= deposit:
        return None
    return Rest(amount=so_far.due - deposit, currency=quote.currency, on=on)
