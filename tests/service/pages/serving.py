"""The pages served on a port of their own, and a real browser to look at them."""

import threading
import time
from collections.abc import AsyncIterator, Iterator
from contextlib import asynccontextmanager, contextmanager
from typing import Literal

import uvicorn
from fastapi import FastAPI
from playwright.async_api import Page, ViewportSize, async_playwright

from service import pages
from tests.service.building import BuiltShop

PHONE = ViewportSize(width=360, height=740)
DESKTOP = ViewportSize(width=1280, height=800)

_FLAGS = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--no-first-run",
    # Pages of other websites are answered by the test, the form from this machine.
    "--disable-features=LocalNetworkAccessChecks",
]


@contextmanager
def serving(shop: BuiltShop) -> Iterator[str]:
    """The address of the shop's pages while it lasts."""
    app = FastAPI(openapi_url=None)
    app.state.ports = shop.ports
    pages.install(app)
    server = uvicorn.Server(uvicorn.Config(app, host="127.0.0.1", port=0, log_level="warning"))
    thread = threading.Thread(target=server.run)
    thread.start()
    try:
        while not server.started:
            time.sleep(0.01)
        (socket,) = server.servers[0].sockets
        yield f"http://127.0.0.1:{socket.getsockname()[1]}"
    finally:
        server.should_exit = True
        thread.join()


async def keep_cookie(page: Page, base: str, name: str, value: str) -> None:
    """Have the browser keep a cookie that is for TLS alone: it takes loopback for as safe."""
    address = base.replace("http:", "https:")
    await page.context.add_cookies([{"name": name, "value": value, "url": address, "secure": True}])


@asynccontextmanager
async def a_page(
    viewport: ViewportSize = PHONE,
    *,
    scheme: Literal["light", "dark"] = "light",
    locale: str = "en-US",
    scripts: bool = True,
) -> AsyncIterator[Page]:
    """A page of a fresh browser; leaving it checks that no script failed on the way."""
    faults: list[str] = []
    async with async_playwright() as playwright:
        browser = await playwright.chromium.launch(executable_path="/usr/bin/chromium", args=_FLAGS)
        context = await browser.new_context(
            viewport=viewport, color_scheme=scheme, locale=locale, java_script_enabled=scripts
        )
        page = await context.new_page()
        page.on("pageerror", lambda error: faults.append(str(error)))
        yield page
        await browser.close()
    assert faults == []
