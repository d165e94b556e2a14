"""One request in a real browser: the figures follow the typing, and nobody is kept out."""

import asyncio
import re

import pytest
from playwright.async_api import Page, ViewportSize, expect

from service.estimating import Setting, Site
from service.leads.handling import WELCOME_LINK
from service.leads.lead import Client
from tests.accessibility import violations
from tests.service.building import BuiltShop, a_brief
from tests.service.pages.reading import PASSWORD
from tests.service.pages.serving import DESKTOP, PHONE, a_page, serving

pytestmark = pytest.mark.whole

OUTDOORS = Site(setting=Setting.OUTDOOR, place="lower lock", postal_code="02472")


async def sign_in(page: Page, base: str, token: str) -> None:
    await page.goto(f"{base}/desk/welcome/{token}")
    await page.fill("input[name=password]", PASSWORD)
    await page.fill("input[name=again]", PASSWORD)
    await page.click("main button")


async def fits_and_is_open_to_all(page: Page) -> None:
    assert await violations(page) == []
    wide = await page.evaluate("document.documentElement.scrollWidth - innerWidth")
    assert wide <= 0


@pytest.mark.parametrize("viewport", [PHONE, DESKTOP], ids=["phone", "desktop"])
def test_a_brief_is_changed_and_its_price_set_line_by_line(
    shop: BuiltShop, viewport: ViewportSize
) -> None:
    lead = shop.quoted(a_brief(site=OUTDOORS), client=Client(name="Nora Ålund"))
    shop.quoted(a_brief(site=OUTDOORS), client=Client(name="Nora"))
    token = shop.link(WELCOME_LINK, "owner")

    async def scenario(base: str) -> None:
        async with a_page(viewport) as page:
            await sign_in(page, base, token)
            here = f"{base}/desk/leads/{lead.id}"
            for path in ("", "/merge", "/options", "/lines", "/brief"):
                await page.goto(here + path)
                await fits_and_is_open_to_all(page)
            await page.fill("[name=p1-width-ft]", "5")
            figures = page.locator("#figures")
            await expect(figures).to_contain_text("width 4 ft → 5 ft")
            await expect(figures).to_contain_text(re.compile(r"Likely price\s*\$\d+ was \$\d+"))
            await page.fill("[name=p1-width-ft]", "wide")
            await expect(figures).to_contain_text("Write the size in numbers")
            await page.fill("[name=p1-width-ft]", "5")
            await expect(figures).to_contain_text("width 4 ft → 5 ft")
            await fits_and_is_open_to_all(page)
            await page.click("text=Save the brief")
            await expect(page.locator("main")).to_contain_text("a new price that only you see")
            await page.goto(here + "/lines")
            await page.fill("[name=l1-amount]", "100")
            await page.fill("[name=l2-amount]", "1,200.50")
            await page.check("[name=l3-out]")
            await page.fill("[name=l4-label]", "Early access on Sunday")
            await page.fill("[name=l4-amount]", "-0.50")
            await expect(page.locator("#sum")).to_have_text("$1,300.00")

    with serving(shop) as base:
        asyncio.run(scenario(base))
    changed = shop.lead(lead.id)
    assert changed.brief.pieces[0].width_m == 1.524
