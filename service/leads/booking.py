"""Set-up windows on offer, holds, and holds that run out."""

from dataclasses import replace
from datetime import date, datetime
from zoneinfo import ZoneInfo

from service.estimating import Calendar, PriceBook
from service.leads import windows, wording
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
from service.leads.talking import tell_client


def offered(
    work: UnitOfWork, lead: Lead, quote: Quote, book: PriceBook, *, day: date, now: datetime
) -> list[Window]:
    """Set-up windows of that day which nobody holds, earliest first."""
    found = windows.candidates(
        day,
        event_start=lead.brief.event.start_time if day == lead.brief.event.date else None,
        needed=windows.on_site(quote.estimate.hours),
        calendar=book.calendar,
        zone=ZoneInfo(book.shop.time_zone),
        now=now,
    )
    return [w for w in found if _free_crew(work, w, book.calendar) is not None]


def place_hold(
    work: UnitOfWork,
    ports: Ports,
    lead_id: str,
    *,
    starts_at: datetime,
    client: Client,
    now: datetime,
) -> Hold:
    """Keep a window for the client.

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
    if earlier is not None:
        work.holds.release(earlier.id)
    window = _window(work, lead, quote, book, starts_at, now)
    hold = Hold(
        id=ports.new_id(),
        lead_id=lead.id,
        quote_id=quote.id,
        window=window,
        expires_at=now + book.calendar.hold,
        client=client,
    )
    _keep(work, hold, book.calendar)
    work.leads.save(replace(lead, state=LeadState.HELD, client=_known(lead.client, client)))
    detail = {"starts_at": starts_at.isoformat()}
    work.leads.note(lead.id, Change(at=now, who="client", what="held a window", detail=detail))
    tell_client(work, lead, wording.held(hold, book, quote.deposit, quote.currency), now=now)
    return hold


def release_expired(work: UnitOfWork, ports: Ports, now: datetime) -> int:
    """Holds whose time is over are free again, and their clients are told."""
    over = work.holds.expired(now)
    for hold in over:
        lead = work.leads.get(hold.lead_id, lock=True)
        if lead.state is not LeadState.HELD:
            continue
        work.holds.release(hold.id)
        work.leads.save(replace(lead, state=LeadState.QUOTED))
        work.leads.note(lead.id, Change(at=now, who="garlandry", what="the hold ran out"))
        tell_client(work, lead, wording.hold_over(hold, ports.price_books.current()), now=now)
    return len(over)


def _window(
    work: UnitOfWork, lead: Lead, quote: Quote, book: PriceBook, starts_at: datetime, now: datetime
) -> Window:
    day = starts_at.astimezone(ZoneInfo(book.shop.time_zone)).date()
    if lead.brief.event.date is not None and day != lead.brief.event.date:
        raise WindowTaken("That day is not the day of your event. Pick one of the times offered.")
    for window in offered(work, lead, quote, book, day=day, now=now):
        if window.starts_at == starts_at:
            return window
    raise WindowTaken("That set-up time is not free. Pick another one.")


def _free_crew(work: UnitOfWork, window: Window, calendar: Calendar) -> int | None:
    slots = windows.slots(window, calendar.buffer)
    for crew in range(calendar.jobs_at_once):
        if not work.holds.taken(slots, crew=crew):
            return crew
    return None


def _keep(work: UnitOfWork, hold: Hold, calendar: Calendar) -> None:
    crew = _free_crew(work, hold.window, calendar)
    if crew is None:
        raise WindowTaken("That set-up time has just been taken. Pick another one.")
    work.holds.add(hold, slots=windows.slots(hold.window, calendar.buffer), crew=crew)


def _known(before: Client, now: Client) -> Client:
    return Client(
        name=now.name or before.name,
        email=now.email or before.email,
        phone=now.phone or before.phone,
    )
