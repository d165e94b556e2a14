"""What is done with a lead: taking it, the owner's decision, its addresses."""

from dataclasses import replace
from datetime import datetime, timedelta
from decimal import ROUND_HALF_UP, Decimal

from service.estimating import Brief, PriceBook
from service.leads import wording
from service.leads.lead import (
    Change,
    Client,
    Lead,
    LeadState,
    NotFound,
    Quote,
    QuoteKind,
    StaleDecision,
)
from service.leads.ports import Ports, UnitOfWork
from service.leads.shop_time import end_of_day
from service.leads.steps import StepKind
from service.leads.telling import tell_client

QUOTE_LINK = "quote"
BOOKING_LINK = "booking"
STATUS_LINK = "status"
WELCOME_LINK = "welcome"

_CENT = Decimal("0.01")

_REPLACEABLE = frozenset({LeadState.NEW, LeadState.REVIEW, LeadState.QUOTED})
REPLACED_BY = "replaced by another request"
"""In the history of a request whose place was taken; the detail says by which."""

REPLACED, RAN_OUT = "replaced", "ran out"
"""Why a request lapsed, as figures count it."""

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
    work.leads.note(lead.id, Change(at=now, who="client", what="asked"))
    work.outbox.owe(StepKind.QUOTE, lead.id, lane=f"lead:{lead.id}", now=now)
    if revises:
        _replace_earlier(work, lead, now)
    return lead


def _replace_earlier(work: UnitOfWork, lead: Lead, now: datetime) -> None:
    newest_first = work.leads.of_chat(lead.channel, lead.chat_id)
    before = next((each for each in newest_first if each.id != lead.id), None)
    if before is None or before.state not in _REPLACEABLE:
        return
    work.leads.save(replace(before, state=LeadState.LAPSED, lost_because=REPLACED))
    change = Change(at=now, who="client", what=REPLACED_BY, detail={"by": lead.id})
    work.leads.note(before.id, change)


def replaced_by(work: UnitOfWork, lead: Lead) -> Lead | None:
    """The request that took this one's place, if one did."""
    for change in reversed(work.leads.history(lead.id)):
        if change.what == REPLACED_BY:
            return work.leads.get(change.detail["by"])
    return None


def lapse_expired(work: UnitOfWork, now: datetime) -> int:
    """Leads whose price is no longer good lapse."""
    over = sorted(work.leads.with_expired_quotes(now))
    for lead_id in over:
        lead = work.leads.get(lead_id, lock=True)
        if lead.state is LeadState.QUOTED:
            work.leads.save(replace(lead, state=LeadState.LAPSED, lost_because=RAN_OUT))
            work.leads.note(lead.id, Change(at=now, who="garlandry", what="the quote ran out"))
    return len(over)


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
) -> Lead:
    """The owner confirms the price, or changes it and says why; the client gets a firm quote.

    `basis_number` is the quote that the owner was looking at: a second press of the same
    button, or a decision on an old page, is refused with StaleDecision.
    """
    lead = work.leads.get(lead_id, lock=True)
    # A firm price for a date that is held already leaves it held.
    lead = lead if lead.state is LeadState.HELD else lead.moved_to(LeadState.QUOTED)
    basis = work.quotes.latest(lead_id)
    if basis is None:
        raise NotFound("There is no estimate to confirm yet. Wait for it, or decline the lead.")
    if basis_number is not None and basis_number != basis.number:
        raise StaleDecision(f"Quote {basis.number} has gone out already. Look again.")
    book = ports.price_books.current()
    amount = price or basis.likely
    quote = work.quotes.add(
        replace(
            basis,
            id=ports.new_id(),
            kind=QuoteKind.FIRM,
            low=amount,
            likely=amount,
            high=amount,
            deposit=_deposit(amount, book),
            created_at=now,
            sent_at=now,
            expires_at=end_of_day(now + book.calendar.quote_valid, book),
            note=text,
        )
    )
    work.leads.save(lead)
    detail = {"price": str(amount), "reason": reason or ""}
    work.leads.note(lead.id, Change(at=now, who="owner", what="sent a firm quote", detail=detail))
    url, booking_url = fresh_links(work, ports, lead, quote)
    said = ports.wording.in_language(lead.language)
    message = wording.firm(lead, quote, book, said, url=url, booking_url=booking_url)
    tell_client(work, lead, message, now=now)
    return lead


def decline(
    work: UnitOfWork, ports: Ports, *, lead_id: str, text: str | None, now: datetime
) -> Lead:
    """The owner says no, kindly; a held date is free again."""
    lead = work.leads.get(lead_id, lock=True).moved_to(LeadState.DECLINED)
    hold = work.holds.of_lead(lead_id)
    if hold is not None:
        work.holds.release(hold.id)
    work.leads.save(lead)
    work.leads.note(lead.id, Change(at=now, who="owner", what="declined"))
    book, said = ports.price_books.current(), ports.wording.in_language(lead.language)
    tell_client(work, lead, wording.declined(book, text=text, words=said), now=now)
    return lead


def links(work: UnitOfWork, ports: Ports, lead_id: str) -> tuple[str, str]:
    """The newest addresses of a lead's quote page and booking page. Raises NotFound."""
    quote_link = work.links.of(lead_id, QUOTE_LINK)
    booking_link = work.links.of(lead_id, BOOKING_LINK)
    if quote_link is None or booking_link is None:
        raise NotFound("This lead has no quote yet.")
    return (
        f"{ports.public_url}/quotes/{ports.signer.sign(quote_link, purpose=QUOTE_LINK)}",
        f"{ports.public_url}/bookings/{ports.signer.sign(booking_link, purpose=BOOKING_LINK)}",
    )


def open_status(work: UnitOfWork, ports: Ports, lead_id: str, *, now: datetime) -> str:
    """A fresh address of the page on which a website client follows a request."""
    expires_at = now + _STATUS_LASTS
    link_id = work.links.add(purpose=STATUS_LINK, subject_id=lead_id, expires_at=expires_at)
    return f"{ports.public_url}/requests/{ports.signer.sign(link_id, purpose=STATUS_LINK)}"


def lead_of_link(work: UnitOfWork, ports: Ports, token: str, *, purpose: str) -> Lead:
    """The lead that a signed link opens. Raises NotFound or LinkExpired."""
    link_id = ports.signer.read(token, purpose=purpose)
    return work.leads.get(work.links.find(link_id, purpose=purpose, now=ports.clock()))


def fresh_links(work: UnitOfWork, ports: Ports, lead: Lead, quote: Quote) -> tuple[str, str]:
    """New addresses of a quote that goes out, good as long as its price."""
    for purpose in (QUOTE_LINK, BOOKING_LINK):
        work.links.add(purpose=purpose, subject_id=lead.id, expires_at=quote.expires_at)
    return links(work, ports, lead.id)


def _deposit(amount: Decimal, book: PriceBook) -> Decimal:
    step = book.policy.deposit_rounding
    steps = (amount * book.policy.deposit_share / step).to_integral_value(ROUND_HALF_UP)
    return (steps * step).quantize(_CENT)
