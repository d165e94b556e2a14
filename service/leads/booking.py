"""Set-up windows on offer, holds, and holds that run out."""

from dataclasses import replace
from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

from service.estimating import Calendar, PriceBook
from service.leads import owner_words, windows, wording
from service.leads.lead import (
    Change,
    Client,
    Hold,
    Lead,
    LeadState,
    MoveRefused,
    NotFound,
    Quote,
    Window,
    WindowTaken,
)
from service.leads.ports import Ports, UnitOfWork
from service.leads.telling import tell_client, tell_owner

# The hour at which holds run out: nobody should lose a date in the night.
_KIND_HOUR = 20

# As far ahead as anybody books an event.
_HORIZON = timedelta(days=3 * 366)

_MOST_MOVES = 12
_HELD = "held a window"


def offered(
    work: UnitOfWork, lead: Lead, quote: Quote, book: PriceBook, *, day: date, now: datetime
) -> list[Window]:
    """Set-up windows of that day which nobody else holds, earliest first."""
    found = windows.candidates(
        day,
        event_start=lead.brief.event.start_time if day == lead.brief.event.date else None,
        needed=windows.on_site(quote.estimate.hours),
        calendar=book.calendar,
        zone=ZoneInfo(book.shop.time_zone),
        now=now,
    )
    own = work.holds.of_lead(lead.id)
    return [w for w in found if _free_crew(work, w, book.calendar, now, but=own) is not None]


def place_hold(
    work: UnitOfWork,
    ports: Ports,
    lead_id: str,
    *,
    starts_at: datetime,
    client: Client,
    now: datetime,
) -> Hold:
    """Keep a window for the client. Call `free_expired` before.

    Asking again for the window that the lead already holds returns the same hold; another
    window replaces it. Raises WindowTaken, MoveRefused or NotFound.
    """
    lead = work.leads.get(lead_id, lock=True)
    quote = work.quotes.latest(lead_id, sent=True)
    if quote is None:
        raise NotFound("This lead has no quote yet.")
    book = ports.price_books.current()
    earlier = work.holds.of_lead(lead_id)
    if earlier is not None and earlier.window.starts_at == starts_at:
        return earlier
    if lead.state is not LeadState.HELD and not lead.can_become(LeadState.HELD):
        raise MoveRefused(lead.state, LeadState.HELD)
    _refuse_endless_moves(work, lead)
    if earlier is not None:
        work.holds.release(earlier.id)
    hold = Hold(
        id=ports.new_id(),
        lead_id=lead.id,
        quote_id=quote.id,
        window=_window(work, lead, quote, book, starts_at, now),
        # Moving to another time does not buy more time to think.
        expires_at=earlier.expires_at if earlier else hold_until(book, now),
        client=client,
    )
    _keep(work, hold, book.calendar, now)
    lead = replace(lead, state=LeadState.HELD, client=_known(lead.client, client))
    work.leads.save(lead)
    detail = {"starts_at": starts_at.isoformat()}
    work.leads.note(lead.id, Change(at=now, who="client", what=_HELD, detail=detail))
    said = ports.wording.in_language(lead.language)
    told = wording.held(hold, book, deposit=quote.deposit, currency=quote.currency, words=said)
    tell_client(work, lead, told, now=now)
    moved, public_url = earlier is not None, ports.public_url
    news = owner_words.held(lead, hold, quote, book, moved=moved, public_url=public_url)
    tell_owner(work, news, now=now)
    return hold


def record_deposit(work: UnitOfWork, ports: Ports, lead_id: str, *, now: datetime) -> Lead:
    """The deposit has come: the held date is booked, and no longer runs out.

    Raises MoveRefused, or NotFound when the hold has run out in the meantime.
    """
    lead = work.leads.get(lead_id, lock=True)
    booked = lead.moved_to(LeadState.BOOKED)
    hold = work.holds.of_lead(lead_id)
    if hold is None:
        raise NotFound("Nothing is held for this request any more.")
    work.holds.book(hold.id)
    work.leads.save(booked)
    work.leads.note(lead.id, Change(at=now, who="owner", what="recorded the deposit"))
    said = ports.wording.in_language(lead.language)
    told = wording.booked(hold, ports.price_books.current(), said)
    tell_client(work, booked, told, now=now)
    return booked


