"""A job from the website form to its cancellation, at the owner's desk and at the client's links.

Two people at two browsers, with pictures to look at; every page on the way is one that anybody can
use, and so is every other page of the desk.
"""

import asyncio
import io
import re
import zipfile
from collections.abc import Iterator
from pathlib import Path
from urllib.parse import urljoin, urlsplit

import pytest
from playwright.async_api import expect

from tests.whole.conftest import REFERENCE_DATE
from tests.whole.every_page import see_every_page
from tests.whole.feeds import check_booked, check_moved, entries_at, standings
from tests.whole.running import Running, running
from tests.whole.visiting import PATIENCE_MS, PICTURES, WALKS, Visitor, Walk, a_browser

pytestmark = [pytest.mark.whole, pytest.mark.timeout(600)]

PASSWORD = "eight oars and a cox"


@pytest.fixture
def shop(tmp_path: Path) -> Iterator[Running]:
    """Everything, on SQLite and the embedded Redis."""
    with running(tmp_path, {"GARLANDRY_REFERENCE_DATE": REFERENCE_DATE}) as started:
        yield started


@pytest.mark.parametrize("walk", WALKS, ids=lambda walk: walk.name)
def test_from_the_form_to_a_booked_date_and_its_cancellation(shop: Running, walk: Walk) -> None:
    PICTURES.mkdir(exist_ok=True)
    expect.set_options(timeout=PATIENCE_MS)
    asyncio.run(_walk(shop, walk))


async def _walk(shop: Running, walk: Walk) -> None:
    async with a_browser() as browser:
        client = await Visitor.come(browser, walk, walk.tongue.locale)
        owner = await Visitor.come(browser, walk, "en-US")
        shop.client().say("Could I talk to a person about the library's reopening?")
        status = await ask(client, shop, walk)
        await take_seat(owner, shop)
        request = await find_the_request(owner, walk)
        await widen_and_send(owner)
        link = await read_the_price(client)
        price = await change_a_line(owner, request)
        await pick_a_time(client, walk, link, price)
        await book_move_and_cancel(client, owner, walk, request)
        await client.page.goto(status)
        await client.look("30-request-in-the-end")
        assert client.faults + owner.faults == []


async def book_move_and_cancel(client: Visitor, owner: Visitor, walk: Walk, request: str) -> None:
    """As the desk says it, the client's page and both calendars."""
    lead_id = request.rpartition("/")[2]
    booking = f"/desk/bookings/{lead_id}"
    shelf = await read_the_shelf(owner)
    await record_the_deposit(owner, walk, request)
    assert await read_the_shelf(owner) != shelf
    await make_its_documents(owner, walk)
    feed = await make_a_feed(owner, walk, booking)
    own = await read_booked(client, walk)
    told, told_them = entries_at(feed, lead_id), entries_at(own, lead_id)
    check_booked(told, told_them, walk)
    await move_the_date(owner, walk, booking)
    check_moved(told, entries_at(feed, lead_id), walk)
    check_moved(told_them, entries_at(own, lead_id), walk)
    await see_every_page(owner)
    await cancel(owner, booking)
    assert standings(entries_at(feed, lead_id)) == {"CANCELLED"}
    assert await read_the_shelf(owner) == shelf
    await send_it_back(owner, walk)
    await read_canceled(client, walk)


async def ask(client: Visitor, shop: Running, walk: Walk) -> str:
    """By the website's form, for what the shop's rules want to be looked at; the request's page."""
    page = client.page
    await page.goto(f"{shop.service}/form")
    await page.locator("#p1-support").select_option("round_top_frame")
    await page.locator("[name=p1-width-ft]").fill("4")
    await page.locator("[name=p1-height-ft]").fill("7")
    for colour in ("sage", "cream", "white"):
        await page.locator(f"[name=colour][value={colour}]").check(force=True)
    for name, text in (
        ("date", walk.day),
        ("time", "15:00"),
        ("place", "boathouse lawn"),
        ("postal_code", "02139"),
        ("name", walk.client),
        ("email", "crew@rowing.example"),
    ):
        await page.locator(f"[name={name}]").fill(text)
    await page.locator("[name=setting][value=outdoor]").check()
    await client.look("01-form")
    # Whoever is faster than three seconds is taken for a machine.
    # They count from when the form was written: by a busy service, a while after it was asked.
    await page.evaluate(
        "new Promise(go => setTimeout(go, 3200 - performance.now()"
        " + performance.getEntriesByType('navigation')[0].responseEnd))"
    )
    await client.button(walk.tongue.ask).click()
    await expect(page.locator(".message")).to_contain_text(walk.tongue.looked_at_first)
    await client.look("02-request")
    return page.url


