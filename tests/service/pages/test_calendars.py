"""Feeds and clients' calendar files, as a calendar program reads them."""

import datetime as dt
from dataclasses import dataclass
from datetime import datetime, timedelta

import pytest
import vobject
from starlette.testclient import TestClient
from vobject.base import Component

from service.leads import booking, cancelling
from service.leads.cancelling import Cancellation, Wish
from service.leads.feeds import Feed
from service.leads.lead import Lead
from service.leads.people import PersonRole
from tests.service.building import BuiltShop, a_brief
from tests.service.leads.keeping_dates import SUNDAY, at, booked, held, hold_of, pay, seen
from tests.service.pages.reading import elements_of, text_of


@dataclass
class Entry:
    """One entry of a calendar that was read."""

    uid: str
    status: str
    sequence: int
    starts_at: datetime
    summary: str
    text: str


def entries_of(text: str) -> list[Entry]:
    calendar = vobject.readOne(text)
    return [_entry(event) for event in calendar.contents.get("vevent", [])]


def _entry(event: Component) -> Entry:
    return Entry(
        uid=event.uid.value,
        status=event.status.value,
        sequence=int(event.sequence.value),
        starts_at=event.dtstart.value.astimezone(dt.UTC),
        summary=event.summary.value,
        text=event.serialize(),
    )


def a_feed(shop: BuiltShop, role: PersonRole = PersonRole.OWNER) -> str:
    """The path of a fresh feed."""
    feed = Feed(id=shop.ports.new_id(), role=role, name="a phone", made_at=shop.now)
    with shop.ports.work() as work:
        key = work.feeds.make(feed)
        work.commit()
    return f"/calendar/{key}.ics"


def read(client: TestClient, path: str) -> list[Entry]:
    answer = client.get(path)
    assert answer.status_code == 200
    assert answer.headers["content-type"] == "text/calendar; charset=utf-8"
    return entries_of(answer.text)


def by_part(entries: list[Entry], lead: Lead) -> dict[str, Entry]:
    """Entries of a lead by their part; what is made in a second go counts as its own."""
    own = [entry for entry in entries if entry.uid.startswith(f"{lead.id}-")]
    return {entry.uid.removeprefix(f"{lead.id}-").partition("@")[0]: entry for entry in own}


def test_a_held_date_is_tentative_and_a_booked_one_confirmed_under_the_same_names(
    shop: BuiltShop, client: TestClient
) -> None:
    lead, path = held(shop), a_feed(shop)
    before = by_part(read(client, path), lead)
    assert {"make", "setup", "event", "strike"} <= set(before)
    assert {entry.status for entry in before.values()} == {"TENTATIVE"}
    pay(shop, lead)
    after = by_part(read(client, path), lead)
    assert set(after) == set(before)
    assert {entry.status for entry in after.values()} == {"CONFIRMED"}
    assert all(after[part].sequence > before[part].sequence for part in after)
    assert after["setup"].starts_at == at(9)
    assert after["setup"].summary == "Set up: Nora Ålund"
    assert f"/desk/bookings/{lead.id}" in after["setup"].text.replace("\r\n ", "")


def test_a_moved_date_moves_its_entries_under_their_names(
    shop: BuiltShop, client: TestClient
) -> None:
    lead, path = booked(shop), a_feed(shop)
    before = by_part(read(client, path), lead)
    shop.now += timedelta(days=1)
    with shop.ports.work() as work:
        booking.move(work, shop.ports, lead.id, starts_at=at(11), who="owner", now=shop.now)
        work.commit()
    after = by_part(read(client, path), lead)
    assert after["setup"].uid == before["setup"].uid
    assert after["setup"].starts_at == at(11)
    assert after["setup"].sequence > before["setup"].sequence
    assert {entry.status for entry in after.values()} == {"CONFIRMED"}


@pytest.mark.parametrize("how", ["canceled", "ran out", "given back"])
def test_what_is_off_is_told_for_a_month(how: str, shop: BuiltShop, client: TestClient) -> None:
    path = a_feed(shop)
    lead = booked(shop) if how == "canceled" else held(shop)
    before = by_part(read(client, path), lead)
    if how == "ran out":
        shop.now = hold_of(shop, lead).expires_at
        booking.free_expired(shop.ports)
    else:
        _let_go(shop, lead)
    after = by_part(read(client, path), lead)
    assert {entry.status for entry in after.values()} == {"CANCELLED"}
    assert {"make", "setup", "event", "strike"} <= set(after)
    assert after["setup"].sequence > before["setup"].sequence
    assert after["setup"].starts_at == before["setup"].starts_at
    shop.now += timedelta(days=31)
    assert read(client, path) == []


def _let_go(shop: BuiltShop, lead: Lead) -> None:
    basis = seen(shop, lead)
    with shop.ports.work() as work:
        locked = work.leads.get(lead.id, lock=True)
        if locked.state == "held":
            booking.release(work, shop.ports, locked, now=shop.now)
        else:
            back = cancelling.proposal(work, shop.ports, locked, Wish.CLIENT, now=shop.now)
            decided = Cancellation(by=Wish.CLIENT, returned=back.returned)
            cancelling.cancel(
                work, shop.ports, lead.id, decided, seen=basis, who="owner", now=shop.now
            )
        work.commit()


