"""Recording what clients pay and what goes back to them; the deposit books a held date."""

from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from decimal import Decimal

from service.leads import booking, follow_up, money_wording
from service.leads.accounts import BACK, Account, missing_deposit
from service.leads.balances import day_of, due_on, of_lead
from service.leads.lead import (
    Change,
    Hold,
    Lead,
    LeadError,
    LeadState,
    NotFound,
    Quote,
    StaleDecision,
)
from service.leads.messages import Message
from service.leads.payments import Payment, PaymentKind
from service.leads.ports import Ports, UnitOfWork
from service.leads.shop_time import today_at
from service.leads.telling import tell_client
from service.leads.words import money

__all__ = [
    "Doubtful",
    "Entry",
    "NotRecordable",
    "Seen",
    "day_of",
    "doubt",
    "due_on",
    "of_lead",
    "quote_of",
    "record",
    "refuse_impossible",
    "refuse_stale",
    "taken_back",
    "void",
]

_RECORDED = {
    PaymentKind.DEPOSIT: "recorded the deposit",
    PaymentKind.BALANCE: "recorded a payment",
    PaymentKind.FEE: "recorded a fee",
    PaymentKind.REFUND: "recorded a refund",
    PaymentKind.GIFT: "recorded money given back",
}
_LONG_AGO = timedelta(days=2 * 366)


class Doubtful(LeadError):
    """The amount is not what was to be expected; the text asks whether it is right."""


class NotRecordable(LeadError):
    """What was entered cannot be; `field` is what to mend."""

    def __init__(self, field: str, text: str) -> None:
        super().__init__(text)
        self.field = field


@dataclass(frozen=True, kw_only=True, slots=True)
class Entry:
    """What somebody records. `id` was made for the page: a second press has the same."""

    id: str
    kind: PaymentKind
    amount: Decimal
    paid_on: date
    method: str
    reference: str


@dataclass(frozen=True, kw_only=True, slots=True)
class Seen:
    """What whoever decides was looking at: the quote's number and the hold's id, if any."""

    quote: str
    hold: str | None


def record(
    work: UnitOfWork,
    ports: Ports,
    lead_id: str,
    entry: Entry,
    *,
    seen: Seen,
    who: str,
    now: datetime,
    sure: bool = False,
) -> Payment:
    """Record an entry and tell the client. A deposit on a held date books it.

    The same entry again changes nothing. Raises StaleDecision, NotFound, NotRecordable, and
    Doubtful unless `sure`.
    """
    lead = work.leads.get(lead_id, lock=True)
    quote = quote_of(work, lead_id)
    payment = _payment(lead, quote, entry, who, now)
    before = work.payments.find(entry.id)
    if before is not None:
        return _same(before, payment)
    hold = refuse_stale(work, lead, quote, seen)
    so_far = of_lead(work, lead, quote)
    refuse_impossible(entry, so_far, today_at(now, ports.price_books.current()))
    asked = doubt(entry, quote, so_far)
    if asked and not sure:
        raise Doubtful(asked)
    work.payments.add(payment)
    _note(work, payment, _RECORDED[entry.kind], who, now)
    if entry.kind is PaymentKind.DEPOSIT and lead.state is LeadState.HELD and hold is not None:
        booking.book(work, ports, lead, paid=entry.amount, who=who, now=now)
    else:
        _tell(work, ports, lead, quote, payment, now)
    follow_up.arrange(work, ports, lead_id, now=now)
    return payment


def void(
    work: UnitOfWork, ports: Ports, lead_id: str, payment_id: str, *, who: str, now: datetime
) -> Payment:
    """An entry was a mistake: it stays, struck through, and counts for nothing.

    Voiding it again changes nothing. The client is not told: what was wrong is the owner's to say,
    and `taken_back` has words for it.
    """
    work.leads.get(lead_id, lock=True)
    payment = work.payments.find(payment_id)
    if payment is None or payment.lead_id != lead_id:
        raise NotFound("There is no such entry.")
    if payment.voided_at is None:
        work.payments.void(payment_id, now)
        _note(work, payment, f"struck out: {_RECORDED[payment.kind]}", who, now)
        follow_up.arrange(work, ports, lead_id, now=now)
    return replace(payment, voided_at=payment.voided_at or now)


def taken_back(work: UnitOfWork, ports: Ports, lead_id: str, payment_id: str) -> Message | None:
    """Words for the client, who was told of an entry that was struck out since; None for others."""
    lead, payment = work.leads.get(lead_id), work.payments.find(payment_id)
    if payment is None or payment.lead_id != lead_id or payment.voided_at is None:
        return None
    due, on = _still_due(work, ports, lead, quote_of(work, lead_id))
    words = ports.wording.in_language(lead.language)
    return money_wording.taken_back(payment, words, due=due, on=on)


