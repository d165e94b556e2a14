"""The page of a held or booked job."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from datetime import datetime
from decimal import Decimal
from http import HTTPStatus
from itertools import groupby
from typing import Any

from fastapi import APIRouter, Response

from service.leads import agenda, cancelling, paying, terms, words
from service.leads.accounts import Account, missing_deposit
from service.leads.agenda import Block, Job, Part
from service.leads.cancelling import Why, Wish
from service.leads.lead import Hold, Lead, LeadState, NotFound, Quote
from service.leads.paying import Seen
from service.leads.payments import Payment, PaymentKind
from service.leads.ports import UnitOfWork
from service.leads.price_books import book_of
from service.pages.desk.access import Desk, SignedIn
from service.pages.desk.bookings.choosing import times_on
from service.pages.desk.chat import Chat
from service.pages.desk.conversation import talk_of
from service.pages.desk.strips import PARTS, assumed
from service.pages.desk.wording import STATES, WHO
from service.pages.form.days import day_in
from service.pages.posted import Posted

router = APIRouter(prefix="/bookings")

KINDS: Mapping[PaymentKind, str] = {
    PaymentKind.DEPOSIT: "the deposit",
    PaymentKind.BALANCE: "the rest, or part of it",
    PaymentKind.FEE: "a fee for a change",
    PaymentKind.GIFT: "money off, sent back: the price is lower by it",
    PaymentKind.REFUND: "a refund of what was paid too much, or is owed again",
}

_DONE = {
    "booked": "The deposit is recorded and the date is booked. The client has been told.",
    "recorded": "Recorded, and the client has been told.",
    "voided": "Struck out: it counts for nothing now.",
    "held": "The time is held, and the client has been told.",
    "moved": "The date is changed, and the client has been told.",
    "released": "The date is free again, and the client has been told.",
    "canceled": "The booking is canceled, and the client has been told.",
}

_HAS_A_DATE = (LeadState.HELD, LeadState.BOOKED)


@dataclass(frozen=True, kw_only=True, slots=True)
class Entered:
    """What was typed into the form named, what is wrong with it, and a question about it."""

    form: str = ""
    values: Mapping[str, str] = field(default_factory=dict)
    faults: Mapping[str, str] = field(default_factory=dict)
    asked: str = ""


@dataclass(frozen=True, kw_only=True, slots=True)
class Asked:
    """What the page's address asks for: times of a day, what a cancellation comes to, or words
    about an entry that was struck out."""

    day: str = ""
    why: str = ""
    cancel: str = ""
    struck: str = ""


@dataclass(frozen=True, kw_only=True, slots=True)
class _Open:
    """A job whose page is shown, within one unit of work."""

    desk: Desk
    work: UnitOfWork
    lead: Lead
    quote: Quote
    hold: Hold | None
    account: Account
    payments: list[Payment]


@router.get("/{lead_id}")
def booking_page(
    lead_id: str,
    desk: SignedIn,
    done: str = "",
    day: str = "",
    why: str = "",
    cancel: str = "",
    struck: str = "",
) -> Response:
    """The job. Changes nothing, whatever the address asks for."""
    asked = Asked(day=day, why=why, cancel=cancel, struck=struck)
    return show(desk, lead_id, notice=_DONE.get(done), asked=asked)


def seen_in(sent: Posted) -> Seen:
    """What the owner was looking at. An empty quote's number fits none."""
    return Seen(quote=sent.text("basis"), hold=sent.text("hold") or None)


def show(
    desk: Desk,
    lead_id: str,
    *,
    asked: Asked | None = None,
    notice: str | None = None,
    trouble: str | None = None,
    entered: Entered | None = None,
    status: HTTPStatus = HTTPStatus.OK,
) -> Response:
    """The job's page, with what was asked for, done, or entered."""
    with desk.visit.ports.read() as work:
        try:
            job = _opened(desk, work, lead_id)
        except NotFound:
            return desk.trouble(
                HTTPStatus.NOT_FOUND,
                "There is no booking here",
                "Either there is no such request, or its price is not out yet.",
            )
        return desk.show(
            "desk/booking.html",
            status=status,
            notice=notice,
            trouble=trouble,
            entered=entered or Entered(),
            faults=(entered or Entered()).faults,
            **_values(job, asked or Asked()),
        )


def _opened(desk: Desk, work: UnitOfWork, lead_id: str) -> _Open:
    lead = work.leads.get(lead_id)
    quote = paying.quote_of(work, lead_id)
    return _Open(
        desk=desk,
        work=work,
        lead=lead,
        quote=quote,
        hold=work.holds.of_lead(lead_id),
        account=paying.of_lead(work, lead, quote),
        payments=work.payments.of_lead(lead_id),
    )


def _values(job: _Open, asked: Asked) -> dict[str, Any]:
    lead, work = job.lead, job.work
    canceled = cancelling.cancelled(work, lead.id) if lead.state is LeadState.DECLINED else None
    return {
        "lead": lead,
        "quote": job.quote,
        "hold": job.hold,
        "state": STATES[lead.standing],
        "off": lead.state in (LeadState.DECLINED, LeadState.LAPSED),
        "canceled": canceled,
        "canceled_on": canceled and words.day(_local(job, canceled.at).date()),
        "path": f"/desk/bookings/{lead.id}",
        **_date_values(job),
        **_money_values(job),
        **_moving_values(job, asked),
        **_holding_values(job, asked),
        **_cancel_values(job, asked),
        **_telling_values(job, asked),
    }