async def take_seat(owner: Visitor, shop: Running) -> None:
    """Choose the owner's password, which signs in."""
    await owner.page.goto(await asyncio.to_thread(shop.welcome))
    await owner.look("03-welcome")
    for name in ("password", "again"):
        await owner.page.locator(f"[name={name}]").fill(PASSWORD)
    await owner.button("Use this password").click()


async def find_the_request(owner: Visitor, walk: Walk) -> str:
    """What waits stands first, with why; its page is what is given back."""
    page = owner.page
    entry = page.locator("section", has=page.get_by_role("heading", name="Waits for you"))
    entry = entry.locator(".entry", has_text=walk.client)
    await expect(entry).to_contain_text("It is outdoors")
    await owner.look("04-desk")
    await entry.get_by_role("link").click()
    await expect(page.get_by_role("heading", name="Why it waits for you")).to_be_visible()
    await owner.look("05-lead")
    return urlsplit(page.url).path


async def widen_and_send(owner: Visitor) -> None:
    """A foot more: what it comes to is seen at once, and sent as it is."""
    page = owner.page
    await owner.follow("Change the brief")
    figures = page.locator("#figures")
    await expect(figures).not_to_contain_text("What you change")
    await page.get_by_label("Width, feet").first.fill("5")
    await expect(figures).to_contain_text("What you change")
    await expect(figures).to_contain_text(re.compile(r"\$\d+.*was \$\d+", re.DOTALL))
    await owner.look("06-brief")
    await owner.button("Save the brief").click()
    await expect(page.get_by_role("status")).to_contain_text("The brief is stored")
    await owner.button("as the firm price").click()
    await expect(page.get_by_role("status")).to_contain_text("on its way")
    await owner.look("07-sent")


async def read_the_price(client: Visitor) -> str:
    """The request's page has the price and leads to the quote, whose address is given back."""
    page = client.page
    quote = page.locator(".message a[href*='/quotes/']:not([href*=picture])")
    await page.reload()
    await expect(quote).to_have_count(1)
    await client.look("08-answered")
    await quote.click()
    await expect(page.locator("h1.price")).to_contain_text("$")
    await client.look("09-quote")
    return page.url


async def change_a_line(owner: Visitor, request: str) -> str:
    """One line of the price is another, for a reason, and a line is new; the price that makes."""
    page = owner.page
    await page.goto(urljoin(page.url, f"{request}/lines"))
    lines = page.locator(".price-line")
    await lines.nth(0).get_by_label("Amount").fill("123")
    await lines.last.get_by_label("One more, for").fill("A banner by hand")
    await lines.last.get_by_label("Amount").fill("40")
    await expect(page.locator("#of-sum")).to_be_hidden()
    price = (await page.locator("#sum").inner_text()).removesuffix(".00")
    await page.get_by_label("Why").fill("they bring their own flowers")
    await owner.look("10-lines")
    await owner.button("Send this price").click()
    await expect(page.get_by_role("status")).to_contain_text("on its way")
    await expect(page.get_by_role("row", name="A banner by hand")).to_be_visible()
    await expect(page.locator("p.price")).to_have_text(price)
    await owner.look("11-changed")
    return price


async def pick_a_time(client: Visitor, walk: Walk, link: str, price: str) -> None:
    """The first link has the newer price; a time is held by it, and then another one."""
    page = client.page
    await page.goto(link)
    await expect(page.get_by_text(walk.tongue.newer)).to_be_visible()
    await expect(page.locator("h1.price")).to_contain_text(price)
    await expect(page.get_by_role("row", name="A banner by hand")).to_contain_text("$40")
    await client.look("12-newer-quote")
    await client.follow(walk.tongue.pick)
    times = page.locator(".time")
    await expect(page.locator(".terms")).to_contain_text(walk.tongue.weather)
    await client.button(walk.tongue.hold).click()
    await expect(page.locator("#faults")).to_be_focused()
    await client.look("13-nothing-picked")
    await times.first.click()
    await page.locator("#accept").check()
    await client.button(walk.tongue.hold).dblclick()
    await expect(page.get_by_role("heading", name=walk.tongue.held)).to_be_visible()
    await client.look("14-held")
    await client.follow(walk.tongue.another)
    await times.last.click()
    await client.look("15-another-time")
    await client.button(walk.tongue.hold).click()
    await expect(page.get_by_role("heading", name=walk.tongue.held)).to_be_visible()