def quote_of(work: UnitOfWork, lead_id: str) -> Quote:
    """The price that was agreed, the newest that the client has. Raises NotFound."""
    quote = work.quotes.latest(lead_id, sent=True)
    if quote is None:
        raise NotFound("This request has no price yet.")
    return quote


def refuse_stale(work: UnitOfWork, lead: Lead, quote: Quote, seen: Seen) -> Hold | None:
    """The hold, if it and the price are still what was looked at. Raises StaleDecision."""
    hold = work.holds.of_lead(lead.id)
    if (seen.quote, seen.hold) != (quote.number, hold and hold.id):
        raise StaleDecision("The date or the price has changed in the meantime. Look again.")
    return hold


def refuse_impossible(entry: Entry, so_far: Account, today: date) -> None:
    """Raises NotRecordable for an amount or a day that cannot be."""
    if entry.amount <= 0:
        raise NotRecordable("amount", "The amount has to be above zero.")
    if entry.kind is PaymentKind.GIFT:
        most = max(Decimal(0), so_far.paid - so_far.refunded - so_far.owed_back)
        if entry.amount > most:
            said = money(most, so_far.currency)
            raise NotRecordable("amount", f"No more than {said} of the price can be given back.")
    if entry.paid_on > today:
        raise NotRecordable("paid_on", "That day is still to come.")
    if entry.paid_on < today - _LONG_AGO:
        raise NotRecordable("paid_on", "That day is very long ago. Check the year.")


def doubt(entry: Entry, quote: Quote, so_far: Account) -> str | None:
    """A question where the amount is not what was to be expected."""
    said = money(entry.amount, quote.currency)
    if entry.kind is PaymentKind.REFUND:
        if entry.amount <= so_far.owed_back:
            return None
        owed = money(so_far.owed_back, quote.currency)
        again = money(entry.amount - so_far.owed_back, quote.currency)
        return (
            f"{owed} is to go back to the client. {again} would be due from them again, unless "
            f"it lowers the price. Is {said} right?"
        )
    if entry.kind is PaymentKind.GIFT:
        owed = money(so_far.owed_back, quote.currency)
        asked = f"{owed} still has to go back to the client besides. Is {said} right?"
        return asked if so_far.owed_back else None
    if entry.amount > so_far.due:
        due = money(so_far.due, quote.currency)
        return f"Only {due} is still due. Is {said} right?"
    missing = missing_deposit(quote, so_far)
    if entry.kind is PaymentKind.DEPOSIT and entry.amount < missing:
        return f"The deposit is {money(missing, quote.currency)}. Is {said} right?"
    return None


def _payment(lead: Lead, quote: Quote, entry: Entry, who: str, now: datetime) -> Payment:
    return Payment(
        id=entry.id,
        lead_id=lead.id,
        kind=entry.kind,
        amount=entry.amount,
        currency=quote.currency,
        paid_on=entry.paid_on,
        method=entry.method,
        reference=entry.reference,
        recorded_at=now,
        recorded_by=who,
    )


def _same(before: Payment, again: Payment) -> Payment:
    shown = ("lead_id", "kind", "amount", "paid_on", "method", "reference")
    if any(getattr(before, name) != getattr(again, name) for name in shown):
        raise StaleDecision("Another entry was recorded from that page already. Look again.")
    return before


def _note(work: UnitOfWork, payment: Payment, what: str, who: str, now: datetime) -> None:
    detail = {"amount": f"{payment.amount:.2f}", "method": payment.method}
    work.leads.note(payment.lead_id, Change(at=now, who=who, what=what, detail=detail))


def _tell(
    work: UnitOfWork, ports: Ports, lead: Lead, quote: Quote, payment: Payment, now: datetime
) -> None:
    words = ports.wording.in_language(lead.language)
    due, on = _still_due(work, ports, lead, quote)
    say = money_wording.sent_back if payment.kind in BACK else money_wording.received
    tell_client(work, lead, say(payment, words, due=due, on=on), now=now)


def _still_due(
    work: UnitOfWork, ports: Ports, lead: Lead, quote: Quote
) -> tuple[Decimal, date | None]:
    due = of_lead(work, lead, quote).due
    hold = work.holds.of_lead(lead.id)
    return due, due_on(work, ports, lead, quote, hold) if due else None
