"""What is done with a lead: taking it, the owner's decision, its links."""

from collections.abc import Mapping
from dataclasses import replace
from datetime import datetime, timedelta
from decimal import ROUND_CEILING, Decimal

from service.estimating import Brief, PriceBook
from service.leads import addresses, booking, follow_up, repositories, stocking, wording
from service.leads.lead import (
    CLIENT,
    OWNER,
    REPLACED,
    Change,
    Client,
    Lead,
    LeadState,
    LostBecause,
    MoveRefused,
    NotFound,
    PriceLine,
    Quote,
    QuoteKind,
    StaleDecision,
)
from service.leads.pictures import picture_of
from service.leads.ports import Ports, UnitOfWork
from service.leads.price_books import book_of
from service.leads.price_lines import compared, line_changes, lines_of, total_of
from service.leads.shop_time import end_of_day
from service.leads.steps import StepKind
from service.leads.telling import tell_client

QUOTE_LINK = repositories.QUOTE_LINK
BOOKING_LINK = repositories.BOOKING_LINK
STATUS_LINK = "status"
WELCOME_LINK = "welcome"

_CENT = Decimal("0.01")

_REPLACEABLE = frozenset({LeadState.NEW, LeadState.REVIEW, LeadState.QUOTED})
_KEPT_AS_THEY_ARE = frozenset({LeadState.HELD, LeadState.BOOKED})

REPLACED_BY = "replaced by another request"
"""In the history of a request whose place was taken; the detail says by which."""

# Long enough to come back to after the event has been talked over at home.
_STATUS_LASTS = timedelta(days=90)


def take_lead(
    work: UnitOfWork,
    *,
    lead_id: str,
    brief: Brief,
    client: Client,
    channel: str,
    chat_id: str | None,
    language: str,
    revises: bool = False,
    source: str | None = None,
    now: datetime,
) -> Lead:
    """Store a new lead and owe its ballpark, in one transaction.

    With `revises` it takes the place of the chat's newest request before it, unless a date is
    held for that one: then the owner and the client sort it out.
    """
    lead = work.leads.add(
        Lead(
            id=lead_id,
            number="",
            state=LeadState.NEW,
            channel=channel,
            chat_id=chat_id or lead_id,
            language=language,
            client=client,
            brief=brief,
            created_at=now,
            source=source,
        )
    )
    work.leads.note(lead.id, Change(at=now, who=CLIENT, what="asked"))
    work.outbox.owe(StepKind.QUOTE, lead.id, lane=f"lead:{lead.id}", now=now)
    if revises:
        _replace_earlier(work, lead, now)
    return lead


def _replace_earlier(work: UnitOfWork, lead: Lead, now: datetime) -> None:
    newest_first = work.leads.of_chat(lead.channel, lead.chat_id)
    before = next((each for each in newest_first if each.id != lead.id), None)
    if before is None:
        return
    # Read again under the lock: a date may just have been held for it.
    before = work.leads.get(before.id, lock=True)
    if before.state not in _REPLACEABLE:
        return
    work.leads.save(replace(before, state=LeadState.LAPSED, lost_because=REPLACED))
    change = Change(at=now, who=CLIENT, what=REPLACED_BY, detail={"by": lead.id})
    work.leads.note(before.id, change)
    follow_up.drop_all(work, before.id, now=now)


def replaced_by(work: UnitOfWork, lead: Lead) -> Lead | None:
    """The request that took this one's place, or that the owner made it a part of."""
    if lead.merged_into is not None:
        return work.leads.get(lead.merged_into)
    for change in reversed(work.leads.history(lead.id)):
        if change.what == REPLACED_BY:
            return work.leads.get(change.detail["by"])
    return None


def firm_before(work: UnitOfWork, lead: Lead) -> Quote | None:
    """The firm price of a request that this one took the place of, where one was out."""
    for other in work.leads.of_chat(lead.channel, lead.chat_id):
        newer = replaced_by(work, other) if other.lost_because == REPLACED else None
        if newer is None or newer.id != lead.id:
            continue
        quote = work.quotes.latest(other.id, sent=True)
        return quote if quote is not None and quote.kind is QuoteKind.FIRM else None
    return None


def send_firm(
    work: UnitOfWork,
    ports: Ports,
    *,
    lead_id: str,
    basis_number: str | None,
    price: Decimal | None,
    reason: str | None,
    text: str | None,
    now: datetime,
    lines: tuple[PriceLine, ...] | None = None,
    who: str = OWNER,
) -> Lead:
    """The owner confirms the price, or changes it or its lines; the client gets a firm quote.

    `basis_number` is the quote that the owner was looking at: a second press of the same
    button, or a decision on an old page, is refused with StaleDecision. With `lines` the price is
    what they come to. A date that is held or booked stays so.
    """
    lead = work.leads.get(lead_id, lock=True)
    refuse_if_gone(work, lead)
    if lead.state not in _KEPT_AS_THEY_ARE:
        lead = replace(lead.moved_to(LeadState.QUOTED), lost_because=None)
    basis = work.quotes.latest(lead_id)
    if basis is None:
        raise NotFound("There is no estimate to confirm yet. Wait for it, or decline the lead.")
    refuse_stale(basis, basis_number)
    quote = work.quotes.add(_firm(ports, basis, price=price, lines=lines, text=text, now=now))
    hold = booking.refit(work, ports, lead, quote, who=who, now=now)
    if lead.state is LeadState.BOOKED:
        stocking.take_out(work, lead, quote.estimate, who=who, now=now)
    work.leads.save(lead)
    detail = {"price": str(quote.likely), "reason": reason or "", **_changed(ports, basis, quote)}
    work.leads.note(lead.id, Change(at=now, who=who, what="sent a firm quote", detail=detail))
    url, booking_url = addresses.fresh(work, ports, lead, quote)
    said = ports.wording.in_language(lead.language)
    to_book = None if lead.state is LeadState.BOOKED else booking_url
    message = wording.firm(
        quote,
        ports.price_books.current(),
        said,
        url=url,
        booking_url=to_book,
        kept=hold if lead.state is LeadState.HELD else None,
    )
    shown = replace(message, picture=picture_of(quote, said, url=url))
    tell_client(work, lead, shown, now=now)
    follow_up.arrange(work, ports, lead.id, now=now)
    return lead