async def record_the_deposit(owner: Visitor, walk: Walk, request: str) -> None:
    """The desk says how long the date is held; the deposit books it."""
    page = owner.page
    await page.goto(urljoin(page.url, "/desk"))
    entry = page.locator("section", has=page.get_by_role("heading", name="Held, no deposit yet"))
    await expect(entry.locator(".entry", has_text=walk.client)).to_contain_text("runs out")
    await owner.look("16-held-desk")
    await page.goto(urljoin(page.url, request))
    await owner.look("17-held-lead")
    await owner.follow("The deposit is in")
    await expect(page.get_by_text("Held without a deposit until")).to_be_visible()
    await owner.look("18-held-booking")
    await page.get_by_label("How", exact=False).and_(page.locator("#method")).fill("bank transfer")
    await page.locator("#reference").fill("no. 4711")
    await owner.button("Record it").dblclick()
    await expect(page.get_by_role("status")).to_contain_text("the date is booked")
    await expect(page.locator(".payments li")).to_have_count(1)
    await expect(page.locator(".payments")).to_contain_text("bank transfer")
    await owner.look("19-booked")


async def make_its_documents(owner: Visitor, walk: Walk) -> None:
    """All of that day's at once, by a worker, in one file."""
    page = owner.page
    await page.goto(urljoin(page.url, "/desk/many"))
    for end in ("first", "last"):
        await page.locator(f"[name={end}]").fill(walk.day)
    await owner.button("Begin").click()
    await expect(page.get_by_role("status")).to_contain_text("6 of 6 made", timeout=30_000)
    await owner.look("19-documents")
    saved = await page.request.get(f"{page.url}/documents.zip")
    with zipfile.ZipFile(io.BytesIO(await saved.body())) as archive:
        files = [archive.read(name) for name in archive.namelist()]
    assert [file[:5] for file in files] == [b"%PDF-"] * 6


async def make_a_feed(owner: Visitor, walk: Walk, booking: str) -> str:
    """The day is in the calendar, however it is shown; and there is an address to read it from."""
    page = owner.page
    await page.goto(urljoin(page.url, booking))
    await owner.follow("The day in your calendar")
    for view in ("Week", "Day", "List"):
        await page.get_by_role("navigation", name="How to show it").get_by_text(view).click()
        await expect(page.get_by_role("link", name=walk.client).first).to_be_visible()
        await owner.look(f"20-calendar-{view.lower()}")
    await owner.follow("On your phone")
    await page.locator("#name").fill("Ida's phone")
    await owner.button("Make an address").click()
    address = await page.get_by_role("status").locator("code").text_content()
    await owner.look("21-feed")
    assert address is not None
    return address


async def read_booked(client: Visitor, walk: Walk) -> str:
    """The client's page says so; the address of the file for their calendar is given back."""
    await client.page.reload()
    await expect(client.page.get_by_role("heading", name=walk.tongue.booked)).to_be_visible()
    await client.look("22-booked")
    link = client.page.locator("a[href*='.ics']")
    return urljoin(client.page.url, await link.get_attribute("href") or "")


async def move_the_date(owner: Visitor, walk: Walk, booking: str) -> None:
    page = owner.page
    await page.goto(urljoin(page.url, booking))
    await page.locator("#day").fill(walk.other_day)
    await owner.button("Show free times").click()
    times = page.locator(".time")
    await expect(times.first).to_be_visible()
    await owner.look("23-another-date")
    await times.last.click()
    await owner.button("Change the date and tell the client").click()
    await expect(page.get_by_role("status")).to_contain_text("The date is changed")


async def read_the_shelf(owner: Visitor) -> str:
    await owner.page.goto(urljoin(owner.page.url, "/desk/stock"))
    return await owner.page.locator("table.onhand").inner_text()


async def cancel(owner: Visitor, booking: str) -> None:
    """By the shop's rules all of the deposit goes back this early."""
    page = owner.page
    await page.goto(urljoin(page.url, booking))
    await owner.follow("The client cancels")
    await expect(page.locator("#cancel")).to_contain_text("100% of the deposit goes back")
    await owner.look("25-cancel")
    await owner.button("Cancel the booking").dblclick()
    await expect(page.get_by_role("status").first).to_contain_text("The booking is canceled")
    await expect(page.get_by_text("has to go back to the client")).to_be_visible()
    await owner.look("26-canceled")


async def send_it_back(owner: Visitor, walk: Walk) -> None:
    """What has to go back stands under money until it is recorded."""
    page = owner.page
    await page.goto(urljoin(page.url, "/desk/money"))
    back = page.locator("section", has=page.get_by_role("heading", name="Has to go back"))
    await owner.look("27-money")
    await back.get_by_role("link", name=walk.client).click()
    await expect(page.locator("#kind")).to_have_value("refund")
    await owner.button("Record it").click()
    await expect(page.get_by_text("Nothing is open.")).to_be_visible()
    await owner.look("28-sent-back")


async def read_canceled(client: Visitor, walk: Walk) -> None:
    await client.page.reload()
    await expect(client.page.get_by_text(walk.tongue.canceled)).to_be_visible()
    await client.look("29-canceled")