def test_a_helper_reads_the_work_and_nothing_of_the_client_or_of_money(
    shop: BuiltShop, client: TestClient
) -> None:
    lead = booked(shop)
    text = client.get(a_feed(shop, PersonRole.HELPER)).text.replace("\r\n ", "")
    assert f"Set up: {lead.number}" in text
    assert "boathouse hall" in text
    assert f"/desk/jobs/{hold_of(shop, lead).id}" in text
    for secret in ("Nora", "555 0100", "rowing.example", "/desk/bookings", "$"):
        assert secret not in text


def test_a_calendar_that_has_not_changed_is_not_sent_again(
    shop: BuiltShop, client: TestClient
) -> None:
    lead, path = booked(shop), a_feed(shop)
    first = client.get(path)
    shop.now += timedelta(minutes=30)
    known = {"If-None-Match": first.headers["etag"]}
    again = client.get(path, headers=known)
    assert (again.status_code, again.content) == (304, b"")
    assert again.headers["etag"] == first.headers["etag"]
    with shop.ports.work() as work:
        booking.move(work, shop.ports, lead.id, starts_at=at(11), who="owner", now=shop.now)
        work.commit()
    assert client.get(path, headers=known).status_code == 200


def test_a_key_that_is_none_or_was_revoked_opens_nothing(
    shop: BuiltShop, client: TestClient
) -> None:
    booked(shop)
    path = a_feed(shop)
    assert len(path.removeprefix("/calendar/").removesuffix(".ics")) >= 22
    assert client.get("/calendar/guess.ics").status_code == 404
    with shop.ports.work() as work:
        (feed,) = work.feeds.every()
        work.feeds.revoke(feed.id, shop.now)
        work.commit()
    assert client.get(path).status_code == 404


def test_a_client_has_the_event_and_our_arrival_under_the_same_names(
    shop: BuiltShop, client: TestClient
) -> None:
    lead, path = booked(shop), a_feed(shop)
    link = shop.paths(lead)[1]
    own = by_part(read(client, f"{link}.ics"), lead)
    shops = by_part(read(client, path), lead)
    assert set(own) == {"setup", "event"}
    assert {part: entry.uid for part, entry in own.items()} == {
        part: shops[part].uid for part in own
    }
    assert own["event"].starts_at == at(15)
    assert own["setup"].summary == "Harbor Lane Balloons sets up"
    assert f"Quote {lead.number}" in own["setup"].text
    assert "DTEND" in own["setup"].text
    # Nobody said when it ends.
    assert "DTEND" not in own["event"].text
    assert client.get("/bookings/guess.ics").status_code == 404


def test_a_clients_held_time_says_until_when_and_what_books_it(
    shop: BuiltShop, client: TestClient
) -> None:
    lead = held(shop)
    own = by_part(read(client, f"{shop.paths(lead)[1]}.ics"), lead)
    assert own["setup"].summary == "Held: Harbor Lane Balloons sets up"
    assert own["event"].summary == "Held: Balloons at your event, by Harbor Lane Balloons"
    text = " ".join(own["setup"].text.replace("\r\n ", "").replace("\\", "").split())
    assert "Kept until Tuesday, January 12, 2027, 8:00 PM. A deposit of $" in text


@pytest.mark.parametrize("how", ["canceled", "ran out", "given back"])
def test_a_client_is_told_that_it_is_off_under_the_same_names(
    how: str, shop: BuiltShop, client: TestClient
) -> None:
    lead = booked(shop) if how == "canceled" else held(shop)
    path = f"{shop.paths(lead)[1]}.ics"
    before = by_part(read(client, path), lead)
    if how == "ran out":
        shop.now = hold_of(shop, lead).expires_at
        booking.free_expired(shop.ports)
    else:
        _let_go(shop, lead)
    after = by_part(read(client, path), lead)
    assert {each.uid for each in after.values()} == {each.uid for each in before.values()}
    assert {each.status for each in after.values()} == {"CANCELLED"}
    assert all(after[part].sequence > before[part].sequence for part in after)
    assert after["setup"].summary == "Canceled: Harbor Lane Balloons sets up"


def test_the_page_of_a_canceled_booking_says_what_goes_back_and_leads_to_the_calendar(
    shop: BuiltShop, client: TestClient
) -> None:
    lead = booked(shop)
    path = shop.paths(lead)[1]
    _let_go(shop, lead)
    page = client.get(path)
    assert page.status_code == 409
    assert "you paid goes back to you, all of it." in text_of(page.text)
    assert f"{path}.ics" in [link.get("href") for link in elements_of(page.text, "a")]


def test_without_a_date_there_is_nothing_to_put_into_a_calendar(
    shop: BuiltShop, client: TestClient
) -> None:
    lead = shop.quoted(a_brief())
    assert client.get(f"{shop.paths(lead)[1]}.ics").status_code == 404


def test_a_feed_begins_a_month_back(shop: BuiltShop, client: TestClient) -> None:
    lead, path = booked(shop), a_feed(shop)
    shop.now = at(12, day=SUNDAY + timedelta(days=29))
    assert "setup" in by_part(read(client, path), lead)
    shop.now = at(12, day=SUNDAY + timedelta(days=33))
    assert read(client, path) == []
