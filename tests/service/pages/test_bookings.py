"""The booking page: free times, holds, and times that are gone."""

import threading
from collections.abc import Callable
from dataclasses import replace
from datetime import date, datetime, time, timedelta
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest
from starlette.testclient import TestClient

from service.estimating import Brief, Event, Setting, Site, Support
from service.leads import booking, paying, terms
from service.leads.lead import Client, Lead, LeadState
from service.leads.payments import PaymentKind
from tests.service.building import PRICE_BOOK, BuiltShop, a_brief, a_piece, build_shop
from tests.service.leads.keeping_dates import pay
from tests.service.pages.conftest import browse
from tests.service.pages.reading import agreed, elements_of, text_of

WHO = {"name": "Nora Ålund", "email": "nora@rowing.example", "phone": ""}
SUNDAY = date(2027, 6, 6)


def times_on(html: str) -> list[str]:
    """The set-up times that can be picked."""
    return [
        str(box["value"]) for box in elements_of(html, "input") if box.get("name") == "starts_at"
    ]


def others_on(html: str) -> list[str]:
    """The times that are offered instead: to take with one press, or to pick from."""
    found = (*elements_of(html, "button"), *elements_of(html, "input"))
    return [str(each["value"]) for each in found if each.get("name") == "instead"]


def a_wall(**parts: Any) -> Brief:
    """A garland on a wall: nothing of the shop's own stands there."""
    return a_brief(pieces=(a_piece(support=Support.WALL, length_m=3.0),), **parts)


def hold(client: TestClient, path: str, starts_at: str, **entered: str) -> int:
    return int(take(client, path, starts_at, **entered).status_code)


def take(client: TestClient, path: str, starts_at: str, **entered: str) -> Any:
    """Pick a time and agree to what the page asks to agree to."""
    terms = agreed(client.get(path).text) | agreed(client.get(f"{path}?day=2027-06-09").text)
    return client.post(path, data=WHO | terms | {"starts_at": starts_at} | entered)


def test_free_times_of_the_day_are_offered_in_plain_words(
    shop: BuiltShop, client: TestClient
) -> None:
    lead = shop.quoted(a_brief())
    page = client.get(shop.paths(lead)[1])
    assert page.status_code == 200
    text = text_of(page.text)
    assert "Sunday, June 6, 2027" in text
    assert "9:00 AM, ready by 10:30 AM" in text
    with shop.ports.read() as work:
        quote = work.quotes.latest(lead.id, sent=True)
        assert quote is not None
        book = shop.price_books.current()
        free = booking.offered(work, lead, quote, book, day=SUNDAY, now=shop.now)
    assert [datetime.fromisoformat(value) for value in times_on(page.text)] == [
        window.starts_at for window in free
    ]


def test_the_page_says_what_a_time_is_picked_for_and_what_it_costs(
    shop: BuiltShop, client: TestClient
) -> None:
    columns = tuple(a_piece(support=Support.COLUMN, height_m=1.5 + i / 10) for i in range(6))
    lead = shop.quoted(a_brief(pieces=columns), language="es")
    shop.send_firm(lead)
    quote_path, path = shop.paths(lead)
    page = client.get(path).text
    (picture,) = (each for each in elements_of(page, "img") if "picture.webp" in str(each["src"]))
    assert str(picture["src"]).startswith(f"{quote_path}/picture.webp?of=")
    assert "columna" in str(picture["alt"])
    assert "y 2 más" in text_of(page)
    assert f"Tu precio: ${shop.estimate(lead.brief).price.likely:,.0f} (" in text_of(page)
    assert take(client, path, times_on(page)[0]).status_code == 303
    assert "y 2 más" in text_of(client.get(path).text)


def test_a_name_that_is_too_long_is_refused_in_words_not_cut(
    shop: BuiltShop, client: TestClient
) -> None:
    path = shop.paths(shop.quoted(a_brief()))[1]
    page = client.get(path).text
    (field,) = (each for each in elements_of(page, "input") if each.get("name") == "name")
    assert "maxlength" not in field
    answer = take(client, path, times_on(page)[0], name="N" * 121)
    assert answer.status_code == 422
    assert "Keep the name to 120 characters, please." in text_of(answer.text)


