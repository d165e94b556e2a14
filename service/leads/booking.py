"""A date is held, booked, moved, given back; and holds run out."""

from dataclasses import dataclass, replace
from datetime import date, datetime, time, timedelta
from decimal import Decimal
from zoneinfo import ZoneInfo

from service.estimating import PriceBook
from service.leads import follow_up, owner_words, stocking, wording
from service.leads.diary import Room, Short, reach, zone_of
from service.leads.lead import (
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
    Window,
    WindowTaken,
)
from service.leads.offering import (
    HORIZON,
    day_of_event,
    next_free,
    offer,
    offered,
    owner_reason,
    same_price,
)
from service.leads.ports import Ports, UnitOfWork
from service.leads.price_books import book_of
from service.leads.repositories import BOOKING_LINK, QUOTE_LINK
from service.leads.shop_time import today_at
from service.leads.speech import msg
from service.leads.stays import days, job_of, keeps, position_of
from service.leads.telling import tell_client, tell_owner

__all__ = [
    "book",
    "free_expired",
    "hold_until",
    "let_in",
    "move",
    "next_free",
    "offered",
    "place_hold",
    "refit",
    "release",
]

# The hour at which holds run out: nobody should lose a date in the night.
_KIND_HOUR = 20

_MOST_MOVES = 12
_HELD = "held a window"
_MOVED = "moved the date"
_NOT_FREE = msg("That set-up time is not free. Pick another one.")


@dataclass(frozen=True, kw_only=True, slots=True)
class _Asked:
    """A window that is wanted for a lead, and by what it is judged."""

    lead: Lead
    quote: Quote
    starts_at: datetime
    now: datetime


def place_hold(
    work: UnitOfWork,
    ports: Ports,
    lead_id: str,
    *,
    starts_at: datetime,
    client: Client,
    now: datetime,
    another_day: bool = False,
    who: str = "client",
) -> Hold:
    """Keep a window for the client. Call `free_expired` before.

    Asking again for the window that the lead already holds returns the same hold; another
    window replaces it. `another_day` lets the event itself move to a day of the same price.
    Raises WindowTaken, MoveRefused or NotFound.
    """
    lead = work.leads.get(lead_id, lock=True)
    quote = _sent_quote(work, lead_id)
    before = work.holds.of_lead(lead_id)
    if before is not None and before.window.starts_at == starts_at:
        return before
    if lead.state is not LeadState.HELD and not lead.can_become(LeadState.HELD):
        raise MoveRefused(lead.state, LeadState.HELD)
    _refuse_endless_moves(work, lead)
    asked = _Asked(lead=lead, quote=quote, starts_at=starts_at, now=now)
    _refuse_other_days(ports, asked, before, another_day=another_day)
    hold = _keep(work, ports, asked, client)
    lead = _on_day(work, ports, lead, starts_at)
    lead = replace(lead, state=LeadState.HELD, client=_known(lead.client, client))
    work.leads.save(lead)
    detail = {"starts_at": starts_at.isoformat()}
    work.leads.note(lead.id, Change(at=now, who=who, what=_HELD, detail=detail))
    _tell_client_of_hold(work, ports, lead, hold, quote, now)
    if who == "client":
        moved, public_url = before is not None, ports.public_url
        current = ports.price_books.current()
        news = owner_words.held(lead, hold, quote, current, moved=moved, public_url=public_url)
        tell_owner(work, news, now=now)
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
    hold = _changed(hold, HoldState.BOOKED, now)
    work.holds.save(hold)
    work.leads.save(booked)
    work.leads.note(lead.id, Change(at=now, who=who, what="booked the date"))
    stocking.take_out(work, booked, quote.estimate, who=who, now=now)
    said = ports.wording.in_language(lead.language)
    told = wording.booked(
        hold, ports.price_books.current(), said, paid=paid, currency=quote.currency
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
    asked = _Asked(lead=lead, quote=quote, starts_at=starts_at, now=now)
    hold = _keep(work, ports, asked, before.client)
    lead = _on_day(work, ports, lead, starts_at)
    detail = {
        "from": before.window.starts_at.isoformat(),
        "starts_at": starts_at.isoformat(),
    }
    work.leads.note(lead.id, Change(at=now, who=who, what=_MOVED, detail=detail))
    said = ports.wording.in_language(lead.language)
    tell_client(work, lead, wording.moved(hold, ports.price_books.current(), said), now=now)
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
    asked = _Asked(lead=lead, quote=quote, starts_at=before.window.starts_at, now=now)
    try:
        hold = _keep(work, ports, asked, before.client, agreed=True)
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
    who: str = "client",
    because: str | None = None,
) -> Lead:
    """Give the lead's date back; nothing happens where it has none. The lead has to be locked.

    A held lead is quoted again, and both sides are told. A lead that is booked or declined keeps
    its state: whoever cancels says what there is to say. Stock that was promised comes back.
    """
    hold = work.holds.of_lead(lead.id)
    if hold is None:
        return lead
    work.holds.save(_changed(hold, HoldState.RELEASED, now))
    stocking.give_back(work, lead, who=who, now=now)
    detail = {"because": because} if because else {}
    work.leads.note(lead.id, Change(at=now, who=who, what="gave the date back", detail=detail))
    if lead.state is LeadState.HELD:
        lead = replace(lead, state=LeadState.QUOTED)
        work.leads.save(lead)
        _tell_of_release(work, ports, lead, hold, who=who, because=because, now=now)
    follow_up.arrange(work, ports, lead.id, now=now)
    return lead


