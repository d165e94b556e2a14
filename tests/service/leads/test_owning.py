"""The morning's digest, and what is told of the day in the owner's own chats."""

from collections.abc import Iterator
from datetime import date, datetime, time, timedelta
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest

from service.estimating import Event, Setting, Site
from service.leads import booking, owning
from service.leads.lead import Client, Lead
from tests.service.building import BuiltShop, a_brief, build_shop

ZONE = ZoneInfo("America/New_York")
EVENT = date(2027, 6, 6)


@pytest.fixture
def shop(tmp_path: Path) -> Iterator[BuiltShop]:
    built = build_shop(tmp_path)
    with built.ports.work() as work:
        token = owning.open_pairing(work, now=built.now)
        owning.pair(work, built.ports, "telegram", "7", token=token, name="Ida", now=built.now)
        work.commit()
    yield built
    built.engine.dispose()


def at(shop: BuiltShop, day: date, hour: int, minute: int = 0) -> None:
    """Move the shop's clock to that local time."""
    shop.now = datetime.combine(day, time(hour, minute), ZONE)


def sweep(shop: BuiltShop) -> list[str]:
    """What a sweep tells the owner."""
    with shop.ports.work() as work:
        before = len(work.chats.messages("telegram", "7"))
        owning.tell_digests(work, shop.ports, now=shop.now)
        work.commit()
    with shop.ports.read() as work:
        return [one.message.text for one in work.chats.messages("telegram", "7")[before:]]


def waiting(shop: BuiltShop) -> Lead:
    outdoors = Site(setting=Setting.OUTDOOR, postal_code="02472")
    return shop.quoted(a_brief(site=outdoors), client=Client(name="Nora"))


def held(shop: BuiltShop, *, deposit: bool) -> Lead:
    """A lead whose first free set-up time is held, and booked with a deposit."""
    lead = shop.quoted(a_brief(event=Event(date=EVENT, start_time=time(15))))
    book = shop.price_books.current()
    with shop.ports.work() as work:
        quote = work.quotes.latest(lead.id)
        assert quote is not None
        window = booking.offered(work, lead, quote, book, day=EVENT, now=shop.now)[0]
        who = Client(name="Priya", phone="+1 617 555 0100")
        booking.place_hold(
            work, shop.ports, lead.id, starts_at=window.starts_at, client=who, now=shop.now
        )
        if deposit:
            locked = work.leads.get(lead.id, lock=True)
            booking.book(work, shop.ports, locked, paid=quote.deposit, who="owner", now=shop.now)
        work.commit()
    return lead


def test_a_morning_tells_what_waits_once(shop: BuiltShop) -> None:
    lead = waiting(shop)
    tomorrow = shop.now.astimezone(ZONE).date() + timedelta(days=1)
    at(shop, tomorrow, 7, 29)
    assert sweep(shop) == []
    at(shop, tomorrow, 7, 30)
    (text,) = sweep(shop)
    assert text.startswith("Good morning, Ida Marsh.\n\nWaits for you:\n• ")
    assert f"{lead.number}, Nora: " in text
    at(shop, tomorrow, 7, 31)
    assert sweep(shop) == []
    at(shop, tomorrow + timedelta(days=1), 7, 31)
    assert len(sweep(shop)) == 1


def test_a_quiet_morning_stays_quiet_even_if_something_comes_later(shop: BuiltShop) -> None:
    tomorrow = shop.now.astimezone(ZONE).date() + timedelta(days=1)
    at(shop, tomorrow, 7, 30)
    assert sweep(shop) == []
    waiting(shop)
    at(shop, tomorrow, 9)
    assert sweep(shop) == []


def test_the_day_of_pairing_has_no_digest(shop: BuiltShop) -> None:
    waiting(shop)
    at(shop, shop.now.astimezone(ZONE).date(), 7, 45)
    assert sweep(shop) == []


def test_a_service_that_comes_back_in_the_evening_skips_the_morning(shop: BuiltShop) -> None:
    waiting(shop)
    tomorrow = shop.now.astimezone(ZONE).date() + timedelta(days=1)
    at(shop, tomorrow, 18)
    assert sweep(shop) == []
    at(shop, tomorrow + timedelta(days=1), 8)
    assert len(sweep(shop)) == 1


def test_a_sweep_that_is_undone_tells_again(shop: BuiltShop) -> None:
    waiting(shop)
    at(shop, shop.now.astimezone(ZONE).date() + timedelta(days=1), 8)
    with shop.ports.work() as work:
        owning.tell_digests(work, shop.ports, now=shop.now)  # and no commit
    assert len(sweep(shop)) == 1
    assert sweep(shop) == []


def test_clients_who_ask_for_the_owner_are_in_it(shop: BuiltShop) -> None:
    with shop.ports.work() as work:
        work.chats.hear("webchat", "a", "a person, please", update_id="1", now=shop.now)
        work.chats.call_owner("webchat", "a", now=shop.now)
        work.commit()
    at(shop, shop.now.astimezone(ZONE).date() + timedelta(days=1), 8)
    (text,) = sweep(shop)
    assert "Asks for you:\n• A client by the web chat: “a person, please”" in text


def test_set_ups_of_today_and_tomorrow_are_told(shop: BuiltShop) -> None:
    lead = held(shop, deposit=True)
    at(shop, EVENT - timedelta(days=2), 8)
    assert sweep(shop) == []
    at(shop, EVENT - timedelta(days=1), 8)
    (text,) = sweep(shop)
    assert "Tomorrow:\n• " in text
    assert f"{lead.number}, Priya" in text
    assert "(booked)" in text
    at(shop, EVENT, 8)
    (text,) = sweep(shop)
    assert "Today:\n• " in text


def test_on_the_morning_of_a_set_up_its_run_sheet_is_a_button_away(shop: BuiltShop) -> None:
    held(shop, deposit=True)
    for day, there in ((EVENT - timedelta(days=1), False), (EVENT, True)):
        at(shop, day, 8)
        sweep(shop)
        with shop.ports.read() as work:
            buttons = work.chats.messages("telegram", "7")[-1].message.buttons
        assert ("https://garlands.example/desk/days" in {each.url for each in buttons}) is there


def test_a_hold_that_runs_out_soon_is_told(shop: BuiltShop) -> None:
    lead = held(shop, deposit=False)
    at(shop, shop.now.astimezone(ZONE).date() + timedelta(days=1), 8)
    (text,) = sweep(shop)
    assert "Held without a deposit, and runs out today or tomorrow:\n• " in text
    assert f"{lead.number}, Priya: Sunday, June 6, 2027" in text
    assert ", until " in text


def test_the_day_can_be_asked_for_at_any_time(shop: BuiltShop) -> None:
    held(shop, deposit=True)
    at(shop, EVENT, 14)
    with shop.ports.read() as work:
        told = owning.today(work, shop.ports, now=shop.now)
    assert told.text.startswith("Today:\n• ")
