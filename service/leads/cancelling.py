"""A booking that is called off, and a date that is changed by the shop's rules."""

from dataclasses import dataclass, replace
from datetime import datetime
from decimal import ROUND_HALF_UP, Decimal
from enum import StrEnum

from service.estimating import Setting
from service.estimating.book import BookingRules
from service.leads import booking, follow_up, money_wording, paying, terms
from service.leads.accounts import CANCELED, FEE, KEPT
from service.leads.lead import (
    Change,
    Hold,
    Lead,
    LeadError,
    LeadState,
    LostBecause,
    MoveRefused,
    NotFound,
    Quote,
    StaleDecision,
)
from service.leads.paying import Seen
from service.leads.ports import Ports, UnitOfWork
from service.leads.price_books import book_of
from service.leads.shop_time import today_at, zone_of
from service.leads.telling import tell_client

_CENT = Decimal("0.01")
_NOTHING = Decimal(0)

_MOVABLE = (LeadState.HELD, LeadState.BOOKED)


class Wish(StrEnum):
    """Who calls a booking off."""

    CLIENT = "client"
    SHOP = "shop"


class Why(StrEnum):
    """Why a date is changed."""

    CLIENT = "client"
    SHOP = "shop"
    WEATHER = "weather"


class ReasonNeeded(LeadError):
    """What is done differs from the shop's own rules, and it is not said why."""


class TooMuchBack(LeadError):
    """More is to go back than came."""


@dataclass(frozen=True, kw_only=True, slots=True)
class Proposal:
    """What the shop's rules return to a client who cancels today.

    Of the deposit `share` goes back, and all that was paid beyond it; fees for changes that were
    made stay. `days_before` the event; `paid` is what the shop has of the client now.
    """

    days_before: int | None
    share: Decimal
    deposit: Decimal
    paid: Decimal
    returned: Decimal

    @property
    def kept(self) -> Decimal:
        """What the shop keeps."""
        return self.paid - self.returned


@dataclass(frozen=True, kw_only=True, slots=True)
class Cancelled:
    """A booking that was called off: when, by whose wish, what the shop keeps."""

    at: datetime
    by: Wish
    kept: Decimal
    returned: Decimal


@dataclass(frozen=True, kw_only=True, slots=True)
class Cancellation:
    """What the owner decides: `returned` to the client, why that much, and a word to them."""

    by: Wish
    returned: Decimal
    reason: str = ""
    text: str = ""


def proposal(work: UnitOfWork, ports: Ports, lead: Lead, by: Wish, *, now: datetime) -> Proposal:
    """What the rules that were agreed return today; all of it where the shop cancels."""
    quote = paying.quote_of(work, lead.id)
    account = paying.of_lead(work, lead, quote)
    paid = account.paid - account.refunded
    days = days_before(work, ports, lead, quote, now)
    rules = book_of(ports.price_books, quote).booking
    share = Decimal(1) if by is Wish.SHOP else _share(rules, days)
    fees = _NOTHING if by is Wish.SHOP else min(account.fees, paid)
    deposit = min(quote.deposit, paid - fees)
    kept = fees + (deposit * (1 - share)).quantize(_CENT, ROUND_HALF_UP)
    return Proposal(days_before=days, share=share, deposit=deposit, paid=paid, returned=paid - kept)


def cancel(
    work: UnitOfWork,
    ports: Ports,
    lead_id: str,
    decided: Cancellation,
    *,
    seen: Seen,
    who: str,
    now: datetime,
) -> Lead:
    """Call a booking off: date, equipment and stock are free again, and the client is told.

    Raises MoveRefused, StaleDecision, TooMuchBack, or ReasonNeeded where other than the rules say
    goes back and no reason is given.
    """
    lead = work.leads.get(lead_id, lock=True)
    if lead.state is not LeadState.BOOKED:
        raise MoveRefused(lead.state, LeadState.DECLINED)
    quote = paying.quote_of(work, lead_id)
    hold = paying.refuse_stale(work, lead, quote, seen)
    usual = proposal(work, ports, lead, decided.by, now=now)
    if not 0 <= decided.returned <= usual.paid:
        raise TooMuchBack("No more than what was paid can go back.")
    if decided.returned != usual.returned and not decided.reason:
        raise ReasonNeeded("Say why it is not what your rules return, for your own record.")
    if hold is None:
        raise NotFound("Nothing is booked for this request any more.")
    day = hold.window.starts_at.astimezone(zone_of(ports.price_books.current())).date()
    lead = booking.release(work, ports, lead, now=now, who=who)
    because = (
        LostBecause.CLIENT_CANCELLED if decided.by is Wish.CLIENT else LostBecause.SHOP_CANCELLED
    )
    lead = replace(lead.moved_to(LeadState.DECLINED), lost_because=because)
    work.leads.save(lead)
    detail = {
        "by": decided.by.value,
        KEPT: str(usual.paid - decided.returned),
        "returned": str(decided.returned),
        "why": decided.reason,
    }
    work.leads.note(lead_id, Change(at=now, who=who, what=CANCELED, detail=detail))
    told = money_wording.canceled(
        day,
        decided.returned,
        usual.paid,
        quote.currency,
        ports.price_books.current(),
        ports.wording.in_language(lead.language),
        by_client=decided.by is Wish.CLIENT,
        text=decided.text or None,
    )
    tell_client(work, lead, told, now=now)
    follow_up.arrange(work, ports, lead_id, now=now)
    return lead


