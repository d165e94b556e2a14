"""The chat on the shop's own website: one tag on a page of another origin, under strict rules."""

import asyncio
import socket
from collections.abc import AsyncIterator, Awaitable, Callable
from contextlib import asynccontextmanager
from typing import Any

import pytest
import uvicorn
from playwright.async_api import Page, ViewportSize, expect
from starlette.applications import Starlette
from starlette.requests import Request
from starlette.responses import HTMLResponse
from starlette.routing import Route

from tests.accessibility import violations
from tests.bot.webchat.browsing import DESK, PHONE, SMALLEST, a_page
from tests.bot.webchat.memory import MemoryGateway
from tests.bot.webchat.serving import greeting, serving

pytestmark = pytest.mark.whole

_PAGE = """<!doctype html>
<html lang="{language}"><head><title>Harbor hall</title>
<meta name="viewport" content="width=device-width, initial-scale=1"></head>
<body><main><h1>Harbor hall</h1><p>A place for parties.</p><a href="/">Home</a></main>
{tags}</body></html>"""
# What a careful website allows its pages: the chat's script and frame, no style, nothing inline.
_RULES = (
    "default-src 'none'; script-src {chat}; frame-src {chat}; base-uri 'none'; form-action 'none'; "
    "require-trusted-types-for 'script'"
)

Act = Callable[[MemoryGateway, Page, str], Awaitable[None]]


@asynccontextmanager
async def a_website(tags: Callable[[], str], language: str, host: str) -> AsyncIterator[str]:
    """A website of one page, on an origin of its own; `tags` may be known later than it."""

    async def page(_: Request) -> HTMLResponse:
        shown = tags()
        chat = shown.partition('src="')[2].partition("/embed.js")[0]
        rules = {"Content-Security-Policy": _RULES.format(chat=chat)}
        return HTMLResponse(_PAGE.format(language=language, tags=shown), headers=rules)

    app = Starlette(routes=[Route("/", page), Route("/{other}", page)])
    server = uvicorn.Server(
        uvicorn.Config(app, log_config=None, lifespan="off", timeout_graceful_shutdown=1)
    )
    with socket.create_server(("127.0.0.1", 0)) as listening:
        running = asyncio.create_task(server.serve(sockets=[listening]))
        yield f"http://{host}:{listening.getsockname()[1]}"
        server.should_exit = True
        await running


def visit_website(
    act: Act,
    viewport: ViewportSize = DESK,
    *,
    attributes: str = "",
    tags: int = 1,
    language: str = "en",
    host: str = "127.0.0.1",
    secure: bool = False,
    known: bool = True,
    **options: Any,
) -> MemoryGateway:
    """Open the website and act. On the host "localhost" it is another site than the chat's."""
    gateway = MemoryGateway()
    broken_rules: list[str] = []

    async def scenario() -> None:
        chat = ""
        website = a_website(
            lambda: f'<script src="{chat}/embed.js" async {attributes}></script>' * tags,
            language,
            host,
        )
        async with website as site, a_page(viewport, **options) as page:
            origins = (site,) if known else ()
            async with serving(
                gateway, answers=greeting, secure=secure, website_origins=origins
            ) as chat:
                await page.expose_function("brokenRule", lambda rule: broken_rules.append(rule))
                await page.add_init_script(
                    "addEventListener('securitypolicyviolation',"
                    " (event) => brokenRule(event.violatedDirective))"
                )
                await page.goto(site)
                await act(gateway, page, chat)
                await page.goto("about:blank")

    asyncio.run(scenario())
    assert broken_rules == []
    return gateway


def opener(page: Page) -> Any:
    return page.get_by_role("button", name="Ask The Paper Ribbon for a price")


async def chat_works(page: Page) -> None:
    frame = page.frame_locator("iframe")
    await expect(frame.locator("#log .out")).to_have_count(1)
    await frame.get_by_label("Your message").fill("an arch, please")
    await frame.get_by_role("button", name="Send").click()
    await expect(frame.locator("#log .in[data-seq]")).to_have_count(1)


def test_one_tag_brings_a_button_that_opens_the_chat_and_loads_nothing_before() -> None:
    async def act(gateway: MemoryGateway, page: Page, chat: str) -> None:
        asked: list[str] = []
        page.on("request", lambda request: asked.append(request.url))
        await page.reload()
        await expect(opener(page)).to_be_visible()
        assert [one for one in asked if one.startswith(chat)] == [f"{chat}/embed.js"]
        assert await page.locator("iframe").count() == 0
        await opener(page).click()
        await chat_works(page)
        assert [(one.kind, one.text) for *_, one in gateway.inbox] == [
            ("start", "spring-fair"),
            ("text", "an arch, please"),
        ]

    visit_website(act, attributes='data-source="spring-fair"')


