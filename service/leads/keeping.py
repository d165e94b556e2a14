"""Keeping a window for a lead: room is found, nobody else can take it, and it is stored."""

from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta

from service.estimating import PriceBook
from service.leads.diary import Room, Short, reach
from service.leads.lacking import owner_reason
from service.leads.lead import Client, Hold, HoldState, Lead, Quote, Window, WindowTaken
from service.leads.offering import Judge, offer
from service.leads.ports import Ports, UnitOfWork
from service.leads.price_books import book_of
from service.leads.repositories import BOOKING_LINK, QUOTE_LINK
from service.leads.shop_time import zone_of
from service.leads.speech import msg
from service.leads.stays import days, keeps, position_of

# The hour at which holds run out: nobody should lose a date in the night.
_KIND_HOUR = 20

_NOT_FREE = msg("That set-up time is not free. Pick another one.")


@dataclass(frozen=True, kw_only=True, slots=True)
class Asked:
    """A window that is wanted for a lead, and by what it is judged."""

    lead: Lead
    quote: Quote
    starts_at: datetime
    now: datetime


def keep(work: UnitOfWork, ports: Ports, asked: Asked, client: Client, judge: Judge) -> Hold:
    """A hold of that window, in place of the one that the lead has. Raises WindowTaken."""
    lead, quote, now = asked.lead, asked.quote, asked.now
    room, window = _room(work, ports, asked, judge)
    before, newest = work.holds.of_lead(lead.id), work.holds.newest_of_lead(lead.id)
    # Moving to another time does not buy more time to think.
    until = before.expires_at if before else hold_until(book_of(ports.price_books, quote), now)
    if before is not None:
        work.holds.save(replace(before, state=HoldState.MOVED))
    hold = Hold(
        id=ports.new_id(),
        lead_id=lead.id,
        quote_id=quote.id,
        window=window,
        stay=room.stay,
        expires_at=min(until, window.starts_at),
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


def hold_until(book: PriceBook, now: datetime) -> datetime:
    """When a hold made now runs out: at a kind hour, never sooner than the price book says.

    One for an earlier window runs out when that begins.
    """
    earliest = (now + book.calendar.hold).astimezone(zone_of(book))
    kind = earliest.replace(hour=_KIND_HOUR, minute=0, second=0, microsecond=0)
    return kind if kind >= earliest else kind + timedelta(days=1)


def changed(hold: Hold, state: HoldState, now: datetime) -> Hold:
    """The hold as it stands from now on."""
    return replace(hold, state=state, revision=hold.revision + 1, changed_at=now)


def _room(work: UnitOfWork, ports: Ports, asked: Asked, judge: Judge) -> tuple[Room, Window]:
    """Room for the window, looked for again once nobody else can take it. Raises WindowTaken."""
    current = ports.price_books.current()
    zone = zone_of(current)
    day = asked.starts_at.astimezone(zone).date()
    locked: list[date] = []
    while True:
        found = offer(work, asked.lead, asked.quote, current, first=day, last=day, now=asked.now)
        window = found.window_at(asked.starts_at, judge)
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
