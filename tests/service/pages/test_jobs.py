"""Sheets of coming set-ups: what to make and to load, and nothing about money or in confidence."""

import asyncio
import re
from dataclasses import replace
from datetime import date, datetime, time, timedelta
from decimal import Decimal
from zoneinfo import ZoneInfo

import pytest
from starlette.testclient import TestClient

from service.estimating import (
    Brief,
    ColourShare,
    Event,
    Floating,
    FloatKind,
    Ground,
    Setting,
    Site,
    Support,
)
from service.leads import booking, handling
from service.leads.handling import WELCOME_LINK
from service.leads.lead import Client, Hold
from tests.accessibility import violations
from tests.service.building import BuiltShop, a_brief, a_piece
from tests.service.pages.reading import PASSWORD, elements_of, text_of
from tests.service.pages.serving import DESKTOP, PHONE, a_page, serving

SHOP_ZONE = ZoneInfo("America/New_York")
JUNE = date(2027, 6, 6)
ASKED = Client(name="Nora Ålund-Berg", email="nora@rowing.example", phone="+1 617 555 0199")
LAWN = Site(
    setting=Setting.OUTDOOR,
    place="boathouse lawn",
    postal_code="02472",
    ground=Ground.GRASS,
    access_from=time(9),
)


def the_clubs(day: date) -> Brief:
    """The rowing club's wish, with a bit of everything."""
    return a_brief(
        pieces=(a_piece(), a_piece(support=Support.COLUMN, height_m=1.8, count=2)),
        palette=(ColourShare(colour="sage"), ColourShare(colour="cream")),
        event=Event(occasion="anniversary", date=day, start_time=time(15)),
        site=LAWN,
        foils=("5", "0"),
        floating=(Floating(kind=FloatKind.LATEX, size_class=11, count=12),),
        notes="Our budget is $480, and the treasurer is treasurer@rowing.example",
    )


def held(shop: BuiltShop, day: date = JUNE, brief: Brief | None = None) -> Hold:
    """A date that is held for the rowing club, by a firm price."""
    lead = shop.quoted(
        brief or the_clubs(day), client=ASKED, channel="webchat", chat_id=f"chat-{day}"
    )
    with shop.ports.work() as work:
        handling.send_firm(
            work,
            shop.ports,
            lead_id=lead.id,
            basis_number=None,
            price=Decimal(1480),
            reason="rounded",
            text="See you at the river",
            now=shop.now,
        )
        quote = work.quotes.latest(lead.id, sent=True)
        assert quote is not None
        book = shop.price_books.current()
        window = booking.offered(work, lead, quote, book, day=day, now=shop.now)[0]
        hold = booking.place_hold(
            work, shop.ports, lead.id, starts_at=window.starts_at, client=ASKED, now=shop.now
        )
        work.commit()
    return hold


def booked(shop: BuiltShop, day: date = JUNE) -> Hold:
    hold = held(shop, day)
    with shop.ports.work() as work:
        lead = work.leads.get(hold.lead_id, lock=True)
        booking.book(work, shop.ports, lead, paid=Decimal(740), who="owner", now=shop.now)
        work.commit()
    return hold


def on(shop: BuiltShop, day: date, client: TestClient, *clients: TestClient) -> None:
    """It is the morning of that day; whoever was signed in has signed in anew."""
    shop.now = datetime.combine(day, time(7), SHOP_ZONE)
    for each in (client, *clients):
        each.cookies.delete("__Host-desk", domain="garlands.example", path="/")
        name = "Sam Okoye" if each is not client else ""
        page = each.get("/desk/sign-in").text
        (csrf,) = (tag["value"] for tag in elements_of(page, "input") if tag["name"] == "csrf")
        data = {"csrf": csrf, "password": PASSWORD, "name": name}
        assert each.post("/desk/sign-in", data=data).status_code == 303


def sheet(client: TestClient, hold: Hold) -> str:
    page = client.get(f"/desk/jobs/{hold.id}")
    assert page.status_code == 200
    return page.text


def test_coming_set_ups_are_listed_by_day_todays_first(
    shop: BuiltShop, owner: TestClient, helper: TestClient
) -> None:
    assert "Nothing is coming" in helper.get("/desk/jobs").text
    later, sooner = held(shop, JUNE + timedelta(days=7)), booked(shop)
    far = booked(shop, JUNE + timedelta(days=77))
    on(shop, JUNE, owner, helper)
    for client in (owner, helper):
        html = client.get("/desk/jobs").text
        found = re.findall(r'href="/desk/jobs/([\w-]+)"', html)
        assert found == [sooner.id, later.id]
        assert far.id not in html
        text = text_of(html)
        assert "Today, Sunday, June 6, 2027" in text
        assert text.count("not certain yet") == 1
        assert "boathouse lawn, 02472" in text
        assert "take down 7:00 PM" in text


def test_the_owner_sees_far_ahead_when_asking_for_it(
    shop: BuiltShop, owner: TestClient, helper: TestClient
) -> None:
    booked(shop)
    assert "Nothing is coming in the next two months." in text_of(owner.get("/desk/jobs").text)
    links = {str(link["href"]) for link in elements_of(owner.get("/desk/jobs").text, "a")}
    assert "/desk/jobs?later=yes" in links
    assert "Sunday, June 6, 2027" in text_of(owner.get("/desk/jobs?later=yes").text)
    helpers = text_of(helper.get("/desk/jobs?later=yes").text)
    assert "Nothing is coming in the next two months." in helpers
    assert "Later ones too" not in helpers