def test_a_picked_time_is_held_with_its_deposit_and_expiry(
    shop: BuiltShop, client: TestClient
) -> None:
    lead = shop.quoted(a_brief())
    path = shop.paths(lead)[1]
    picked = times_on(client.get(path).text)[4]
    answer = take(client, path, picked)
    assert answer.status_code == 303
    page = text_of(client.get(answer.headers["location"]).text)
    assert "This time is kept for you" in page
    assert "we arrive at 9:00 AM and are ready by 10:30 AM" in page
    assert "Tuesday, January 12, 2027, 8:00 PM" in page  # the evening two days on
    assert "hello@harborlane.example" in page
    with shop.ports.read() as work:
        quote = work.quotes.latest(lead.id)
        kept = work.holds.of_lead(lead.id)
    assert quote is not None
    assert kept is not None
    assert f"${quote.deposit:.0f} turns it into a booking" in page
    assert "Ida Marsh confirms the booking when the deposit is in." in page
    assert kept.client == Client(name="Nora Ålund", email="nora@rowing.example")
    assert shop.lead(lead.id).state == "held"


def test_pressing_twice_finds_the_same_hold(shop: BuiltShop, client: TestClient) -> None:
    lead = shop.quoted(a_brief())
    path = shop.paths(lead)[1]
    picked = times_on(client.get(path).text)[0]
    assert hold(client, path, picked) == 303
    with shop.ports.read() as work:
        first = work.holds.of_lead(lead.id)
    assert hold(client, path, picked) == 303
    with shop.ports.read() as work:
        assert work.holds.of_lead(lead.id) == first
        told = work.chats.messages("form", lead.id)
    (held,) = [m.message.text for m in told if "is held for you" in m.message.text]
    assert held.endswith(
        "or ask her for a payment link. The rest, $160, is due by Thursday, June 3, 2027."
    )


def test_a_time_that_somebody_else_holds_is_refused_with_the_free_ones(
    shop: BuiltShop, client: TestClient
) -> None:
    mine, theirs = shop.quoted(a_wall()), shop.quoted(a_wall())
    path = shop.paths(mine)[1]
    picked = times_on(client.get(path).text)[4]
    assert hold(client, shop.paths(theirs)[1], picked) == 303
    answer = take(client, path, picked)
    assert answer.status_code == 409
    assert "not free" in text_of(answer.text)
    still_free = times_on(answer.text)
    assert still_free
    assert picked not in still_free
    assert "Nora Ålund" in answer.text  # what was typed is not lost
    assert shop.lead(mine.id).state == "quoted"
    # The next ones stand above, each to be taken with one press.
    assert "Free now" in text_of(answer.text)
    nearest = others_on(answer.text)
    assert set(nearest) <= set(still_free)
    assert hold(client, path, picked, instead=nearest[0]) == 303
    with shop.ports.read() as work:
        kept = work.holds.of_lead(mine.id)
    assert kept is not None
    assert kept.window.starts_at == datetime.fromisoformat(nearest[0])


def test_where_the_frame_is_out_other_days_of_the_same_price_are_offered(
    shop: BuiltShop, client: TestClient
) -> None:
    mine, theirs = shop.quoted(a_brief()), shop.quoted(a_brief())
    path = shop.paths(mine)[1]
    picked = times_on(client.get(path).text)[4]
    assert hold(client, shop.paths(theirs)[1], picked) == 303
    for answer in (take(client, path, picked), client.get(path)):
        text = text_of(answer.text)
        assert "All set-up times on that day are taken." in text
        assert "Could it be another day? The price stays the same on these." in text
        # What the shop owns is nobody else's business.
        assert "round top frame" not in text
        others = others_on(answer.text)
        assert len(others) == 6
    assert "Saturday, June 12, 2027, 6:00 AM" in text
    assert hold(client, path, "", instead=others[0]) == 303
    assert shop.lead(mine.id).brief.event.date == SUNDAY + timedelta(days=6)
    page = client.get(f"{path}?change=1").text
    assert "Saturday, June 12, 2027" in text_of(page)
    assert others[0] in times_on(page)


