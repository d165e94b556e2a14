"""The whole page, looked over by axe-core in each size, language and scheme."""

import asyncio
from datetime import date
from typing import Literal

import pytest
from playwright.async_api import Page, ViewportSize, expect

from bot.dialogue.messages import Button, Message, Swatch
from tests.accessibility import violations
from tests.bot.webchat.browsing import DESK, PHONE, SMALLEST, a_page, a_picture, chat_of
from tests.bot.webchat.memory import MemoryGateway
from tests.bot.webchat.serving import greeting, serving
from tests.bot.webchat.test_choices import month, steps

pytestmark = pytest.mark.whole


async def _converse(gateway: MemoryGateway, page: Page) -> None:
    """Everything that a conversation can show, at once."""
    chat = await chat_of(page)
    await page.locator("#file").set_input_files(
        {"name": "room.jpg", "mimeType": "image/jpeg", "buffer": a_picture()}
    )
    await expect(page.locator("#send")).to_be_enabled()
    await page.locator("#send").click()
    await expect(page.locator("#log .in[data-seq]")).to_have_count(1)
    links = (
        Button(label="See the quote", url="https://ribbon.example/q/1"),
        Button(label="Change something", value="changes:1"),
    )
    colours = (Swatch(name="sage", hex="#a3b899"), Swatch(name="white", hex="#ffffff"))
    for message in (
        Message(kind="ask", text="These two?", swatches=colours),
        Message(kind="ballpark", text="$310 to $420", buttons=links),
        month(date(2027, 6, 1)),
        steps(60),
        Message(kind="working", text="One moment."),
    ):
        await gateway.say("webchat", chat, message)
    await expect(page.locator("#writing")).to_be_visible()
    # A second photo that is about to go out.
    await page.locator("#file").set_input_files(
        {"name": "hall.jpg", "mimeType": "image/jpeg", "buffer": a_picture(640, 640)}
    )
    await expect(page.locator("#preview")).to_be_visible()
    await expect(page.locator("#send")).to_be_enabled()


@pytest.mark.parametrize(
    ("size", "locale", "scheme"),
    [
        (PHONE, "en-US", "light"),
        (PHONE, "es-MX", "dark"),
        (SMALLEST, "es-MX", "light"),
        (SMALLEST, "en-US", "dark"),
        (DESK, "es-MX", "light"),
        (DESK, "en-US", "dark"),
    ],
)
def test_axe_finds_nothing_and_nothing_is_cut_off(
    size: ViewportSize, locale: str, scheme: Literal["light", "dark"]
) -> None:
    async def scenario() -> None:
        gateway = MemoryGateway()
        async with (
            a_page(size, locale=locale, color_scheme=scheme) as page,
            serving(gateway, answers=greeting) as url,
        ):
            await page.goto(url)
            await expect(page.locator("html")).to_have_attribute("lang", locale[:2])
            await expect(page.locator("#log .out")).to_have_count(1)
            await _converse(gateway, page)
            assert await violations(page) == []
            assert await page.evaluate("document.documentElement.scrollWidth <= innerWidth")
            await page.goto(f"{url}/nothing-here")
            assert await violations(page) == []

    asyncio.run(scenario())


def test_in_forced_colours_the_colours_to_choose_from_stay_what_they_are() -> None:
    async def scenario() -> None:
        gateway = MemoryGateway()
        async with (
            a_page(PHONE, forced_colors="active") as page,
            serving(gateway, answers=greeting) as url,
        ):
            await page.goto(url)
            await expect(page.locator("#log .out")).to_have_count(1)
            await _converse(gateway, page)
            chip = page.locator(".chip").first
            await expect(chip).to_have_css("background-color", "rgb(163, 184, 153)")
            assert await violations(page) == []

    asyncio.run(scenario())
