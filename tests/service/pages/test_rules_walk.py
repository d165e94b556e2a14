"""The owner changes a rule on the phone, tries it, saves it, and counts the shelf."""

import asyncio

import pytest
from playwright.async_api import Page, expect

from service.estimating import Setting, Site
from service.leads.handling import WELCOME_LINK
from service.leads.lead import Client
from tests.accessibility import violations
from tests.service.building import BuiltShop, a_brief
from tests.service.pages.reading import PASSWORD
from tests.service.pages.serving import PHONE, a_page, serving

pytestmark = pytest.mark.whole


def test_the_owner_changes_a_rule_and_counts_the_shelf_on_the_phone(shop: BuiltShop) -> None:
    meadow = Site(setting=Setting.OUTDOOR, place="meadow", postal_code="02472")
    lead = shop.quoted(a_brief(site=meadow), client=Client(name="Nora Ålund"))
    welcome = f"/desk/welcome/{shop.link(WELCOME_LINK, 'owner')}"

    async def scenario(base: str) -> None:
        async with a_page(PHONE) as page:
            await page.goto(f"{base}{welcome}")
            for field in await page.locator("input[type=password]").all():
                await field.fill(PASSWORD)
            await page.locator("main button").click()
            await _rules(page, base, lead.number)
            await _stock(page, base)

    with serving(shop) as base:
        asyncio.run(scenario(base))
    assert shop.price_books.current().review[0].when.threshold is False
    assert shop.price_books.current().stock_of[10, "navy"] == 21


async def _rules(page: Page, base: str, number: str) -> None:
    await page.goto(f"{base}/desk/rules")
    await _sound(page)
    first = page.get_by_role("group", name="1. It is outdoors.")
    await first.locator("summary").click()
    await first.get_by_label("Look first when").select_option("it is indoors")
    await page.get_by_role("button", name="Try them").click()
    await expect(page.locator("#tried")).to_contain_text("0 would have waited")
    await page.locator("#tried summary").click()
    await expect(page.get_by_role("link", name=number)).to_be_visible()
    await _sound(page)
    await page.get_by_role("button", name="Add a rule").click()
    await page.get_by_role("button", name="Save the rules").click()
    await expect(page.locator("#faults")).to_be_focused()
    await _sound(page)
    await page.get_by_role("button", name="Take rule 10 out").click()
    await page.get_by_role("button", name="Save the rules").click()
    await expect(page.get_by_role("status")).to_contain_text("Saved.")


async def _stock(page: Page, base: str) -> None:
    await page.goto(f"{base}/desk/stock")
    await _sound(page)
    await page.get_by_role("link", name="Count the shelf").click()
    await _sound(page)
    await page.get_by_label("navy, 10 in, counted").fill("21")
    await page.get_by_role("button", name="Keep this count").click()
    await expect(page.get_by_role("row", name="navy 10 in")).to_contain_text("21")
    await page.get_by_role("link", name="Everything that came in").click()
    await _sound(page)


async def _sound(page: Page) -> None:
    assert await violations(page) == [], page.url
    assert await page.evaluate("document.documentElement.scrollWidth") <= PHONE["width"]