def test_of_many_who_want_the_same_time_one_gets_it(
    shop: BuiltShop, browser: Callable[[], TestClient]
) -> None:
    leads = [shop.quoted(a_wall()) for _ in range(8)]
    paths = [shop.paths(lead)[1] for lead in leads]
    picked = times_on(browser().get(paths[0]).text)[0]
    answers: list[int] = []
    threads = [
        threading.Thread(target=lambda p=path: answers.append(hold(browser(), p, picked)))
        for path in paths
    ]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert sorted(answers) == [303] + [409] * 7


def test_another_time_replaces_the_first(shop: BuiltShop, client: TestClient) -> None:
    lead = shop.quoted(a_brief())
    path = shop.paths(lead)[1]
    first = times_on(client.get(path).text)[0]
    hold(client, path, first)
    again = client.get(f"{path}?change=1")
    assert "Pick another set-up time" in text_of(again.text)
    later = times_on(again.text)[-1]
    assert hold(client, path, later) == 303
    assert first in times_on(client.get(f"{path}?change=1").text)
    with shop.ports.read() as work:
        kept = work.holds.of_lead(lead.id)
    assert kept is not None
    assert kept.window.starts_at == datetime.fromisoformat(later)


def test_what_is_missing_or_wrong_is_said_beside_what_was_typed(
    shop: BuiltShop, client: TestClient
) -> None:
    lead = shop.quoted(a_brief())
    path = shop.paths(lead)[1]
    page = client.get(path).text
    picked = times_on(page)[3]
    entered: dict[str, str]
    for entered, said in (
        ({"name": ""}, "Tell us your name"),
        ({"email": ""}, "Leave an email address or a phone number"),
        ({"email": "nora at home"}, "doesn't look like an email address"),
        ({"email": "", "phone": "12"}, "phone number doesn't work"),
        ({"name": "🎈" * 200}, "Keep the name to 120 characters"),
        ({"starts_at": ""}, "Pick a set-up time first"),
        ({"starts_at": "next week"}, "Pick a set-up time first"),
        ({"starts_at": "2027-06-06T09:00:00"}, "Pick a set-up time first"),
        ({"starts_at": "0001-01-01T00:00:00+00:00"}, "Pick a set-up time first"),
        ({"access_from": "early"}, "Write the time like"),
        ({"access_from": "15:00", "access_until": "11:00"}, "has to be later than"),
        ({"accept": ""}, "Please read the terms and tick the box"),
        ({"terms": "0123456789abcdef"}, "The terms have changed while this page was open"),
    ):
        answer = client.post(path, data=WHO | agreed(page) | {"starts_at": picked} | entered)
        assert answer.status_code == 422
        assert said in text_of(answer.text)
        if "starts_at" not in entered:
            radios = [b for b in elements_of(answer.text, "input") if b.get("type") == "radio"]
            assert [box["value"] for box in radios if "checked" in box] == [picked]
    with shop.ports.read() as work:
        assert work.holds.of_lead(lead.id) is None


def test_a_time_that_was_never_offered_is_refused(shop: BuiltShop, client: TestClient) -> None:
    path = shop.paths(shop.quoted(a_brief()))[1]
    assert hold(client, path, "2027-06-06T03:00:00-04:00") == 409
    assert hold(client, path, "2027-06-07T09:00:00-04:00") == 409


def test_without_a_date_the_client_picks_the_day_first(shop: BuiltShop, client: TestClient) -> None:
    lead = shop.quoted(a_brief(event=Event()))
    path = shop.paths(lead)[1]
    page = client.get(path)
    assert "Which day is it?" in text_of(page.text)
    assert times_on(page.text) == []
    chosen = client.get(f"{path}?day=2027-06-09")
    assert "Wednesday, June 9, 2027" in text_of(chosen.text)
    picked = times_on(chosen.text)[0]
    assert hold(client, path, picked, day="2027-06-09") == 303
    assert shop.lead(lead.id).state == "held"


@pytest.mark.parametrize(
    ("day", "said"),
    [
        *((day, "Write the day as month/day/year") for day in ("soon", "2027-02-30", "🎈")),
        *((day, "Pick a day that is still to come") for day in ("2026-12-24", "2040-01-01")),
    ],
)
def test_a_day_that_cannot_be_is_refused_kindly(
    day: str, said: str, shop: BuiltShop, client: TestClient
) -> None:
    path = shop.paths(shop.quoted(a_brief(event=Event())))[1]
    page = client.get(path, params={"day": day})
    assert page.status_code == 200
    assert said in text_of(page.text)
    assert times_on(page.text) == []