def let_in(
    work: UnitOfWork, lead_id: str, *, since: time | None, until: time | None, now: datetime
) -> None:
    """The client says when the venue lets the crew in. Raises BriefError for hours upside down."""
    lead = work.leads.get(lead_id, lock=True)
    site = lead.brief.site
    if (site.access_from, site.access_until) == (since, until):
        return
    site = replace(site, access_from=since, access_until=until)
    work.leads.save_brief(replace(lead, brief=replace(lead.brief, site=site)))
    hours = {"from": since and f"{since:%H:%M}", "until": until and f"{until:%H:%M}"}
    change = Change(at=now, who="client", what="said when the venue lets us in", detail=hours)
    work.leads.note(lead.id, change)


def free_expired(ports: Ports) -> int:
    """Let go of what has run out, now: whoever looks for a time must not wait for the sweep."""
    now = ports.clock()
    with ports.read() as work:
        over = sorted({hold.lead_id for hold in work.holds.expired(now)})
    return sum(_release_expired(ports, lead_id, now) for lead_id in over)


def hold_until(book: PriceBook, now: datetime) -> datetime:
    """When a hold made now runs out: at a kind hour, never sooner than the price book says."""
    earliest = (now + book.calendar.hold).astimezone(ZoneInfo(book.shop.time_zone))
    kind = earliest.replace(hour=_KIND_HOUR, minute=0, second=0, microsecond=0)
    return kind if kind >= earliest else kind + timedelta(days=1)


def _release_expired(ports: Ports, lead_id: str, now: datetime) -> bool:
    """One lead in each transaction: so nobody who waits for one can be waited for by another."""
    with ports.work() as work:
        lead = work.leads.get(lead_id, lock=True)
        # Read again under the lock: the client may have moved the hold in the meantime.
        hold = work.holds.of_lead(lead_id)
        if hold is None or hold.state is HoldState.BOOKED or hold.expires_at > now:
            return False
        work.holds.save(_changed(hold, HoldState.RELEASED, now))
        if lead.state is LeadState.HELD:
            lead = replace(lead, state=LeadState.QUOTED)
            work.leads.save(lead)
            work.leads.note(lead.id, Change(at=now, who="garlandry", what="the hold ran out"))
            said = ports.wording.in_language(lead.language)
            told = wording.hold_over(hold, ports.price_books.current(), said)
            tell_client(work, lead, told, now=now)
        follow_up.arrange(work, ports, lead.id, now=now)
        work.commit()
    return True


