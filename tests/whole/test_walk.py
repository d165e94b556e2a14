"""A walk through everything that people see, in headless Chromium, with pictures to look at."""

from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, ViewportSize, expect, sync_playwright

from tests.whole.conftest import CANONICAL
from tests.whole.running import Running

pytestmark = [pytest.mark.whole, pytest.mark.timeout(240)]

PICTURES = Path(__file__).resolve().parents[2] / ".pictures"
PHONE = ViewportSize(width=360, height=740)
DESKTOP = ViewportSize(width=1280, height=800)
PASSWORD = "eight oars and a cox"

_FLAGS = (
    "--no-sandbox",
    "--disable-gpu",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--no-first-run",
)


@pytest.fixture
def browser() -> Iterator[Browser]:
    with sync_playwright() as playwright:
        launched = playwright.chromium.launch(
            executable_path="/usr/bin/chromium", args=list(_FLAGS)
        )
        yield launched
        launched.close()


class Visitor:
    """A person at a browser window who takes a picture of what they see."""

    def __init__(self, browser: Browser, size: ViewportSize) -> None:
        self.faults: list[str] = []
        self._name = f"{size['width']}"
        self._context = browser.new_context(viewport=size, reduced_motion="reduce")
        self.page: Page = self._context.new_page()
        self.page.set_default_timeout(20_000)
        self.page.on("pageerror", lambda error: self.faults.append(str(error)))

    def picture(self, what: str) -> None:
        PICTURES.mkdir(exist_ok=True)
        self.page.screenshot(path=PICTURES / f"{what}-{self._name}.png", full_page=True)
        wide = self.page.evaluate("document.documentElement.scrollWidth > innerWidth")
        assert not wide, f"{what} scrolls sideways at {self._name} pixels"


def take_seat(desk: Page, shop: Running) -> None:
    """Choose the owner's password, which signs in."""
    desk.goto(shop.welcome())
    for field in desk.locator("input[type=password]").all():
        field.fill(PASSWORD)
    desk.locator("main button").first.click()


@pytest.mark.parametrize("size", [PHONE, DESKTOP], ids=["phone", "desktop"])
def test_from_the_first_message_to_a_held_date(
    shop: Running, browser: Browser, size: ViewportSize
) -> None:
    client = Visitor(browser, size)
    page = client.page
    page.goto(shop.chat)
    page.get_by_label("Your message").fill(CANONICAL)
    page.get_by_role("button", name="Send").click()
    page.get_by_role("button", name="Yes, price it").click()
    quote_link = page.get_by_role("link", name="See the whole quote")
    expect(quote_link).to_be_visible()
    client.picture("1-conversation")
    page.reload()
    expect(quote_link).to_be_visible()

    page.goto(quote_link.get_attribute("href") or "")
    expect(page.get_by_text("CHOKING HAZARD")).to_be_visible()
    client.picture("2-quote")

    page.get_by_role("link", name="Pick a set-up time").first.click()
    page.locator("label", has_text="ready by").first.click()
    page.get_by_label("Your name").fill("Nora Ålund")
    page.get_by_label("Email").fill("nora@rowing.example")
    page.get_by_label("I have read this and agree").check()
    client.picture("3-booking")
    page.get_by_role("button", name="Hold this time").dblclick()
    expect(page.get_by_text("This time is kept for you")).to_be_visible()
    client.picture("4-held")

    page.goto(shop.chat)
    expect(page.get_by_text("is held for you")).to_have_count(1)
    assert client.faults == []


@pytest.mark.parametrize("size", [PHONE, DESKTOP], ids=["phone", "desktop"])
def test_from_the_website_form_to_the_owners_answer(
    shop: Running, browser: Browser, size: ViewportSize
) -> None:
    client = Visitor(browser, size)
    page = client.page
    page.goto(f"{shop.service}/form")
    page.locator("#p1-support").select_option("round_top_frame")
    page.locator("[name=p1-width-ft]").fill("4")
    page.locator("[name=p1-height-ft]").fill("7")
    for colour in ("sage", "cream", "gold"):
        page.locator(f"[name=colour][value={colour}]").check(force=True)
    page.get_by_label("Day").fill("2027-06-06")
    page.get_by_label("Starts at").fill("15:00")
    page.get_by_label("Place").fill("boathouse hall")
    page.get_by_label("ZIP code").fill("02139")
    page.get_by_role("radio", name="Outdoors").check()
    page.get_by_label("Your name").fill("Nora <b>Ålund</b>")
    page.get_by_label("Email").fill("nora@rowing.example")
    client.picture("5-form")
    page.wait_for_timeout(3_100)  # whoever is faster is taken for a machine
    page.get_by_role("button", name="Ask for the price").click()
    expect(page.get_by_text("wants to look at this one before naming a price")).to_be_visible()
    client.picture("6-request")

    owner = Visitor(browser, size)
    desk = owner.page
    take_seat(desk, shop)
    expect(desk.get_by_text("It is outdoors").first).to_be_visible()
    owner.picture("7-desk")
    desk.get_by_role("link", name="Nora <b>Ålund</b>").first.click()
    expect(desk.get_by_text("boathouse hall").first).to_be_visible()
    owner.picture("8-lead")

    page.reload()
    expect(page.get_by_text("wants to look at this one before naming a price")).to_be_visible()
    assert client.faults == []
    assert owner.faults == []


@pytest.mark.parametrize("size", [PHONE, DESKTOP], ids=["phone", "desktop"])
def test_from_a_wish_for_a_person_to_the_owners_words(
    shop: Running, browser: Browser, size: ViewportSize
) -> None:
    client = Visitor(browser, size)
    page = client.page
    page.goto(shop.chat)
    for words in ("Hello there!", "Could I talk to a person about the library's reopening?"):
        page.get_by_label("Your message").fill(words)
        page.get_by_role("button", name="Send").click()
    expect(page.get_by_text("sees this conversation")).to_be_visible()

    owner = Visitor(browser, size)
    desk = owner.page
    take_seat(desk, shop)
    expect(desk.get_by_role("heading", name="Asks for you")).to_be_visible()
    owner.picture("9-desk-asked-for")
    desk.get_by_role("link", name="the library's reopening").click()
    desk.get_by_role("button", name="Send this answer").click()
    expect(desk.get_by_text("Write a few words first")).to_be_visible()
    owner.picture("10-conversation")
    desk.get_by_label("Your answer").fill("Of course. Is the big hall meant?")
    desk.get_by_role("button", name="Send this answer").click()
    expect(desk.get_by_text("on their way to the client")).to_be_visible()

    expect(page.get_by_text("Is the big hall meant?")).to_be_visible()  # without loading afresh
    page.get_by_label("Your message").fill("Yes, the one with the gallery")
    page.get_by_role("button", name="Send").click()
    expect(page.get_by_text("That's for Ida Marsh")).to_be_visible()
    client.picture("11-answered")
    desk.get_by_role("link", name="Desk", exact=True).click()
    desk.get_by_role("link", name="the one with the gallery").click()
    desk.get_by_role("button", name="Nothing to answer").click()
    expect(desk.get_by_role("heading", name="Waits for you")).to_be_visible()
    expect(desk.get_by_role("heading", name="Asks for you")).to_have_count(0)
    assert client.faults == []
    assert owner.faults == []
