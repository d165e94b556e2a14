"""The price book's pages in a real browser: rows that come and go in place, and what axe finds."""

import asyncio

import pytest
from playwright.async_api import Page, expect
from starlette.testclient import TestClient

from tests.accessibility import violations
from tests.service.building import BuiltShop
from tests.service.pages.serving import DESKTOP, PHONE, a_page, keep_cookie, serving

pytestmark = pytest.mark.whole


async def look_around(page: Page, base: str, *paths: str) -> None:
    """No page keeps anybody out or is wider than the screen."""
    for path in paths:
        await page.goto(f"{base}{path}")
        await is_fine(page)


async def is_fine(page: Page) -> None:
    assert await violations(page) == []
    wider = await page.evaluate("document.documentElement.scrollWidth - window.innerWidth")
    assert wider <= 0, page.url


async def change_the_packs(page: Page, base: str) -> None:
    """A kit with two colors comes, a bag goes; a slip is mended; the rest is looked at, saved."""
    await page.goto(f"{base}/desk/book/packs")
    await page.locator("[id='bags.0'] > summary").click()
    await page.locator("[id='bags.0'] [data-remove]").click()
    kits = page.locator("[data-rows='kits']")
    await kits.locator("> .actions [data-add]").click()
    await expect(page.locator("[id='kits.3.item']")).to_be_focused()
    await page.keyboard.type("mixed pack quay")
    await page.locator("[id='kits.3.supplier']").fill("Millrace Party Supply")
    for index, colour in enumerate(("navy", "wite")):
        await page.locator("[data-rows='kits.3.contents'] > .actions [data-add]").click()
        row = f"kits.3.contents.{index}"
        await page.locator(f"[id='{row}.size_class']").select_option("10")
        await page.locator(f"[id='{row}.colour']").fill(colour)
        await page.locator(f"[id='{row}.count']").fill("20")
    # Enter looks, as the button at the end does.
    await page.locator("[id='kits.3.price']").press("Enter")
    await expect(page.locator("#faults")).to_contain_text("Mixed packs, 4, Price: Fill this in.")
    await is_fine(page)
    await page.locator("[id='kits.3.price']").fill("9.90")
    await page.locator("main").get_by_role("button", name="See what it changes").last.click()
    await expect(page.locator("#faults")).to_contain_text("No color 'wite' under colors")
    await page.locator("[id='kits.3.contents.1.colour']").fill("white")
    await page.locator("main").get_by_role("button", name="See what it changes").last.click()
    await expect(page.locator("h1")).to_have_text("What it changes")
    await is_fine(page)
    await page.get_by_role("button", name="Save this").click()
    await expect(page.get_by_role("status")).to_contain_text("Saved.")


def test_the_book_is_changed_by_hand(shop: BuiltShop, owner: TestClient) -> None:
    first = shop.price_books.newest().version
    cookie = owner.cookies.get("__Host-desk") or ""

    async def scenario(base: str) -> None:
        async with a_page(PHONE) as page:
            await keep_cookie(page, base, "__Host-desk", cookie)
            await change_the_packs(page, base)
            await look_around(
                page,
                base,
                "/desk/book",
                "/desk/book/prices",
                "/desk/book/versions",
                f"/desk/book/versions/{first}",
                "/desk/book/file",
            )
        async with a_page(DESKTOP, scheme="dark") as page:
            await keep_cookie(page, base, "__Host-desk", cookie)
            await look_around(page, base, "/desk/book/packs", "/desk/book/garland")

    with serving(shop) as base:
        asyncio.run(scenario(base))
    book = shop.price_books.current()
    assert (book.kits[3].item, len(book.kits[3].contents)) == ("mixed pack quay", 2)
    assert len([bag for bag in book.bags if bag.size_class == 5 and bag.group == "plain"]) == 2
