"""Days off at the desk: closing them, what is kept there, opening them again."""

import asyncio
from datetime import date, datetime
from typing import Any
from zoneinfo import ZoneInfo

import pytest
from starlette.testclient import TestClient

from service.leads import booking
from service.leads.handling import WELCOME_LINK
from service.leads.lead import Client
from tests.accessibility import violations
from tests.service.building import BuiltShop, a_brief
from tests.service.pages.reading import elements_of, hidden_in, text_of
from tests.service.pages.serving import DESKTOP, PHONE, a_page, serving

SUNDAY = date(2027, 6, 6)


def close(owner: TestClient, **entered: str) -> Any:
    csrf = hidden_in(owner.get("/desk/days-off").text)["csrf"]
    return owner.post("/desk/days-off", data={"csrf": csrf} | entered)


def test_days_are_closed_with_a_word_on_what_stays_and_opened_again(
    shop: BuiltShop, owner: TestClient
) -> None:
    lead = shop.quoted(a_brief())
    with shop.ports.work() as work:
        booking.place_hold(
            work,
            shop.ports,
            lead.id,
            starts_at=datetime(2027, 6, 6, 9, tzinfo=ZoneInfo("America/New_York")),
            client=Client(name="Nora Ålund"),
            now=shop.now,
        )
        work.commit()
    for _ in range(2):
        answer = close(owner, first="2027-06-05", last="6/6/2027", note="a wedding of ours")
        assert answer.status_code == 303
    page = owner.get(answer.headers["location"]).text
    assert "no set-up is offered there" in text_of(page)
    assert text_of(page).count("a wedding of ours") == 1
    assert "Saturday, June 5, 2027 to Sunday, June 6, 2027" in text_of(page)
    assert "G1001, Nora Ålund: Sunday, June 6, 2027, 9:00 AM (held, no deposit yet)" in text_of(
        page
    )
    assert f"/desk/bookings/{lead.id}" in [link["href"] for link in elements_of(page, "a")]
    (action,) = [
        str(form["action"])
        for form in elements_of(page, "form")
        if str(form["action"]).endswith("/open")
    ]
    for _ in range(2):
        opened = owner.post(action, data={"csrf": hidden_in(page)["csrf"]})
        assert opened.status_code == 303
    assert "Nothing is closed." in text_of(owner.get("/desk/days-off").text)


def test_an_hour_of_a_day_is_closed_alone(shop: BuiltShop, owner: TestClient) -> None:
    close(owner, first="2027-06-06", since="11:00", until="1 p.m.")
    page = text_of(owner.get("/desk/days-off").text)
    assert "Sunday, June 6, 2027, 11:00 AM to 1:00 PM" in page
    lead = shop.quoted(a_brief())
    with shop.ports.read() as work:
        quote = work.quotes.latest(lead.id, sent=True)
        assert quote is not None
        book = shop.price_books.current()
        found = booking.offered(work, lead, quote, book, day=SUNDAY, now=shop.now)
    assert {window.starts_at.hour for window in found} == {7, 8, 9, 13}


def test_what_cannot_be_closed_is_said_beside_its_field(owner: TestClient) -> None:
    entered: dict[str, str]
    for entered, said in (
        ({"first": ""}, "Pick a day"),
        ({"first": "soon"}, "Pick a day"),
        ({"first": "2027-06-06", "last": "2027-06-05"}, "The last day is before the first"),
        ({"first": "2026-06-06"}, "Those days have gone by"),
        ({"first": "2027-06-06", "since": "9:00"}, "Give both times"),
        ({"first": "2027-06-06", "since": "late"}, "Write the time like"),
    ):
        answer = close(owner, **entered)
        assert answer.status_code == 422
        assert said in text_of(answer.text)
    assert "Nothing is closed." in text_of(owner.get("/desk/days-off").text)


@pytest.mark.whole
def test_the_pages_of_dates_can_be_used_by_everybody(shop: BuiltShop) -> None:
    """Days off at the desk; picking a time, a full day, and a time that is kept."""
    asyncio.run(_walk(shop))


async def _walk(shop: BuiltShop) -> None:
    leads = [shop.quoted(a_brief()) for _ in range(2)]
    picking, *_ = paths = [shop.paths(lead)[1] for lead in leads]
    with serving(shop) as address:
        async with a_page(PHONE) as page:
            await page.goto(f"{address}{picking}")
            assert await violations(page) == []
            await page.locator("label.time").first.click()
            await page.get_by_label("Your name").fill("Nora")
            await page.get_by_label("Email").fill("nora@rowing.example")
            await page.get_by_label("I have read this and agree").check()
            await page.get_by_role("button", name="Hold this time").click()
            await page.get_by_text("I no longer need it").click()
            assert await violations(page) == []
            await page.goto(f"{address}{paths[1]}")
            assert await violations(page) == []
        async with a_page(DESKTOP, scheme="dark") as page:
            await page.goto(f"{address}/desk/welcome/{shop.link(WELCOME_LINK, 'owner')}")
            await page.locator("input[name=password]").fill("air by the river")
            await page.locator("input[name=again]").fill("air by the river")
            await page.locator("main button").first.click()
            await page.goto(f"{address}/desk/days-off")
            await page.get_by_label("First day").fill("2027-06-06")
            await page.get_by_role("button", name="Close these times").click()
            assert "Still in these times" in await page.inner_text("main")
            assert await violations(page) == []