def test_keys_alone_open_it_write_in_it_and_close_it() -> None:
    async def act(_: MemoryGateway, page: Page, chat: str) -> None:
        await expect(opener(page)).to_be_visible()
        await opener(page).press("Enter")
        box = page.frame_locator("iframe").get_by_label("Your message")
        await expect(box).to_be_focused()
        await expect(page.get_by_role("dialog", name="Ask for a ballpark")).to_be_visible()
        # Inside the frame, where the website does not hear the key.
        await box.press("Escape")
        await expect(page.get_by_role("dialog")).to_be_hidden()
        await expect(opener(page)).to_be_focused()
        await page.keyboard.press("Space")
        await page.get_by_role("button", name="Close the chat").last.press("Escape")
        await expect(opener(page)).to_be_focused()
        # It is the same frame, so what was begun is still there.
        assert await page.locator("iframe").count() == 1

    visit_website(act)


def test_it_stays_open_from_page_to_page_without_taking_the_focus() -> None:
    async def act(gateway: MemoryGateway, page: Page, chat: str) -> None:
        await opener(page).click()
        await chat_works(page)
        await page.get_by_role("link", name="Home").click()
        await expect(page.frame_locator("iframe").locator("#log .in[data-seq]")).to_have_count(1)
        assert await page.evaluate("document.activeElement === document.body")
        await page.get_by_role("button", name="Close the chat").first.click()
        await page.reload()
        await expect(opener(page)).to_be_visible()
        assert await page.locator("iframe").count() == 0

    visit_website(act)


def test_several_tags_are_one_button_and_one_global_name() -> None:
    async def act(_: MemoryGateway, page: Page, chat: str) -> None:
        await expect(opener(page)).to_have_count(1)
        added = await page.evaluate(
            """() => {
              const bare = document.createElement("iframe");
              document.body.append(bare);
              const usual = new Set(Object.getOwnPropertyNames(bare.contentWindow));
              bare.remove();
              return Object.getOwnPropertyNames(window).filter((name) => !usual.has(name));
            }"""
        )
        ours = [name for name in added if not name.startswith(("__", "brokenRule"))]
        assert ours == ["garlandryChat"]
        await page.evaluate("garlandryChat.open()")
        await expect(page.locator("iframe")).to_have_count(1)

    visit_website(act, tags=3)


def test_in_another_site_the_chat_keeps_its_place_over_https() -> None:
    async def act(gateway: MemoryGateway, page: Page, chat: str) -> None:
        await opener(page).click()
        await chat_works(page)
        await page.reload()
        await expect(page.frame_locator("iframe").locator("#log .in[data-seq]")).to_have_count(1)
        (cookie,) = [one for one in await page.context.cookies() if "chat" in str(one.get("name"))]
        assert cookie.get("name") == "__Host-chat"
        assert (cookie.get("sameSite"), cookie.get("secure")) == ("None", True)
        # It is for this website alone.
        assert cookie.get("partitionKey")

    # A browser takes loopback for secure, as it takes https.
    visit_website(act, host="localhost", secure=True)


def test_where_the_browser_keeps_cookies_back_the_page_leads_to_one_of_its_own() -> None:
    async def act(gateway: MemoryGateway, page: Page, chat: str) -> None:
        await opener(page).click()
        frame = page.frame_locator("iframe")
        link = frame.get_by_role("link", name="Open the chat on its own page")
        await expect(link).to_be_visible()
        await expect(frame.locator("#composer")).to_be_hidden()
        async with page.context.expect_page() as opening:
            await link.click()
        await expect((await opening.value).locator("#log .out")).to_have_count(1)

    visit_website(act, host="localhost")


def test_a_website_that_is_not_named_shows_no_chat() -> None:
    async def act(gateway: MemoryGateway, page: Page, chat: str) -> None:
        async with page.expect_event(
            "requestfailed", lambda request: request.url.startswith(f"{chat}/?")
        ):
            await opener(page).click()
        assert gateway.inbox == []

    visit_website(act, known=False)


@pytest.mark.parametrize(
    ("size", "scheme"), [(PHONE, "light"), (SMALLEST, "dark"), (DESK, "light"), (DESK, "dark")]
)
def test_axe_finds_nothing_open_or_closed_and_a_telephone_is_filled(
    size: ViewportSize, scheme: str
) -> None:
    async def act(_: MemoryGateway, page: Page, chat: str) -> None:
        button = page.get_by_role("button", name="Pide un precio a The Paper Ribbon")
        await expect(button).to_be_visible()
        assert await violations(page) == []
        await button.click()
        await expect(page.frame_locator("iframe").locator("html")).to_have_attribute("lang", "es")
        await expect(page.frame_locator("iframe").locator("#log .out")).to_have_count(1)
        assert await violations(page) == []
        box = await page.get_by_role("dialog").bounding_box()
        assert box is not None
        assert box["x"] >= 0
        assert box["x"] + box["width"] <= size["width"]
        if size is not DESK:
            assert (box["width"], box["height"]) == (size["width"], size["height"])
        await page.get_by_role("button", name="Cerrar el chat").last.click()
        await expect(button).to_be_focused()

    visit_website(act, size, attributes='data-lang="es"', color_scheme=scheme)
