"""The calendar at the desk and its feeds, as the owner sees them."""

import asyncio
from datetime import timedelta

from playwright.async_api import Page
from starlette.testclient import TestClient

from service.leads.closing import ClosedTime
from service.leads.handling import WELCOME_LINK
from tests.accessibility import violations
from tests.service.building import BuiltShop
from tests.service.leads.keeping_dates import SUNDAY, a_wall, at, booked, held
from tests.service.pages.reading import PASSWORD, elements_of, hidden_in, text_of
from tests.service.pages.serving import DESKTOP, PHONE, a_page, serving


def two_jobs(shop: BuiltShop) -> tuple[str, str]:
    """A booked one and a held one on the same Sunday: their pages."""
    first = booked(shop)
    second = held(shop, a_wall(), starts_at=at(11, 30))
    return f"/desk/bookings/{first.id}", f"/desk/bookings/{second.id}"


def close_saturday(shop: BuiltShop) -> None:
    """And Friday, so that what is made on the eve has no room."""
    closed = ClosedTime(
        id="fair",
        first=SUNDAY - timedelta(days=2),
        last=SUNDAY - timedelta(days=1),
        note="a fair",
        made_at=shop.now,
    )
    with shop.ports.work() as work:
        work.closed.add(closed)
        work.commit()


def test_a_week_shows_every_part_of_every_job_on_its_day(
    shop: BuiltShop, owner: TestClient
) -> None:
    jobs = two_jobs(shop)
    html = owner.get(f"/desk/calendar?on={SUNDAY}").text
    text = text_of(html)
    assert "June 6 to June 12, 2027" in text
    assert "set up 9:00 AM to 10:30 AM" in text
    assert "take down 7:00 PM to 7:30 PM" in text
    assert "held until Tuesday 8:00 PM" in text
    assert set(jobs) <= {a.get("href") for a in elements_of(html, "a")}
    days = [s["id"] for s in elements_of(html, "section") if str(s.get("id")).startswith("d2027")]
    assert days == [f"d{SUNDAY + timedelta(days=n)}" for n in range(7)]
    drawn = [rect["class"] for rect in elements_of(html, "rect")]
    assert {"make", "leave", "setup", "event", "strike"} == set(drawn)


def test_a_day_tells_one_thing_after_the_other(shop: BuiltShop, owner: TestClient) -> None:
    two_jobs(shop)
    text = text_of(owner.get(f"/desk/calendar?view=day&on={SUNDAY}").text)
    order = text[text.index("One after the other") :]
    times = [
        order.index(f"{at_} {what}") for at_, what in (("to 10:30 AM", "set up"), ("", "event"))
    ]
    assert times == sorted(times)
    assert order.index("leave: Nora") < order.index("set up: Nora")


def test_a_list_goes_on_by_its_own_address(shop: BuiltShop, owner: TestClient) -> None:
    two_jobs(shop)
    html = owner.get("/desk/calendar?view=list&on=2027-04-10").text
    assert "Sunday, June 6, 2027, 9:00 AM, ready by 10:30 AM" in text_of(html)
    (later,) = [a["href"] for a in elements_of(html, "a") if a.get("rel") == "next"]
    assert "Nothing is held or booked" in text_of(owner.get(str(later)).text)


def test_today_is_marked_and_an_address_that_means_nothing_is_today(
    shop: BuiltShop, owner: TestClient
) -> None:
    for query in ("", "?on=soon&view=month", "?on=0001-01-01"):
        html = owner.get(f"/desk/calendar{query}").text
        (today,) = [a for a in elements_of(html, "a") if a.get("aria-current") == "date"]
        assert str(today["href"]).endswith("2027-01-10")


def test_what_does_not_fit_stands_at_the_top_with_the_way_to_it(
    shop: BuiltShop, owner: TestClient
) -> None:
    first, _ = two_jobs(shop)
    close_saturday(shop)
    before = text_of(owner.get(f"/desk/calendar?on={SUNDAY - timedelta(days=1)}").text)
    assert "closed: a fair" in before
    html = owner.get(f"/desk/calendar?on={SUNDAY}").text
    text = text_of(html)
    assert "of making do not fit in" in text
    assert first in [a.get("href") for a in elements_of(html, "a")]


def test_a_feed_is_shown_once_and_closed_for_good(shop: BuiltShop, owner: TestClient) -> None:
    form = hidden_in(owner.get("/desk/feeds").text)
    assert owner.post("/desk/feeds", data=form | {"role": "owner"}).status_code == 422
    made = owner.post("/desk/feeds", data=form | {"role": "owner", "name": "Ida, kitchen"})
    address = text_of(made.text).partition("https://garlands.example")[2].split(" ")[0]
    assert owner.get(address).status_code == 200
    again = owner.get("/desk/feeds").text
    assert "Ida, kitchen" in again
    assert address not in again
    (close,) = [
        str(f["action"]) for f in elements_of(again, "form") if "revoke" in str(f["action"])
    ]
    assert owner.post(close, data=form).status_code == 303
    assert owner.get(address).status_code == 404
    assert "Ida, kitchen" not in owner.get("/desk/feeds").text


def test_the_calendar_and_a_jobs_page_are_for_everybody_on_every_screen(shop: BuiltShop) -> None:
    first, second = two_jobs(shop)
    close_saturday(shop)
    wide_ones = (f"/desk/calendar?on={SUNDAY}", f"{second}?day={SUNDAY}&why=client")
    others = (
        f"/desk/calendar?view=day&on={SUNDAY}",
        f"/desk/calendar?view=list&on={SUNDAY}",
        "/desk/feeds",
        "/desk/money",
        f"{first}?cancel=client",
    )

    async def sign_in(page: Page, base: str) -> None:
        await page.goto(f"{base}/desk/welcome/{shop.link(WELCOME_LINK, 'owner')}")
        for box in await page.locator("input[type=password]").all():
            await box.fill(PASSWORD)
        await page.locator("main button").click()

    async def look(base: str) -> list[str]:
        faults: list[str] = []
        for viewport, pages in ((PHONE, wide_ones + others), (DESKTOP, wide_ones)):
            async with a_page(viewport) as page:
                await sign_in(page, base)
                for path in pages:
                    await page.goto(f"{base}{path}")
                    wide = await page.evaluate("document.documentElement.scrollWidth")
                    faults += [f"{path}: {wide} wide"] * (wide > viewport["width"])
                    faults += [f"{path}: {fault}" for fault in await violations(page)]
        return faults

    with serving(shop) as base:
        assert asyncio.run(look(base)) == []
