"""What a client reads and says of the hours: taking down, the end, the freshest time, a rush."""

from datetime import date, datetime, time, timedelta

from starlette.testclient import TestClient

from service.estimating import Brief, Event, Setting, Site
from service.leads import booking
from tests.service.building import BuiltShop, a_brief
from tests.service.leads.keeping_dates import SUNDAY, a_wall, at, booked, held, hold_of
from tests.service.pages.reading import agreed, elements_of, text_of

WHO = {"name": "Nora Ålund", "email": "nora@rowing.example", "phone": ""}
LAWN = Site(setting=Setting.OUTDOOR, postal_code="02472")
NOT_AGREED = "We agree with you on when we take it down."


def ending(end: time | None) -> Brief:
    return a_brief(event=Event(date=SUNDAY, start_time=time(15), end_time=end))


def picked(client: TestClient, path: str, **entered: str) -> int:
    form = WHO | agreed(client.get(f"{path}?change=1").text) | {"starts_at": at(9).isoformat()}
    return int(client.post(path, data=form | entered).status_code)


def test_while_the_end_is_unknown_no_hour_of_taking_down_is_told(
    shop: BuiltShop, client: TestClient
) -> None:
    lead = held(shop)
    path = shop.paths(lead)[1]
    page = text_of(client.get(path).text)
    assert "we take everything down. We agree with you on when." in page
    assert "7:00 PM" not in page
    lead = booked(shop, a_wall(), starts_at=at(12))
    path = shop.paths(lead)[1]
    assert f"Taken down {NOT_AGREED}" in text_of(client.get(path).text)
    dates = client.get(f"{path}.ics").text.replace("\r\n ", "")
    assert NOT_AGREED in dates


def test_once_the_end_is_known_it_is_told_when_it_is_taken_down(
    shop: BuiltShop, client: TestClient
) -> None:
    lead = held(shop, ending(time(17)))
    path = shop.paths(lead)[1]
    assert "take everything down: Sunday, June 6, 2027, 5:00 PM." in text_of(client.get(path).text)
    dates = client.get(f"{path}.ics").text.replace("\r\n ", "").replace("\\,", ",")
    assert "We take it down: Sunday, June 6, 2027, 5:00 PM." in " ".join(dates.split())


def test_the_client_says_when_it_ends_and_the_time_that_is_kept_follows(
    shop: BuiltShop, client: TestClient
) -> None:
    lead = shop.quoted(ending(None))
    path = shop.paths(lead)[1]
    assert "When does it end?" in text_of(client.get(path).text)
    assert picked(client, path, ends="late") == 422
    assert picked(client, path) == 303
    assert hold_of(shop, lead).stay.strikes_at == at(19)
    # The same time once more, and now it is known.
    assert picked(client, path, ends="5:30 pm") == 303
    assert hold_of(shop, lead).stay.strikes_at == at(17, 30)
    assert "down: Sunday, June 6, 2027, 5:30 PM." in text_of(client.get(path).text)
    (field,) = (
        each
        for each in elements_of(client.get(f"{path}?change=1").text, "input")
        if each.get("name") == "ends"
    )
    assert field["value"] == "17:30"
    # Left empty it stays as it was.
    assert picked(client, path, ends="") == 303
    assert shop.lead(lead.id).brief.event.end_time == time(17, 30)


def test_outdoors_the_latest_time_is_called_the_freshest(
    shop: BuiltShop, client: TestClient
) -> None:
    brief = a_brief(site=LAWN, event=Event(date=SUNDAY, start_time=time(15)))
    lead = shop.quoted(brief)
    shop.send_firm(lead)
    page = text_of(client.get(shop.paths(lead)[1]).text)
    assert "Outdoors, later is better" in page
    assert page.count("freshest") == 1
    assert page.index("freshest") > page.rindex("ready by")
    early = shop.quoted(a_brief(site=LAWN, event=Event(date=SUNDAY, start_time=time(9, 30))))
    shop.send_firm(early)
    page = text_of(client.get(shop.paths(early)[1]).text)
    assert "Before those times we can't make it all" in page
    assert "Write or call, and we'll look for a way:" in page
    assert "freshest" not in text_of(client.get(shop.paths(shop.quoted(a_brief()))[1]).text)


def test_a_rush_job_that_the_owner_agreed_to_can_be_booked(
    shop: BuiltShop, client: TestClient
) -> None:
    lead = shop.quoted(a_wall(date(2027, 1, 12), time(11)))
    shop.send_firm(lead)
    path = shop.paths(lead)[1]
    page = client.get(path).text
    assert "that day is sooner" not in text_of(page)
    (first, *_) = [
        str(each["value"]) for each in elements_of(page, "input") if each.get("name") == "starts_at"
    ]
    assert "We keep the time until Tuesday, January 12, 2027, 8:00 AM" in text_of(page)
    form = WHO | agreed(page) | {"starts_at": first}
    assert client.post(path, data=form).status_code == 303
    assert shop.lead(lead.id).state == "held"


def test_a_day_that_the_client_moved_to_is_offered_again_when_its_time_has_run_out(
    shop: BuiltShop, client: TestClient
) -> None:
    mine = shop.quoted(a_brief())
    held(shop)
    path = shop.paths(mine)[1]
    page = client.get(path).text
    (other, *_) = [
        str(each["value"]) for each in elements_of(page, "input") if each.get("name") == "instead"
    ]
    assert client.post(path, data=WHO | agreed(page) | {"instead": other}).status_code == 303
    shop.now += timedelta(days=3)
    booking.free_expired(shop.ports)
    page = client.get(path).text
    assert "Saturday, June 12, 2027" in text_of(page)
    assert client.post(path, data=WHO | agreed(page) | {"starts_at": other}).status_code == 303
    assert hold_of(shop, mine).window.starts_at == datetime.fromisoformat(other)
    # Another price is for the day that it was made for.
    shop.now += timedelta(days=3)
    booking.free_expired(shop.ports)
    shop.send_firm(mine)
    assert "Sunday, June 6, 2027" in text_of(client.get(path).text)


def test_a_set_up_that_would_end_after_the_place_closes_says_so(
    shop: BuiltShop, client: TestClient
) -> None:
    lead = shop.quoted(a_brief())
    path = shop.paths(lead)[1]
    form = WHO | agreed(client.get(path).text) | {"starts_at": at(9).isoformat()}
    answer = client.post(path, data=form | {"access_until": "10:00 am"})
    assert answer.status_code == 422
    assert "Setting up from then on takes until 10:30 AM" in text_of(answer.text)
    assert picked(client, path, access_until="10:30 am") == 303
