"""A date is held, booked, moved, given back."""

from dataclasses import replace
from datetime import datetime
from decimal import Decimal

from service.leads import addresses, follow_up, owner_words, stocking, wording
from service.leads.balances import rest_of
from service.leads.expiring import free_expired
from service.leads.keeping import Asked, changed, hold_until, keep
from service.leads.lead import (
    CLIENT,
    Change,
    Client,
    Hold,
    HoldState,
    Lead,
    LeadState,
    MoveRefused,
    NoLongerFits,
    NotFound,
    Quote,
    WindowTaken,
)
from service.leads.offering import (
    HORIZON,
    Judge,
    day_of_event,
    next_free,
    offered,
    same_price,
)
from service.leads.ports import Ports, UnitOfWork
from service.leads.shop_time import today_at, zone_of
from service.leads.stays import job_of
from service.leads.telling import tell_client, tell_owner

__all__ = [
    "book",
    "free_expired",
    "hold_until",
    "move",
    "next_free",
    "offered",
    "place_hold",
    "refit",
    "release",
]

_MOST_MOVES = 12
_HELD = "held a window"
_MOVED = "moved the date"


def place_hold(
    work: UnitOfWork,
    ports: Ports,
    lead_id: str,
    *,
    starts_at: datetime,
    client: Client,
    now: datetime,
    another_day: bool = False,
    afresh: bool = False,
    who: str = CLIENT,
) -> Hold:
    """Keep a window for the client. Call `free_expired` before.

    Asking again for the window that the lead already holds returns the same hold, unless its stay
    is to be found `afresh`; another window replaces it. `another_day` lets the event itself move
    to a day of the same price, and the owner may move it to any. Raises WindowTaken, MoveRefused
    or NotFound.
    """
    lead = work.leads.get(lead_id, lock=True)
    before = work.holds.of_lead(lead_id)
    same = before is not None and before.window.starts_at == starts_at
    if before is not None and same and not afresh:
        return before
    asked = Asked(lead=lead, quote=_sent_quote(work, lead_id), starts_at=starts_at, now=now)
    _refuse_endless_moves(work, lead)
    _refuse_other_days(work, ports, asked, another_day=another_day, who=who)
    chosen = Judge.CLIENT if who == CLIENT else Judge.OWNER
    hold = keep(work, ports, asked, client, Judge.AGREED if same else chosen)
    lead = _on_day(work, ports, lead, starts_at)
    lead = replace(lead, state=LeadState.HELD, client=_known(lead.client, client))
    work.leads.save(lead)
    detail = {"starts_at": starts_at.isoformat()}
    work.leads.note(lead.id, Change(at=now, who=who, what=_HELD, detail=detail))
    _tell_of_hold(work, ports, replace(asked, lead=lead), hold, moved=before is not None, who=who)
    follow_up.arrange(work, ports, lead.id, now=now)
    return hold


def book(
    work: UnitOfWork, ports: Ports, lead: Lead, *, paid: Decimal, who: str, now: datetime
) -> Lead:
    """The deposit has come: the held date is booked, and no longer runs out.

    `paid` is what came, in the quote's currency. The lead has to be locked. Raises MoveRefused, or
    NotFound when the hold has run out in the meantime.
    """
    booked = lead.moved_to(LeadState.BOOKED)
    hold = work.holds.of_lead(lead.id)
    if hold is None:
        raise NotFound("Nothing is held for this request any more.")
    quote = _sent_quote(work, lead.id)
    hold = changed(hold, HoldState.BOOKED, now)
    work.holds.save(hold)
    work.leads.save(booked)
    work.leads.note(lead.id, Change(at=now, who=who, what="booked the date"))
    stocking.take_out(work, booked, quote.estimate, who=who, now=now)
    said = ports.wording.in_language(lead.language)
    told = wording.booked(
        hold,
        ports.price_books.current(),
        said,
        paid=paid,
        currency=quote.currency,
        url=addresses.of_lead(work, ports, lead.id)[1],
        rest=rest_of(work, ports, booked, quote, hold),
    )
    tell_client(work, booked, told, now=now)
    follow_up.arrange(work, ports, lead.id, now=now)
    return booked


def move(
    work: UnitOfWork, ports: Ports, lead_id: str, *, starts_at: datetime, who: str, now: datetime
) -> Hold:
    """The owner moves a held or booked date to another window; the event may move to another day.

    It stays held or booked as it was. Raises WindowTaken, with what is in the way, or NotFound.
    """
    lead = work.leads.get(lead_id, lock=True)
    before = work.holds.of_lead(lead_id)
    if before is None:
        raise NotFound("Nothing is held for this request any more.")
    if before.window.starts_at == starts_at:
        return before
    # An edit whose price has not gone out yet is what will have to fit.
    quote = work.quotes.latest(lead_id) or _sent_quote(work, lead_id)
    asked = Asked(lead=lead, quote=quote, starts_at=starts_at, now=now)
    hold = keep(work, ports, asked, before.client, Judge.OWNER)
    lead = _on_day(work, ports, lead, starts_at)
    detail = {
        "from": before.window.starts_at.isoformat(),
        "starts_at": starts_at.isoformat(),
    }
    work.leads.note(lead.id, Change(at=now, who=who, what=_MOVED, detail=detail))
    said = ports.wording.in_language(lead.language)
    rest = rest_of(work, ports, lead, _sent_quote(work, lead_id), hold)
    url = addresses.of_lead(work, ports, lead.id)[1]
    told = wording.moved(hold, ports.price_books.current(), said, url=url, rest=rest)
    tell_client(work, lead, told, now=now)
    follow_up.arrange(work, ports, lead.id, now=now)
    return hold