def test_a_day_too_soon_says_how_much_notice_is_needed(shop: BuiltShop, client: TestClient) -> None:
    path = shop.paths(shop.quoted(a_brief(event=Event())))[1]
    text = text_of(client.get(f"{path}?day=2027-01-11").text)
    assert "We need 2 days to get ready" in text
    assert "hello@harborlane.example" in text


def test_an_event_too_early_for_the_set_up_is_explained(
    shop: BuiltShop, client: TestClient
) -> None:
    lead = shop.quoted(a_brief(event=Event(date=SUNDAY, start_time=time(7, 30))))
    text = text_of(client.get(shop.paths(lead)[1]).text)
    assert "Setting up takes longer than our hours on that day leave before your event" in text


def test_a_full_day_is_called_full(shop: BuiltShop, client: TestClient) -> None:
    # From 7:00 the set-up has to end half an hour before 9:15: room for one job only.
    early = a_wall(event=Event(date=SUNDAY, start_time=time(9, 15)))
    first, second = shop.quoted(early), shop.quoted(early)
    for value in times_on(client.get(shop.paths(first)[1]).text)[:1]:
        assert hold(client, shop.paths(first)[1], value) == 303
    text = text_of(client.get(shop.paths(second)[1]).text)
    assert "All set-up times on that day are taken." in text


def test_the_clients_own_time_stays_theirs_when_no_other_is_free(
    shop: BuiltShop, client: TestClient
) -> None:
    # Ready half an hour before 9:15, and at 7:00 the day begins: there is but one time.
    lead = shop.quoted(a_brief(event=Event(date=SUNDAY, start_time=time(9, 15))))
    path = shop.paths(lead)[1]
    assert hold(client, path, times_on(client.get(path).text)[0]) == 303
    text = text_of(client.get(f"{path}?change=1").text)
    assert "No other time is free that day. Your 7:00 AM stays kept for you." in text
    assert "taken" not in text


def test_the_clients_own_time_stands_among_the_others(shop: BuiltShop, client: TestClient) -> None:
    lead = shop.quoted(a_brief())
    path = shop.paths(lead)[1]
    mine = times_on(client.get(path).text)[4]
    assert hold(client, path, mine) == 303
    html = client.get(f"{path}?change=1").text
    assert mine in times_on(html)
    assert "kept for you now" in text_of(html)
    assert [b["value"] for b in elements_of(html, "input") if "checked" in b] == [mine]
    assert hold(client, path, mine) == 303
    assert len(times_on(html)) > 1


def test_changing_a_day_of_ones_own_choice_starts_at_that_day(
    shop: BuiltShop, client: TestClient
) -> None:
    lead = shop.quoted(a_brief(event=Event()))
    path = shop.paths(lead)[1]
    picked = times_on(client.get(f"{path}?day=2027-06-09").text)[0]
    assert hold(client, path, picked, day="2027-06-09") == 303
    assert picked in times_on(client.get(f"{path}?change=1").text)
    assert picked not in times_on(client.get(f"{path}?change=1&day=2027-06-10").text)


def test_a_time_whose_hold_has_run_out_can_be_taken_at_once(
    shop: BuiltShop, browser: Callable[[], TestClient]
) -> None:
    first, second = shop.quoted(a_brief()), shop.quoted(a_brief())
    picked = times_on(browser().get(shop.paths(first)[1]).text)[0]
    assert hold(browser(), shop.paths(first)[1], picked) == 303
    shop.now += timedelta(days=4)
    assert picked in times_on(browser().get(shop.paths(second)[1]).text)
    assert hold(browser(), shop.paths(second)[1], picked) == 303
    assert shop.lead(first.id).state == "quoted"