def cancelled(work: UnitOfWork, lead_id: str) -> Cancelled | None:
    """How a booking was called off, if it was."""
    for change in reversed(work.leads.history(lead_id)):
        if change.what == CANCELED:
            return Cancelled(
                at=change.at,
                by=Wish(change.detail["by"]),
                kept=Decimal(change.detail[KEPT]),
                returned=Decimal(change.detail["returned"]),
            )
    return None


def fee_to_move(work: UnitOfWork, ports: Ports, lead: Lead, why: Why, *, now: datetime) -> Decimal:
    """What changing the date costs the client today: nothing unless it is a client's own wish."""
    if why is not Why.CLIENT or lead.state is not LeadState.BOOKED:
        return _NOTHING
    quote = paying.quote_of(work, lead.id)
    days = days_before(work, ports, lead, quote, now)
    rules = book_of(ports.price_books, quote).booking
    return _NOTHING if days is None else rules.fee_to_move(days)


def may_wait_for_weather(lead: Lead) -> bool:
    """Whether the weather can be a reason: it goes up outdoors."""
    return lead.brief.site.setting is Setting.OUTDOOR


def move(
    work: UnitOfWork,
    ports: Ports,
    lead_id: str,
    *,
    starts_at: datetime,
    why: Why,
    fee: Decimal,
    seen: Seen,
    who: str,
    now: datetime,
    reason: str = "",
) -> Hold:
    """Change the date; `fee` is what the owner was shown, or nothing, `reason` why that is.

    The time that it has already changes nothing. Raises StaleDecision where the date, the price or
    the fee has changed since, WindowTaken where the time is not free, MoveRefused where nothing is
    held.
    """
    lead = work.leads.get(lead_id, lock=True)
    if lead.state not in _MOVABLE:
        raise MoveRefused(lead.state, LeadState.HELD)
    quote = paying.quote_of(work, lead_id)
    before = paying.refuse_stale(work, lead, quote, seen)
    if before is not None and before.window.starts_at == starts_at:
        return before
    usual = fee_to_move(work, ports, lead, why, now=now)
    if fee not in (usual, _NOTHING):
        raise StaleDecision("The fee for another date has changed. Look again.")
    # First, so that what the client reads to be due has the fee in it.
    _note_terms(work, lead_id, why=why, fee=fee, usual=usual, reason=reason, who=who, now=now)
    hold = booking.move(work, ports, lead_id, starts_at=starts_at, who=who, now=now)
    _tell_of_terms(work, ports, work.leads.get(lead_id), quote, why=why, fee=fee, now=now)
    follow_up.arrange(work, ports, lead_id, now=now)
    return hold


def days_before(
    work: UnitOfWork, ports: Ports, lead: Lead, quote: Quote, now: datetime
) -> int | None:
    """How many days there are until the event; None where its day is not known."""
    book = ports.price_books.current()
    day = paying.day_of(lead, quote, work.holds.of_lead(lead.id), book)
    return None if day is None else (day - today_at(now, book)).days


def _share(rules: BookingRules, days: int | None) -> Decimal:
    return _NOTHING if days is None else rules.returned_share(days)


def _note_terms(
    work: UnitOfWork,
    lead_id: str,
    *,
    why: Why,
    fee: Decimal,
    usual: Decimal,
    reason: str,
    who: str,
    now: datetime,
) -> None:
    detail = {"why": reason} if reason else {}
    if why is Why.WEATHER:
        what = "moved it for the weather"
    elif fee:
        what, detail = "charged a fee for the new date", detail | {FEE: str(fee)}
    elif usual:
        what = "asked no fee for the new date"
    else:
        return
    work.leads.note(lead_id, Change(at=now, who=who, what=what, detail=detail))


def _tell_of_terms(
    work: UnitOfWork,
    ports: Ports,
    lead: Lead,
    quote: Quote,
    *,
    why: Why,
    fee: Decimal,
    now: datetime,
) -> None:
    words = ports.wording.in_language(lead.language)
    if why is Why.WEATHER:
        clause = terms.weather(book_of(ports.price_books, quote), lead.language)
        tell_client(work, lead, money_wording.moved_for_weather(clause, words), now=now)
    elif fee:
        tell_client(work, lead, money_wording.fee_for_moving(fee, quote.currency, words), now=now)
