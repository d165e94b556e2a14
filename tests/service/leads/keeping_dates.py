"""Held and booked jobs for tests of money and of the calendar."""

from datetime import date, datetime, time, timedelta
from typing import Any
from zoneinfo import ZoneInfo

from service.estimating import Brief, Event, Support
from service.leads import booking, paying
from service.leads.lead import Client, Hold, Lead
from service.leads.paying import Entry, Seen
from service.leads.payments import Payment, PaymentKind
from tests.service.building import BuiltShop, a_brief, a_piece

BOSTON = ZoneInfo("America/New_York")
SUNDAY = date(2027, 6, 6)
NORA = Client(name="Nora Ålund", email="nora@rowing.example", phone="+1 617 555 0100")


def at(hour: int, minute: int = 0, *, day: date = SUNDAY) -> datetime:
    """A time at the shop."""
    return datetime.combine(day, time(hour, minute), BOSTON)


def on(day: date, start: time | None = time(15), **parts: Any) -> Brief:
    """The rowing club's frame on another day."""
    return a_brief(event=Event(occasion="anniversary", date=day, start_time=start), **parts)


def a_wall(day: date = SUNDAY, start: time | None = time(15), **parts: Any) -> Brief:
    """A garland on a wall: nothing of the shop's own stands there."""
    return on(day, start, pieces=(a_piece(support=Support.WALL, length_m=3.0),), **parts)


def held(
    shop: BuiltShop,
    brief: Brief | None = None,
    *,
    starts_at: datetime | None = None,
    language: str = "en",
) -> Lead:
    """A lead with a date that is held."""
    client = Client(name="Nora Ålund")
    lead = shop.quoted(brief or a_brief(), client=client, language=language)
    return hold_for(shop, lead, starts_at=starts_at)


def hold_for(shop: BuiltShop, lead: Lead, *, starts_at: datetime | None = None) -> Lead:
    """A lead that has a price holds a date."""
    with shop.ports.work() as work:
        booking.place_hold(
            work,
            shop.ports,
            lead.id,
            starts_at=starts_at or at(9),
            client=NORA,
            now=shop.now,
        )
        work.commit()
    return shop.lead(lead.id)


def booked(
    shop: BuiltShop,
    brief: Brief | None = None,
    *,
    starts_at: datetime | None = None,
    language: str = "en",
) -> Lead:
    """A lead whose deposit has been recorded."""
    lead = held(shop, brief, starts_at=starts_at, language=language)
    pay(shop, lead)
    return shop.lead(lead.id)


def seen(shop: BuiltShop, lead: Lead) -> Seen:
    """What the owner looks at now."""
    with shop.ports.read() as work:
        hold = work.holds.of_lead(lead.id)
        return Seen(quote=paying.quote_of(work, lead.id).number, hold=hold.id if hold else None)


def an_entry(shop: BuiltShop, lead: Lead, **parts: Any) -> Entry:
    """The deposit, paid today, unless told otherwise."""
    with shop.ports.read() as work:
        deposit = paying.quote_of(work, lead.id).deposit
    usual: dict[str, Any] = {
        "id": shop.ports.new_id(),
        "kind": PaymentKind.DEPOSIT,
        "amount": deposit,
        "paid_on": shop.now.date(),
        "method": "check",
        "reference": "104",
    }
    return Entry(**(usual | parts))


def pay(
    shop: BuiltShop,
    lead: Lead,
    entry: Entry | None = None,
    *,
    basis: Seen | None = None,
    sure: bool = False,
    **parts: Any,
) -> Payment:
    """Record an entry, as the owner."""
    with shop.ports.work() as work:
        payment = paying.record(
            work,
            shop.ports,
            lead.id,
            entry or an_entry(shop, lead, **parts),
            seen=basis or seen(shop, lead),
            who="owner",
            now=shop.now,
            sure=sure,
        )
        work.commit()
    return payment


def hold_of(shop: BuiltShop, lead: Lead) -> Hold:
    """What the lead holds."""
    with shop.ports.read() as work:
        hold = work.holds.of_lead(lead.id)
    assert hold is not None
    return hold


def told(shop: BuiltShop, lead: Lead) -> list[str]:
    """Everything the client has been told."""
    with shop.ports.read() as work:
        return [m.message.text for m in work.chats.messages(lead.channel, lead.chat_id)]


def days_before(days: int, *, event: date = SUNDAY) -> datetime:
    """Noon at the shop, so many days before the event."""
    return datetime.combine(event - timedelta(days=days), time(12), BOSTON)