@pytest.mark.parametrize("state", ["new", "review", "declined", "lapsed", "done"])
def test_a_hold_that_comes_too_late_is_refused_in_plain_words(
    state: str, shop: BuiltShop, client: TestClient
) -> None:
    lead = shop.quoted(a_brief())
    path = shop.paths(lead)[1]
    picked = times_on(client.get(path).text)[0]
    _become(shop, lead, state)
    answer = take(client, path, picked)
    assert answer.status_code == 409
    assert "cannot become" not in answer.text
    assert "Nothing to pick here now" in text_of(answer.text)


def test_a_closed_weekday_is_named(tmp_path: Path) -> None:
    closed = "\n".join(
        line
        for line in PRICE_BOOK.read_text(encoding="utf-8").splitlines()
        if not line.strip().startswith("monday:")
    )
    book = tmp_path / "closed_on_mondays.yaml"
    book.write_text(closed, encoding="utf-8")
    folder = tmp_path / "closed"
    folder.mkdir()
    shop = build_shop(folder, price_book=book)
    path = shop.paths(shop.quoted(a_brief(event=Event())))[1]
    page = browse(shop).get(f"{path}?day=2027-06-07")
    assert "We don't set up on a Monday." in text_of(page.text)
    shop.engine.dispose()


def test_a_booked_or_done_lead_shows_its_time_and_no_deposit_to_pay(
    shop: BuiltShop, client: TestClient
) -> None:
    lead = _held(shop, client)
    _become(shop, lead, "booked")
    page = text_of(client.get(shop.paths(lead)[1]).text)
    assert "Booked" in page
    assert "turns it into a booking" not in page
    assert "Booked" in text_of(client.get(f"{shop.paths(lead)[1]}?change=1").text)


def test_a_hold_whose_time_has_passed_is_said_to_be_open(
    shop: BuiltShop, client: TestClient
) -> None:
    lead = _held(shop, client)
    shop.now += timedelta(days=3)
    assert "may be given to others" in text_of(client.get(shop.paths(lead)[1]).text)


def _held(shop: BuiltShop, client: TestClient) -> Lead:
    lead = shop.quoted(a_brief())
    path = shop.paths(lead)[1]
    assert hold(client, path, times_on(client.get(path).text)[0]) == 303
    return shop.lead(lead.id)


def _become(shop: BuiltShop, lead: Lead, state: str) -> None:
    with shop.ports.work() as work:
        work.leads.save(replace(lead, state=LeadState(state)))
        work.commit()


def test_a_lapsed_lead_asks_for_a_fresh_price(shop: BuiltShop, client: TestClient) -> None:
    lead = shop.quoted(a_brief())
    _become(shop, lead, "lapsed")
    page = client.get(shop.paths(lead)[1])
    assert page.status_code == 409
    assert "This price has run out" in text_of(page.text)


def test_the_terms_are_read_and_agreed_to_once(shop: BuiltShop, client: TestClient) -> None:
    lead = shop.quoted(a_brief())
    path = shop.paths(lead)[1]
    page = client.get(path).text
    now = terms.current(shop.ports)
    assert now.version
    assert " ".join(now.said("en").terms.split()) in text_of(page)
    assert "Outdoors" not in text_of(page)
    shop.now += timedelta(hours=1)
    assert hold(client, path, times_on(page)[4]) == 303
    with shop.ports.read() as work:
        kept = terms.accepted(work, lead.id)
    assert kept is not None
    assert (kept.version, kept.language, kept.at) == (now.version, "en", shop.now)
    # Another time is not another agreement.
    again = client.get(f"{path}?change=1").text
    assert agreed(again) == {}
    data = WHO | {"starts_at": times_on(again)[0]}
    assert client.post(path, data=data).status_code == 303


def test_what_stands_outdoors_has_the_weather_in_its_terms(
    shop: BuiltShop, client: TestClient
) -> None:
    site = Site(setting=Setting.OUTDOOR, postal_code="02472")
    lead = shop.quoted(a_brief(site=site), language="es")
    shop.send_firm(lead)
    page = text_of(client.get(shop.paths(lead)[1]).text)
    said = terms.current(shop.ports).said("es")
    assert said.weather
    for clause in (said.terms, said.weather):
        assert " ".join(clause.split()) in page
    assert "Lo he leído y estoy de acuerdo" in page