def _firm(
    ports: Ports,
    basis: Quote,
    *,
    price: Decimal | None,
    lines: tuple[PriceLine, ...] | None,
    text: str | None,
    now: datetime,
) -> Quote:
    book = book_of(ports.price_books, basis)
    # A price alone says nothing of the lines that made up another one.
    kept = basis.lines if price is None or price == basis.likely else None
    amount = total_of(lines) if lines is not None else price or basis.likely
    return replace(
        basis,
        id=ports.new_id(),
        kind=QuoteKind.FIRM,
        low=amount,
        likely=amount,
        high=amount,
        deposit=deposit_of(amount, book),
        created_at=now,
        sent_at=now,
        expires_at=end_of_day(now + book.calendar.quote_valid, book),
        note=text,
        lines=kept if lines is None else compared(lines, lines_of(basis, book.shop.owner)),
    )


def _changed(ports: Ports, basis: Quote, quote: Quote) -> Mapping[str, list[str]]:
    """Which lines the owner changed, for the history."""
    if quote.lines is None:
        return {}
    owner = ports.price_books.current().shop.owner
    return {"lines": [*line_changes(lines_of(basis, owner), quote.lines, quote.currency)]}


def refuse_stale(newest: Quote, seen: str | None) -> None:
    """Raises StaleDecision where `seen`, the number that was looked at, is not the newest one."""
    if seen is None or seen == newest.number:
        return
    what = "has gone out already" if newest.sent_at else "has been worked out since"
    raise StaleDecision(f"Quote {newest.number} {what}. Look again.")


def refuse_if_gone(work: UnitOfWork, lead: Lead) -> None:
    """Raises StaleDecision for a request that was erased, or has become a part of another."""
    if lead.erased_at is not None:
        raise StaleDecision(f"{lead.number} has been erased. There is nothing to decide any more.")
    if lead.merged_into is not None:
        kept = work.leads.get(lead.merged_into)
        raise StaleDecision(f"{lead.number} has become a part of {kept.number}. Decide there.")


def decline(
    work: UnitOfWork,
    ports: Ports,
    *,
    lead_id: str,
    text: str | None,
    now: datetime,
    because: LostBecause = LostBecause.OTHER,
    reason: str = "",
    basis_number: str | None = None,
    who: str = OWNER,
) -> Lead:
    """The owner says no, kindly, and for the record why; a held date is free again.

    `basis_number` is the quote that the owner was looking at, as of `send_firm`.
    """
    lead = work.leads.get(lead_id, lock=True)
    refuse_if_gone(work, lead)
    if lead.state is LeadState.BOOKED:
        # What was paid has to be settled: that is canceling, see `cancelling`.
        raise MoveRefused(lead.state, LeadState.DECLINED)
    lead = replace(lead.moved_to(LeadState.DECLINED), lost_because=because)
    newest = work.quotes.latest(lead_id)
    if newest is not None:
        refuse_stale(newest, basis_number)
    lead = booking.release(work, ports, lead, who=who, now=now)
    work.leads.save(lead)
    work.outbox.settle(StepKind.QUOTE, lead.id)
    detail = {"because": because.value, "reason": reason}
    work.leads.note(lead.id, Change(at=now, who=who, what="declined", detail=detail))
    book, said = ports.price_books.current(), ports.wording.in_language(lead.language)
    tell_client(work, lead, wording.declined(book, text=text, words=said), now=now)
    follow_up.arrange(work, ports, lead.id, now=now)
    return lead


def open_status(work: UnitOfWork, ports: Ports, lead_id: str, *, now: datetime) -> str:
    """A fresh address of the page on which a website client follows a request."""
    expires_at = now + _STATUS_LASTS
    link_id = work.links.add(purpose=STATUS_LINK, subject_id=lead_id, expires_at=expires_at)
    return f"{ports.public_url}/requests/{ports.signer.sign(link_id, purpose=STATUS_LINK)}"


def lead_of_link(work: UnitOfWork, ports: Ports, token: str, *, purpose: str) -> Lead:
    """The lead that a signed link opens. Raises NotFound or LinkExpired."""
    link_id = ports.signer.read(token, purpose=purpose)
    return work.leads.get(work.links.find(link_id, purpose=purpose, now=ports.clock()))


def deposit_of(amount: Decimal, book: PriceBook) -> Decimal:
    """The deposit on a price, in the price book's steps: up, as an estimate's is."""
    step = book.policy.deposit_rounding
    steps = (amount * book.policy.deposit_share / step).to_integral_value(ROUND_CEILING)
    return min(steps * step, amount).quantize(_CENT)