def _keep(
    work: UnitOfWork, ports: Ports, asked: _Asked, client: Client, *, agreed: bool = False
) -> Hold:
    """A hold of that window, in place of the one that the lead has. Raises WindowTaken."""
    lead, quote, now = asked.lead, asked.quote, asked.now
    room, window = _room(work, ports, asked, agreed=agreed)
    before, newest = work.holds.of_lead(lead.id), work.holds.newest_of_lead(lead.id)
    if before is not None:
        work.holds.save(replace(before, state=HoldState.MOVED))
    hold = Hold(
        id=ports.new_id(),
        lead_id=lead.id,
        quote_id=quote.id,
        window=window,
        stay=room.stay,
        # Moving to another time does not buy more time to think.
        expires_at=before.expires_at
        if before
        else hold_until(book_of(ports.price_books, quote), now),
        client=client,
        made_at=now,
        changed_at=now,
        state=before.state if before else HoldState.ACTIVE,
        revision=newest.revision + 1 if newest else 0,
        crew=room.crew,
        position=position_of(quote.brief.site),
    )
    work.holds.add(hold, keeps=keeps(window, room.stay, room.units))
    # The client looks up the time until all is over, however long the price was good.
    for purpose in (QUOTE_LINK, BOOKING_LINK):
        work.links.prolong(lead.id, purpose=purpose, until=room.stay.returns_at)
    return hold


def _room(work: UnitOfWork, ports: Ports, asked: _Asked, *, agreed: bool) -> tuple[Room, Window]:
    """Room for the window, looked for again once nobody else can take it. Raises WindowTaken.

    Of what is `agreed` already the start stands, whatever notice it leaves.
    """
    current = ports.price_books.current()
    zone = ZoneInfo(current.shop.time_zone)
    day = asked.starts_at.astimezone(zone).date()
    locked: list[date] = []
    while True:
        found = offer(work, asked.lead, asked.quote, current, first=day, last=day, now=asked.now)
        window = found.window_at(asked.starts_at, agreed=agreed)
        if window is None:
            raise WindowTaken(_NOT_FREE, because="The hours of that day leave no room for it.")
        room = found.room(window)
        if isinstance(room, Short):
            raise WindowTaken(_NOT_FREE, because=owner_reason(room))
        missing = [each for each in days(*reach(room.stay, current), zone) if each not in locked]
        if not missing:
            return room, window
        work.holds.lock_days(missing)
        locked += missing


def _asks_the_same(work: UnitOfWork, ports: Ports, before: Hold, quote: Quote) -> bool:
    kept, book_ = work.quotes.get(before.quote_id), ports.price_books.current()
    return job_of(kept.brief, kept.estimate, book_) == job_of(quote.brief, quote.estimate, book_)


def _sent_quote(work: UnitOfWork, lead_id: str) -> Quote:
    quote = work.quotes.latest(lead_id, sent=True)
    if quote is None:
        raise NotFound("This lead has no quote yet.")
    return quote


def _refuse_endless_moves(work: UnitOfWork, lead: Lead) -> None:
    moves = sum(change.what == _HELD for change in work.leads.history(lead.id))
    if moves >= _MOST_MOVES:
        raise WindowTaken("This time has been moved very often. Please call or write to us.")


def _refuse_other_days(
    ports: Ports, asked: _Asked, before: Hold | None, *, another_day: bool
) -> None:
    if asked.starts_at > asked.now + HORIZON:
        raise WindowTaken("That day is too far ahead. Pick one within the next years.")
    book_ = ports.price_books.current()
    day = asked.starts_at.astimezone(zone_of(book_)).date()
    if day == day_of_event(asked.quote, before, book_):
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


def _changed(hold: Hold, state: HoldState, now: datetime) -> Hold:
    return replace(hold, state=state, revision=hold.revision + 1, changed_at=now)


def _tell_client_of_hold(
    work: UnitOfWork, ports: Ports, lead: Lead, hold: Hold, quote: Quote, now: datetime
) -> None:
    current, said = ports.price_books.current(), ports.wording.in_language(lead.language)
    told = wording.held(hold, current, deposit=quote.deposit, currency=quote.currency, words=said)
    tell_client(work, lead, told, now=now)


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
    if who == "client":
        news = owner_words.given_back(lead, hold, book_, because, public_url=ports.public_url)
        tell_owner(work, news, now=now)


def _known(before: Client, now: Client) -> Client:
    return Client(
        name=now.name or before.name,
        email=now.email or before.email,
        phone=now.phone or before.phone,
    )
