"""A shop whose clients are followed up, with the worker and the queue played by hand."""

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import replace
from datetime import UTC, date, datetime, time, timedelta
from decimal import Decimal
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

from service.estimating import Event, Setting, Site
from service.estimating.book import FollowUp
from service.leads import booking, paying, reminding, stepping
from service.leads.lead import Client, Hold, Lead
from service.leads.payments import PaymentKind
from service.leads.reminders import Reminder, State
from service.leads.steps import Step, StepKind
from service.storage.ids import fresh_id
from tests.service.building import BuiltShop, a_brief, build_shop

ZONE = ZoneInfo("America/New_York")
EVENT = date(2027, 6, 6)


@contextmanager
def a_shop(folder: Path) -> Iterator[BuiltShop]:
    built = build_shop(folder)
    yield built
    built.engine.dispose()


def at(shop: BuiltShop, day: date, hour: int, minute: int = 0) -> None:
    """Move the shop's clock to that local time."""
    shop.now = datetime.combine(day, time(hour, minute), ZONE).astimezone(UTC)


def quoted(shop: BuiltShop, **details: Any) -> Lead:
    """A client in Telegram whose price is out; outdoors with `outdoors=True`, on a `day`."""
    day = details.pop("day", EVENT)
    setting = Setting.OUTDOOR if details.pop("outdoors", False) else Setting.INDOOR
    site = Site(setting=setting, place="boathouse hall", postal_code="02472")
    brief = a_brief(event=Event(date=day, start_time=time(15)), site=site)
    chat = {"channel": "telegram", "chat_id": "77", "client": Client(name="Nora")}
    return shop.quoted(brief, **chat | details)


def held(shop: BuiltShop, **details: Any) -> Lead:
    """A client whose first free set-up time is held."""
    return held_of(shop, quoted(shop, **details))


def held_of(shop: BuiltShop, lead: Lead) -> Lead:
    """The client holds the first free set-up time."""
    with shop.ports.work() as work:
        quote = work.quotes.latest(lead.id, sent=True)
        assert quote is not None
        book = shop.price_books.current()
        day = lead.brief.event.date or EVENT
        window = booking.offered(work, lead, quote, book, day=day, now=shop.now)[0]
        booking.place_hold(
            work,
            shop.ports,
            lead.id,
            starts_at=window.starts_at,
            client=Client(name="Nora", phone="+1 617 555 0100"),
            now=shop.now,
        )
        work.commit()
    return shop.lead(lead.id)


def booked(shop: BuiltShop, **details: Any) -> Lead:
    """A client whose deposit has come."""
    lead = held(shop, **details)
    pay(shop, lead, PaymentKind.DEPOSIT, Decimal(150))
    return shop.lead(lead.id)


def pay(shop: BuiltShop, lead: Lead, kind: PaymentKind, amount: Decimal) -> None:
    """Record a payment."""
    with shop.ports.work() as work:
        quote = work.quotes.latest(lead.id, sent=True)
        hold = work.holds.of_lead(lead.id)
        assert quote is not None
        entry = paying.Entry(
            id=fresh_id(),
            kind=kind,
            amount=amount,
            paid_on=shop.now.astimezone(ZONE).date(),
            method="check",
            reference="",
        )
        seen = paying.Seen(quote=quote.number, hold=hold.id if hold else None)
        paying.record(
            work, shop.ports, lead.id, entry, seen=seen, who="owner", now=shop.now, sure=True
        )
        work.commit()


def hold_of(shop: BuiltShop, lead: Lead) -> Hold:
    with shop.ports.read() as work:
        hold = work.holds.of_lead(lead.id)
    assert hold is not None
    return hold


def reminders(shop: BuiltShop, lead: Lead) -> list[Reminder]:
    with shop.ports.read() as work:
        return work.reminders.of_lead(lead.id)


def owed(shop: BuiltShop, lead: Lead) -> dict[str, datetime]:
    """What is to come and when, at the shop."""
    return {
        each.kind.value: each.due_at.astimezone(ZONE)
        for each in reminders(shop, lead)
        if each.state is State.OWED
    }


def due_steps(shop: BuiltShop) -> list[Step]:
    with shop.ports.read() as work:
        due = work.outbox.due(shop.now, limit=99)
    return [step for step in due if step.kind is StepKind.REMIND]


def lease(shop: BuiltShop, step: Step) -> Step:
    with shop.ports.work() as work:
        taken = stepping.lease(work, step.id, shop.now)
        work.commit()
    return taken


def fall_due(shop: BuiltShop, step: Step) -> State:
    """What a worker does with a step that it has leased."""
    with shop.ports.work() as work:
        outcome = reminding.fall_due(
            work, shop.ports, step.subject_id, step_id=step.id, fence=step.fence, now=shop.now
        )
        work.commit()
    return outcome.state


def work_off(shop: BuiltShop) -> list[State]:
    """Every reminder that is due, taken by a worker; what became of each."""
    return [fall_due(shop, lease(shop, step)) for step in due_steps(shop)]


def wait_until(shop: BuiltShop, moment: datetime) -> list[State]:
    """Let the shop's clock run to that moment, and the worker with it."""
    shop.now = moment.astimezone(UTC)
    return work_off(shop)


def said(shop: BuiltShop, channel: str = "telegram", chat_id: str = "77") -> list[str]:
    """What the shop has said in a conversation."""
    with shop.ports.read() as work:
        stored = work.chats.messages(channel, chat_id)
    return [each.message.text for each in stored if each.direction == "out"]


def hear(shop: BuiltShop, text: str) -> None:
    """The client writes."""
    with shop.ports.work() as work:
        work.chats.hear("telegram", "77", text, update_id=fresh_id(), now=shop.now)
        work.commit()


def rules(shop: BuiltShop, **changes: Any) -> None:
    """The owner changes how clients are followed up."""
    book = shop.price_books.current()
    follow_up: FollowUp = replace(book.follow_up, **changes)
    changed = replace(book, follow_up=follow_up)
    shop.ports = replace(shop.ports, price_books=_Fixed(shop.price_books, changed))


class _Fixed:
    """The shop's price books, with another current one."""

    def __init__(self, behind: Any, book: Any) -> None:
        self._behind = behind
        self._book = book

    def current(self) -> Any:
        return self._book

    def __getattr__(self, name: str) -> Any:
        return getattr(self._behind, name)


def firm(shop: BuiltShop, lead: Lead, price: Decimal | None = None) -> None:
    """The owner sends a firm price."""
    shop.send_firm(lead, price, reason="stairs")


def kinds(states: Sequence[Reminder], state: State) -> list[str]:
    return [each.kind.value for each in states if each.state is state]


DAY = timedelta(days=1)
