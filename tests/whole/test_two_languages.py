"""From the first message to the ballpark, in both languages, as accessible as axe can tell."""

import asyncio
import re
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import pytest
from playwright.async_api import Page, ViewportSize, async_playwright, expect

from tests.accessibility import violations
from tests.whole.conftest import REFERENCE_DATE
from tests.whole.running import Running, running

pytestmark = [pytest.mark.whole, pytest.mark.timeout(240)]

PICTURES = Path(__file__).resolve().parents[2] / ".pictures"
SIZES = {
    "phone": ViewportSize(width=360, height=740),
    "desktop": ViewportSize(width=1280, height=800),
}
_FLAGS = ["--no-sandbox", "--disable-gpu", "--disable-background-networking", "--no-first-run"]


@dataclass(frozen=True, kw_only=True)
class Tongue:
    """What a client of one language writes, and what stands on the buttons."""

    code: str
    box: str
    send: str
    wish: str
    yes: str
    quote: str
    ask: str
    outdoors_or_in: str


ENGLISH = Tongue(
    code="en",
    box="Your message",
    send="Send",
    wish="hi, a 6 ft hoop in sage and cream for the library's reopening, june 6 at 3pm, inside,"
    " 02139",
    yes="Yes, price it",
    quote="See the whole quote",
    ask="Ask for the price",
    outdoors_or_in="Indoors",
)
SPANISH = Tongue(
    code="es",
    box="Tu mensaje",
    send="Enviar",
    wish="hola, un aro de 6 pies salvia y crema para la reapertura de la biblioteca, el 6 de junio"
    " a las 3 de la tarde, adentro, 02139",
    yes="Sí, cotízalo",
    quote="Ver la cotización completa",
    ask="Pedir el precio",
    outdoors_or_in="Adentro",
)


@pytest.fixture(scope="module")
def shop(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Running]:
    settings = {"GARLANDRY_REFERENCE_DATE": REFERENCE_DATE}
    with running(tmp_path_factory.mktemp("shop"), settings) as started:
        yield started


# Each pair of channel, size and language is met once.
@pytest.mark.parametrize(
    ("channel", "size", "tongue"),
    [
        ("chat", "phone", SPANISH),
        ("chat", "desktop", ENGLISH),
        ("form", "phone", ENGLISH),
        ("form", "desktop", SPANISH),
    ],
)
def test_a_ballpark_in_the_clients_language(
    shop: Running, tongue: Tongue, size: str, channel: str
) -> None:
    asyncio.run(_visit(shop, tongue, size, channel))


async def _visit(shop: Running, tongue: Tongue, size: str, channel: str) -> None:
    faults: list[str] = []
    async with async_playwright() as playwright:
        browser = await playwright.chromium.launch(executable_path="/usr/bin/chromium", args=_FLAGS)
        context = await browser.new_context(
            viewport=SIZES[size], locale=tongue.code, reduced_motion="reduce"
        )
        page = await context.new_page()
        page.set_default_timeout(20_000)
        page.on("pageerror", lambda error: faults.append(str(error)))
        await (_chat if channel == "chat" else _form)(page, shop, tongue)
        PICTURES.mkdir(exist_ok=True)
        picture = PICTURES / f"{channel}-{tongue.code}-{size}.png"
        await page.screenshot(path=picture, full_page=True)
        await browser.close()
    assert faults == []


async def _chat(page: Page, shop: Running, tongue: Tongue) -> None:
    await page.goto(shop.chat)
    await expect(page.locator("#log .out").first).to_be_visible()
    assert await violations(page) == []
    await page.get_by_label(tongue.box, exact=True).fill(tongue.wish)
    await page.get_by_role("button", name=tongue.send, exact=True).click()
    yes = page.get_by_role("button", name=tongue.yes)
    await expect(yes).to_be_visible()
    assert await violations(page) == []
    await yes.click()
    await _priced(page, tongue)


async def _form(page: Page, shop: Running, tongue: Tongue) -> None:
    await page.goto(f"{shop.service}/form")
    assert await violations(page) == []
    await page.locator("#p1-support").select_option("hoop")
    await page.locator("[name=p1-width-ft]").fill("6")
    await page.locator("[name=colour][value=sage]").check(force=True)
    await page.locator("[name=date]").fill("2027-06-06")
    await page.locator("[name=time]").fill("15:00")
    await page.locator("[name=postal_code]").fill("02139")
    await page.get_by_role("radio", name=tongue.outdoors_or_in).check()
    await page.locator("[name=name]").fill("Nora Ålund")
    await page.wait_for_timeout(3_100)  # whoever is faster is taken for a machine
    await page.get_by_role("button", name=tongue.ask).click()
    # What is missing is said beside its field.
    await expect(page.locator("[aria-invalid=true]").first).to_be_visible()
    assert await violations(page) == []
    await page.locator("[name=email]").fill("nora@rowing.example")
    await page.wait_for_timeout(3_100)
    await page.get_by_role("button", name=tongue.ask).click()
    await _priced(page, tongue)


async def _priced(page: Page, tongue: Tongue) -> None:
    """The ballpark has come, and its quote page opens in the same language."""
    link = page.get_by_role("link", name=re.compile(tongue.quote)).first
    await expect(link).to_be_visible()
    assert await violations(page) == []
    address = await link.get_attribute("href")
    quote = await page.context.new_page()
    await quote.goto(address or "")
    assert await quote.locator("html").get_attribute("lang") == tongue.code
    assert await violations(quote) == []
    await quote.close()