def test_what_is_taken_down_in_the_night_is_work_of_the_next_day_too(
    shop: BuiltShop, owner: TestClient, helper: TestClient
) -> None:
    brief = the_clubs(JUNE)
    event = replace(brief.event, start_time=time(19), end_time=time(1))
    hold = held(shop, brief=replace(brief, event=event))
    on(shop, JUNE + timedelta(days=1), owner, helper)
    text = text_of(helper.get("/desk/jobs").text)
    assert "Today, Monday, June 7, 2027" in text
    assert "arrive Sunday, June 6, 2027, 10:30 AM" in text
    assert "take down 9:00 AM" in text
    assert "Nora" in text_of(sheet(helper, hold))


def test_a_sheet_says_what_to_make_to_load_and_to_mind_when_and_where(
    shop: BuiltShop, owner: TestClient, helper: TestClient
) -> None:
    hold = booked(shop)
    on(shop, JUNE, owner, helper)
    with shop.ports.read() as work:
        quote = work.quotes.latest(hold.lead_id)
    assert quote is not None
    estimate = quote.estimate
    html = sheet(helper, hold)
    text = text_of(html)
    for counted in estimate.pieces:
        for line in counted.balloons:
            numbers = f"<td>{line.count}</td><td>{line.spares}</td>"
            assert f"{line.size_class} in {line.colour}</th>{numbers}" in html
    quads = sum(each.count for p in estimate.pieces for each in p.cluster_types)
    told = re.findall(r"(\d+) (?:mini quad|quad|duplet|cluster)s? (?:of six )?of", text)
    assert sum(map(int, told)) == quads
    for said in (
        "round-top frame, 4 ft wide and 7 ft tall",
        "2 columns",
        "column stand",
        "sandbag",
        "cord",
        "clips",
        "12 helium balloons",
        "Watch the wind",
        "Latex can set off a serious allergic reaction",
        "outdoors",
        "on grass",
        "open from 9:00 AM",
    ):
        assert said in text
    local = hold.window.starts_at.astimezone(SHOP_ZONE)
    for label in ("Leave", "Arrive", "Ready", "Take down"):
        assert f"<dt>{label}</dt>" in html
    assert f"Arrive{local:%-I:%M %p}" in text


def test_a_sheet_has_no_price_no_message_and_no_address_to_write_to(
    shop: BuiltShop, owner: TestClient, helper: TestClient
) -> None:
    hold = booked(shop)
    on(shop, JUNE, owner, helper)
    for html in (sheet(helper, hold), helper.get("/desk/jobs").text):
        assert "$" not in html
        assert "@" not in html
        for private in ("Ålund", "480", "treasurer", "See you at the river", "rounded", "740"):
            assert private not in text_of(html)
        opened = re.findall(r'"/desk/leads/[^/"]*([^"]*)"', html)
        assert set(opened) <= {"/build", "/documents"}
    with shop.ports.read() as work:
        quote = work.quotes.latest(hold.lead_id)
    assert quote is not None
    amounts = {str(line.amount) for line in quote.estimate.cost_lines if line.amount > 1}
    assert amounts
    assert not any(amount in text_of(sheet(helper, hold)) for amount in amounts)
    assert f"/desk/leads/{hold.lead_id}" in sheet(owner, hold)


def test_whom_to_ask_for_is_told_on_the_day_only(
    shop: BuiltShop, owner: TestClient, helper: TestClient
) -> None:
    hold = booked(shop)
    on(shop, JUNE - timedelta(days=1), owner, helper)
    for client in (owner, helper):
        before = sheet(client, hold)
        assert "shown on the day" in before
        assert "Nora" not in before
        assert "555 0199" not in before
    on(shop, JUNE, owner, helper)
    assert "Nora, +1 617 555 0199" in text_of(sheet(helper, hold))
    on(shop, JUNE + timedelta(days=2), owner, helper)
    assert helper.get(f"/desk/jobs/{hold.id}").status_code == 404


def test_a_date_that_was_given_back_is_gone(shop: BuiltShop, helper: TestClient) -> None:
    hold = held(shop, date(2027, 2, 14))
    assert "not certain yet" in sheet(helper, hold)
    with shop.ports.work() as work:
        lead = work.leads.get(hold.lead_id, lock=True)
        booking.release(work, shop.ports, lead, now=shop.now)
        work.commit()
    assert helper.get(f"/desk/jobs/{hold.id}").status_code == 404
    assert "Nothing is coming" in helper.get("/desk/jobs").text
    assert helper.get("/desk/jobs/nothing").status_code == 404


@pytest.mark.whole
def test_pages_of_helpers_and_about_them_keep_nobody_out(
    shop: BuiltShop, helper: TestClient
) -> None:
    assert helper.get("/desk/jobs").status_code == 200
    hold = booked(shop, date(2027, 2, 14))
    welcome = shop.link(WELCOME_LINK, "owner")
    paths = (
        "/desk/jobs",
        f"/desk/jobs/{hold.id}",
        "/desk/people",
        "/desk/account",
        "/desk/jobs/none",
    )

    async def walk(base: str) -> None:
        for viewport in (PHONE, DESKTOP):
            async with a_page(viewport=viewport) as page:
                path = f"/desk/welcome/{welcome}" if viewport is PHONE else "/desk/sign-in"
                await page.goto(f"{base}{path}")
                assert await violations(page) == [], path
                for field in await page.locator("input[type=password]").all():
                    await field.fill(PASSWORD)
                await page.locator("main form button").click()
                await page.wait_for_url("**/desk")
                for path in paths:
                    await page.goto(f"{base}{path}")
                    assert await violations(page) == [], path
                    wide = await page.evaluate("document.documentElement.scrollWidth")
                    assert wide <= viewport["width"], path

    with serving(shop) as base:
        asyncio.run(walk(base))