def test_the_venues_hours_narrow_the_times_and_are_kept(
    shop: BuiltShop, client: TestClient
) -> None:
    lead = shop.quoted(a_brief())
    path = shop.paths(lead)[1]
    early, later = (f"2027-06-06T{hour}:00:00-04:00" for hour in ("08", "11"))
    entered = {"access_from": "10 AM", "access_until": "14:00"}
    refused = take(client, path, early, **entered)
    assert refused.status_code == 422
    assert "We can't get in at that time" in text_of(refused.text)
    offered = [datetime.fromisoformat(value).time() for value in times_on(refused.text)]
    assert (offered[0], offered[-1]) == (time(10), time(12, 30))
    assert shop.lead(lead.id).brief.site.access_from is None
    assert hold(client, path, later, **entered) == 303
    site = shop.lead(lead.id).brief.site
    assert (site.access_from, site.access_until) == (time(10), time(14))
    values = {
        str(each["name"]): each.get("value")
        for each in elements_of(client.get(f"{path}?change=1").text, "input")
    }
    assert (values["access_from"], values["access_until"]) == ("10:00", "14:00")


def test_what_happens_next_is_said_with_the_ways_to_pay(
    shop: BuiltShop, client: TestClient
) -> None:
    lead = _held(shop, client)
    html = client.get(shop.paths(lead)[1]).text
    page = text_of(html)
    pay_to = terms.pay_to(shop.price_books.current(), "en")
    assert pay_to
    assert " ".join(pay_to.split()) in page
    assert "Please name G1001-1 with it." in page
    assert "You send the deposit by Tuesday, January 12, 2027, 8:00 PM." in page
    assert "we take everything down. We agree with you on when." in page
    links = [str(each.get("href")) for each in elements_of(html, "a")]
    assert f"{shop.paths(lead)[1]}.ics" in links


def test_the_price_and_who_confirms_it_are_said_until_it_is_firm(
    shop: BuiltShop, client: TestClient
) -> None:
    lead = _held(shop, client)
    path = shop.paths(lead)[1]
    promise, step = "Ida Marsh confirms it before you pay the rest.", "Ida Marsh confirms your"
    page = text_of(client.get(path).text)
    assert promise in page
    assert step in page
    shop.send_firm(lead, Decimal(430))
    page = text_of(client.get(path).text)
    assert "Price $430" in page
    assert promise not in page
    assert step not in page
    pay(shop, lead)
    page = text_of(client.get(path).text)
    assert "Price $430 Paid so far $215 Still to pay $215" in page


def test_a_price_that_is_paid_needs_nobody_to_confirm_it(
    shop: BuiltShop, client: TestClient
) -> None:
    lead = _held(shop, client)
    pay(shop, lead)
    with shop.ports.read() as work:
        due = paying.of_lead(work, lead, paying.quote_of(work, lead.id)).due
    pay(shop, lead, kind=PaymentKind.BALANCE, amount=due)
    page = text_of(client.get(shop.paths(lead)[1]).text)
    assert "Still to pay" not in page
    assert "confirms it" not in page
    assert "Price $325 Paid so far $325" in page


def test_a_time_that_is_no_longer_needed_is_given_back_once(
    shop: BuiltShop, browser: Callable[[], TestClient]
) -> None:
    lead, other = _held(shop, browser()), shop.quoted(a_brief())
    path = shop.paths(lead)[1]
    client = browser()
    assert "May we ask why?" in text_of(client.get(path).text)
    # Looking changes nothing.
    assert client.get(f"{path}/give-back").status_code == 404
    for why in ("the price", "anything at all"):
        answer = client.post(f"{path}/give-back", data={"why": why})
        assert answer.status_code == 303
    assert "That time is free again" in text_of(client.get(answer.headers["location"]).text)
    assert shop.lead(lead.id).state == "quoted"
    with shop.ports.read() as work:
        gave = [each for each in work.leads.history(lead.id) if each.what == "gave the date back"]
    assert [each.detail for each in gave] == [{"because": "the price"}]
    picked = times_on(browser().get(shop.paths(other)[1]).text)[0]
    assert hold(browser(), shop.paths(other)[1], picked) == 303
    _become(shop, lead, "booked")
    assert client.post(f"{path}/give-back").status_code == 409