def _date_values(job: _Open) -> dict[str, Any]:
    visit = job.desk.visit
    planned = agenda.of_lead(job.work, visit.book, job.lead, visit.now)
    accepted = terms.accepted(job.work, job.lead.id)
    return {
        "days": list(_days(planned, job)) if planned else [],
        "unmade": planned.unmade.total_seconds() / 3600 if planned else 0,
        "kit": sorted(planned.kit.items()) if planned else [],
        "day": planned and _local(job, planned.hold.window.starts_at).date().isoformat(),
        "until": job.hold and words.moment(_local(job, job.hold.expires_at)),
        "accepted": accepted and words.day(_local(job, accepted.at).date()),
    }


def _days(planned: Job, job: _Open) -> Iterator[tuple[str, list[tuple[str, str]]]]:
    """Each day of the stay with its parts and their hours."""
    blocks = groupby(planned.blocks, key=lambda block: _local(job, block.starts_at).date())
    for day, some in blocks:
        hours = [(PARTS[block.part].capitalize(), _hours(block, job)) for block in some]
        yield words.day(day), hours


def _hours(block: Block, job: _Open) -> str:
    starts, ends = _local(job, block.starts_at), _local(job, block.ends_at)
    if block.part is Part.LEAVE or block.open_end:
        return words.clock(starts.time())
    ending = words.clock(ends.time()) if ends.date() == starts.date() else words.moment(ends)
    return f"{words.clock(starts.time())} to {ending}{assumed(block, job.desk.visit.zone)}"


def _money_values(job: _Open) -> dict[str, Any]:
    account, visit = job.account, job.desk.visit
    due_on = paying.due_on(job.work, visit.ports, job.lead, job.quote, job.hold)
    # Of what is nobody's date any more nothing is due.
    missing = missing_deposit(job.quote, account)
    kind = _likeliest(job)
    amounts = {
        PaymentKind.DEPOSIT: missing or account.due,
        PaymentKind.BALANCE: account.due,
        PaymentKind.REFUND: account.owed_back,
        # How much the shop gives away is the owner's to say.
        PaymentKind.GIFT: Decimal(0),
    }
    return {
        "account": account,
        "payments": [_row(job, each) for each in job.payments],
        "due_on": due_on and words.day(due_on),
        "overdue": bool(account.due and due_on and due_on < visit.now.date()),
        "pay_to": terms.pay_to(book_of(visit.ports.price_books, job.quote), "en"),
        "kinds": KINDS,
        "kind": kind,
        "amount": amounts[kind] or "",
        "nonce": visit.ports.new_id(),
        "today": visit.now.date().isoformat(),
    }


def _likeliest(job: _Open) -> PaymentKind:
    if job.account.owed_back or job.lead.state is LeadState.DECLINED:
        return PaymentKind.REFUND
    if job.lead.state in (LeadState.BOOKED, LeadState.DONE):
        return PaymentKind.BALANCE if job.account.due else PaymentKind.GIFT
    return PaymentKind.DEPOSIT


def _row(job: _Open, payment: Payment) -> dict[str, Any]:
    return {
        "id": payment.id,
        "kind": payment.kind.value,
        "amount": payment.amount,
        "day": words.day(payment.paid_on),
        "about": ", ".join(filter(None, (payment.method, payment.reference))),
        "by": WHO.get(payment.recorded_by, payment.recorded_by),
        "voided": payment.voided_at and words.day(_local(job, payment.voided_at).date()),
    }


def _moving_values(job: _Open, asked: Asked) -> dict[str, Any]:
    visit, lead = job.desk.visit, job.lead
    values: dict[str, Any] = {
        "can_move": job.hold is not None and lead.state in _HAS_A_DATE,
        "can_wait": cancelling.may_wait_for_weather(lead),
        "asked": asked,
        "times": None,
        "fee": Decimal(0),
        "clause": "",
    }
    day = day_in(asked.day)
    if day is None or not values["can_move"] or asked.why not in tuple(Why):
        return values
    kept = job.hold.window if job.hold else None
    values["times"] = times_on(job.work, visit, lead, job.quote, day, without=kept)
    values["fee"] = cancelling.fee_to_move(
        job.work, visit.ports, lead, Why(asked.why), now=visit.now
    )
    if asked.why == Why.WEATHER:
        values["clause"] = terms.weather(book_of(visit.ports.price_books, job.quote), lead.language)
    return values


def _holding_values(job: _Open, asked: Asked) -> dict[str, Any]:
    """Times to hold for a client who holds none: of the day asked for, or of the event's."""
    lead, visit = job.lead, job.desk.visit
    if job.hold is not None or not lead.can_become(LeadState.HELD):
        return {"can_hold": False}
    day = day_in(asked.day) or lead.brief.event.date
    times = times_on(job.work, visit, lead, job.quote, day) if day else None
    return {"can_hold": True, "to_hold": times}


def _cancel_values(job: _Open, asked: Asked) -> dict[str, Any]:
    booked = job.lead.state is LeadState.BOOKED
    proposal = None
    if booked and asked.cancel in tuple(Wish):
        ports, now = job.desk.visit.ports, job.desk.visit.now
        proposal = cancelling.proposal(job.work, ports, job.lead, Wish(asked.cancel), now=now)
    return {"can_cancel": booked, "proposal": proposal}


def _telling_values(job: _Open, asked: Asked) -> dict[str, Any]:
    ports, lead = job.desk.visit.ports, job.lead
    words_for_them = paying.taken_back(job.work, ports, lead.id, asked.struck)
    if words_for_them is None:
        return {"taken_back": ""}
    chat = Chat(channel=lead.channel, chat_id=lead.chat_id)
    return {"taken_back": words_for_them.text, "talk": talk_of(job.desk, job.work, chat)}


def _local(job: _Open, moment: datetime) -> datetime:
    return moment.astimezone(job.desk.visit.zone)
