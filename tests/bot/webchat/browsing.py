"""The chat page in a real browser, as a client on a telephone has it."""

import asyncio
from collections.abc import AsyncIterator, Awaitable, Callable
from contextlib import asynccontextmanager
from io import BytesIO
from typing import Any

from PIL import Image
from playwright.async_api import Page, ViewportSize, async_playwright, expect

from tests.bot.webchat.memory import MemoryGateway
from tests.bot.webchat.serving import Answers, greeting, serving

PHONE = ViewportSize(width=360, height=740)
SMALLEST = ViewportSize(width=320, height=568)
DESK = ViewportSize(width=1280, height=800)
FLAGS = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--no-first-run",
]


@asynccontextmanager
async def a_page(viewport: ViewportSize = PHONE, **options: Any) -> AsyncIterator[Page]:
    """A page of a fresh browser; leaving it checks that no script failed on the way."""
    faults: list[str] = []
    async with async_playwright() as playwright:
        browser = await playwright.chromium.launch(executable_path="/usr/bin/chromium", args=FLAGS)
        context = await browser.new_context(viewport=viewport, reduced_motion="reduce", **options)
        context.on("weberror", lambda error: faults.append(str(error.error)))
        yield await context.new_page()
        await browser.close()
    assert faults == []


def visit(
    act: Callable[[MemoryGateway, Page], Awaitable[None]],
    viewport: ViewportSize = PHONE,
    *,
    answers: Answers = greeting,
    **options: Any,
) -> MemoryGateway:
    """Open the chat, wait for its greeting, and act."""
    gateway = MemoryGateway()

    async def scenario() -> None:
        async with a_page(viewport, **options) as page, serving(gateway, answers=answers) as url:
            await page.goto(url)
            await expect(page.locator("#log .out").first).to_be_visible()
            await act(gateway, page)

    asyncio.run(scenario())
    return gateway


async def chat_of(page: Page) -> str:
    return next(c["value"] for c in await page.context.cookies() if c.get("name") == "chat")


async def write(page: Page, text: str) -> None:
    await page.locator("#text").fill(text)
    await page.locator("#send").click()


def a_picture(width: int = 800, height: int = 600, kind: str = "JPEG") -> bytes:
    """A picture of two colours."""
    image = Image.new("RGB", (width, height), "#a3b899")
    image.paste("#d9b675", (0, 0, width // 2, height // 2))
    written = BytesIO()
    image.save(written, kind)
    return written.getvalue()