def refit(
    work: UnitOfWork, ports: Ports, lead: Lead, quote: Quote, *, who: str, now: datetime
) -> Hold | None:
    """Another quote for a lead that holds a date: its room is kept afresh, at the same time.

    None where it holds none. Raises NoLongerFits, in words for the owner. The lead has to be
    locked.
    """
    before = work.holds.of_lead(lead.id)
    if before is None:
        return None
    if _asks_the_same(work, ports, before, quote):
        work.holds.save(replace(before, quote_id=quote.id))
        return before
    asked = Asked(lead=lead, quote=quote, starts_at=before.window.starts_at, now=now)
    try:
        hold = keep(work, ports, asked, before.client, Judge.AGREED)
    except WindowTaken as taken:
        raise NoLongerFits(
            f"What is kept for this request has no room for it any more. {taken.because} "
            "Move the date to another time first."
        ) from None
    work.leads.note(lead.id, Change(at=now, who=who, what="kept the room afresh"))
    follow_up.arrange(work, ports, lead.id, now=now)
    return hold


def release(
    work: UnitOfWork,
    ports: Ports,
    lead: Lead,
    *,
    now: datetime,
    who: str = CLIENT,
    because: str | None = None,
) -> Lead:
    """Give the lead's date back; nothing happens where it has none. The lead has to be locked.

    A held lead is quoted again, and both sides are told. A lead that is booked or declined keeps
    its state: whoever cancels says what there is to say. Stock that was promised comes back.
    """
    hold = work.holds.of_lead(lead.id)
    if hold is None:
        return lead
    work.holds.save(changed(hold, HoldState.RELEASED, now))
    stocking.give_back(work, lead, who=who, now=now)
    detail = {"because": because} if because else {}
    work.leads.note(lead.id, Change(at=now, who=who, what="gave the date back", detail=detail))
    if lead.state is LeadState.HELD:
        lead = replace(lead, state=LeadState.QUOTED)
        work.leads.save(lead)
        _tell_of_release(work, ports, lead, hold, who=who, because=because, now=now)
    follow_up.arrange(work, ports, lead.id, now=now)
    return lead


def _asks_the_same(work: UnitOfWork, ports: Ports, before: Hold, quote: Quote) -> bool:
    kept, book_ = work.quotes.get(before.quote_id), ports.price_books.current()
    return job_of(kept.brief, kept.estimate, book_) == job_of(quote.brief, quote.estimate, book_)


def _sent_quote(work: UnitOfWork, lead_id: str) -> Quote:
    quote = work.quotes.latest(lead_id, sent=True)
    if quote is None:
        raise NotFound("This lead has no quote yet.")
    return quote


def _refuse_endless_moves(work: UnitOfWork, lead: Lead) -> None:
    if lead.state is not LeadState.HELD and not lead.can_become(LeadState.HELD):
        raise MoveRefused(lead.state, LeadState.HELD)
    moves = sum(change.what == _HELD for change in work.leads.history(lead.id))
    if moves >= _MOST_MOVES:
        raise WindowTaken("This time has been moved very often. Please call or write to us.")


def _refuse_other_days(
    work: UnitOfWork, ports: Ports, asked: Asked, *, another_day: bool, who: str
) -> None:
    if asked.starts_at > asked.now + HORIZON:
        raise WindowTaken("That day is too far ahead. Pick one within the next years.")
    book_ = ports.price_books.current()
    day = asked.starts_at.astimezone(zone_of(book_)).date()
    if who != CLIENT or day == day_of_event(work, asked.lead.id, asked.quote, book_):
        return
    if not same_price(asked.quote, day, book_, today_at(asked.now, book_)) or not (
        another_day or asked.quote.brief.event.date is None
    ):
        raise WindowTaken("That day is not the day of your event. Pick one of the times offered.")


def _on_day(work: UnitOfWork, ports: Ports, lead: Lead, starts_at: datetime) -> Lead:
    """The lead with its event on the day of the window, where it has a day at all."""
    day = starts_at.astimezone(zone_of(ports.price_books.current())).date()
    event = lead.brief.event
    if event.date in (None, day):
        return lead
    brief = replace(lead.brief, event=replace(event, date=day))
    return work.leads.save_brief(replace(lead, brief=brief))


def _tell_of_hold(
    work: UnitOfWork, ports: Ports, asked: Asked, hold: Hold, *, moved: bool, who: str
) -> None:
    lead, quote, url = asked.lead, asked.quote, ports.public_url
    current, said = ports.price_books.current(), ports.wording.in_language(lead.language)
    told = wording.held(
        hold,
        current,
        deposit=quote.deposit,
        currency=quote.currency,
        words=said,
        url=addresses.of_lead(work, ports, lead.id)[1],
        rest=rest_of(work, ports, lead, quote, hold),
    )
    tell_client(work, lead, told, now=asked.now)
    # Who holds it at the desk need not be told.
    if who == CLIENT:
        news = owner_words.held(lead, hold, quote, current, moved=moved, public_url=url)
        tell_owner(work, news, now=asked.now)


def _tell_of_release(
    work: UnitOfWork,
    ports: Ports,
    lead: Lead,
    hold: Hold,
    *,
    who: str,
    because: str | None,
    now: datetime,
) -> None:
    book_, said = ports.price_books.current(), ports.wording.in_language(lead.language)
    tell_client(work, lead, wording.given_back(hold, book_, said), now=now)
    if who == CLIENT:
        news = owner_words.given_back(lead, hold, book_, because, public_url=ports.public_url)
        tell_owner(work, news, now=now)


def _known(before: Client, now: Client) -> Client:
    return Client(
        name=now.name or before.name,
        email=now.email or before.email,
        phone=now.phone or before.phone,
    )