def release_expired(work: UnitOfWork, ports: Ports, now: datetime) -> int:
    """Holds whose time is over are free again, and their clients are told."""
    released = 0
    # In one order for everybody, so that two sweeps cannot wait for one another.
    for lead_id in sorted({hold.lead_id for hold in work.holds.expired(now)}):
        lead = work.leads.get(lead_id, lock=True)
        # Read again under the lock: the client may have moved the hold in the meantime.
        hold = work.holds.of_lead(lead_id)
        if hold is None or hold.expires_at > now or lead.state is LeadState.BOOKED:
            continue
        work.holds.release(hold.id)
        released += 1
        if lead.state is LeadState.HELD:
            work.leads.save(replace(lead, state=LeadState.QUOTED))
            work.leads.note(lead.id, Change(at=now, who="garlandry", what="the hold ran out"))
            said = ports.wording.in_language(lead.language)
            told = wording.hold_over(hold, ports.price_books.current(), said)
            tell_client(work, lead, told, now=now)
    return released


def free_expired(ports: Ports) -> None:
    """Let go of what has run out, now: whoever looks for a time must not wait for the sweep."""
    with ports.work() as work:
        if release_expired(work, ports, ports.clock()):
            work.commit()


def hold_until(book: PriceBook, now: datetime) -> datetime:
    """When a hold made now runs out: at a kind hour, never sooner than the price book says."""
    earliest = (now + book.calendar.hold).astimezone(ZoneInfo(book.shop.time_zone))
    kind = earliest.replace(hour=_KIND_HOUR, minute=0, second=0, microsecond=0)
    return kind if kind >= earliest else kind + timedelta(days=1)


def _refuse_endless_moves(work: UnitOfWork, lead: Lead) -> None:
    moves = sum(change.what == _HELD for change in work.leads.history(lead.id))
    if moves >= _MOST_MOVES:
        raise WindowTaken("This time has been moved very often. Please call or write to us.")


def _window(
    work: UnitOfWork, lead: Lead, quote: Quote, book: PriceBook, starts_at: datetime, now: datetime
) -> Window:
    if starts_at > now + _HORIZON:
        raise WindowTaken("That day is too far ahead. Pick one within the next years.")
    day = starts_at.astimezone(ZoneInfo(book.shop.time_zone)).date()
    if lead.brief.event.date is not None and day != lead.brief.event.date:
        raise WindowTaken("That day is not the day of your event. Pick one of the times offered.")
    for window in offered(work, lead, quote, book, day=day, now=now):
        if window.starts_at == starts_at:
            return window
    raise WindowTaken("That set-up time is not free. Pick another one.")


def _free_crew(
    work: UnitOfWork,
    window: Window,
    calendar: Calendar,
    now: datetime,
    *,
    but: Hold | None = None,
) -> int | None:
    """A crew with nothing to do then; what is kept by `but` counts as free."""
    slots = windows.slots(window, calendar.buffer)
    for crew in range(calendar.jobs_at_once):
        if not work.holds.taken(slots, crew=crew, now=now, but=but):
            return crew
    return None


def _keep(work: UnitOfWork, hold: Hold, calendar: Calendar, now: datetime) -> None:
    crew = _free_crew(work, hold.window, calendar, now)
    if crew is None:
        raise WindowTaken("That set-up time has just been taken. Pick another one.")
    work.holds.add(hold, slots=windows.slots(hold.window, calendar.buffer), crew=crew)


def _known(before: Client, now: Client) -> Client:
    return Client(
        name=now.name or before.name,
        email=now.email or before.email,
        phone=now.phone or before.phone,
    )
