"""The pages in a real browser: what assistive technology finds, and the form on other websites."""

import asyncio
from collections.abc import Awaitable, Callable
from datetime import date, timedelta
from decimal import Decimal
from typing import Any, Literal

import pytest
from playwright.async_api import Page, Route, ViewportSize, expect

from service.estimating import Budget, ColourShare, Event
from service.leads import booking, handling
from service.leads.lead import Client, Lead
from tests.accessibility import violations
from tests.service.building import WEBSITE, BuiltShop, a_brief
from tests.service.pages.serving import DESKTOP, PHONE, a_page, serving

pytestmark = pytest.mark.whole


def visit(shop: BuiltShop, act: Callable[[Page, str], Awaitable[None]], **how: Any) -> None:
    """Let somebody `act` with a browser, at the address where the shop's pages are."""

    async def scenario(base: str) -> None:
        async with a_page(**how) as page:
            await act(page, base)

    with serving(shop) as base:
        asyncio.run(scenario(base))


def hold_for(shop: BuiltShop, lead: Lead) -> None:
    with shop.ports.work() as work:
        quote = work.quotes.latest(lead.id, sent=True)
        assert quote is not None
        book = shop.price_books.current()
        day = lead.brief.event.date
        assert day is not None
        window = booking.offered(work, lead, quote, book, day=day, now=shop.now)[0]
        client = Client(name="Nora", email="nora@rowing.example")
        booking.place_hold(
            work, shop.ports, lead.id, starts_at=window.starts_at, client=client, now=shop.now
        )
        work.commit()


def paths_of_all_pages(shop: BuiltShop) -> list[str]:
    """A quote with everything on it, its request, a booking page, a held one, the others."""
    wish = a_brief(
        palette=(ColourShare(colour="sage"), ColourShare(colour="tiger stripe")),
        event=Event(occasion="anniversary", date=date(2027, 6, 6)),
        budget=Budget(max=Decimal(250)),
        foils=("LOVE",),
    )
    lead = shop.quoted(wish)
    kept = shop.quoted(a_brief(event=Event(date=date(2027, 6, 13))))
    hold_for(shop, kept)
    return [
        "/form",
        f"/requests/{shop.link(handling.STATUS_LINK, lead.id)}",
        *shop.paths(lead),
        shop.paths(kept)[1],
        "/",
        "/nowhere",
    ]


@pytest.mark.parametrize(
    ("viewport", "scheme"),
    [(PHONE, "light"), (DESKTOP, "dark")],
    ids=["phone, light", "desktop, dark"],
)
def test_no_page_keeps_anybody_out(
    shop: BuiltShop, viewport: ViewportSize, scheme: Literal["light", "dark"]
) -> None:
    paths = paths_of_all_pages(shop)

    async def act(page: Page, base: str) -> None:
        for language in ("en", "es"):
            for path in paths:
                await page.goto(f"{base}{path}?lang={language}")
                assert await violations(page) == [], path
                wide = await page.evaluate("document.documentElement.scrollWidth")
                assert wide <= viewport["width"], path
            await page.goto(f"{base}/form?lang={language}")
            await page.locator("form button").click()
            await expect(page.locator("#faults")).to_be_focused()
            assert await violations(page) == []

    visit(shop, act, viewport=viewport, scheme=scheme)


async def fill_in(page: Any, texts: dict[str, str]) -> None:
    """Ask for a frame as a person does, by what the labels say."""
    await page.get_by_label(texts["support"]).first.select_option("round_top_frame")
    await page.get_by_label(texts["width"]).first.fill("4")
    await page.get_by_label(texts["height"]).first.fill("7")
    await page.get_by_label(texts["sage"], exact=True).check()
    await page.get_by_label(texts["name"]).fill("Nora")
    await page.get_by_label(texts["email"]).fill("nora@rowing.example")


ENGLISH = {
    "support": "What should carry the balloons?",
    "width": "Width, feet",
    "height": "Height, feet",
    "sage": "sage",
    "name": "Your name",
    "email": "Email",
    "send": "Ask for the price",
    "waiting": "We're working it out",
    "answer": "Your ballpark is $",
}
SPANISH = {
    "support": "¿Dónde van los globos?",
    "width": "Ancho, pies",
    "height": "Alto, pies",
    "sage": "verde salvia",
    "name": "Tu nombre",
    "email": "Correo electrónico",
    "send": "Pedir el precio",
    "waiting": "Estamos haciendo la cuenta",
    "answer": "Tu precio aproximado es de $",
}


@pytest.mark.parametrize("scripts", [True, False], ids=["scripts", "no scripts"])
@pytest.mark.parametrize(
    ("locale", "texts"), [("en-US", ENGLISH), ("es-US", SPANISH)], ids=["en", "es"]
)
def test_from_the_empty_form_to_the_ballpark_in_the_browsers_language(
    shop: BuiltShop, locale: str, texts: dict[str, str], scripts: bool
) -> None:
    async def act(page: Page, base: str) -> None:
        await page.goto(f"{base}/form")
        await fill_in(page, texts)
        shop.now += timedelta(minutes=1)
        await page.get_by_role("button", name=texts["send"]).click()
        await expect(page.get_by_role("heading", level=1)).to_have_text(texts["waiting"])
        shop.work_off()
        await page.reload()
        await expect(page.locator(".message")).to_contain_text(texts["answer"])

    visit(shop, act, locale=locale, scripts=scripts)


HOST_PAGE = """<!doctype html><html lang="es"><title>Club de remo</title><body>
<div style="width: {width}px"><script src="{base}/form/embed.js" data-source="spring fair"></script>
</div></body></html>"""


def on_the_website(
    shop: BuiltShop, website: str, act: Callable[[Page, str], Awaitable[None]]
) -> None:
    """Let somebody `act` on a page of that website, which has the one script tag."""

    async def open_it(page: Page, base: str) -> None:
        async def answer(route: Route) -> None:
            html = HOST_PAGE.format(base=base, width=340)
            await route.fulfill(content_type="text/html; charset=utf-8", body=html)

        await page.route(f"{website}/**", answer)
        await page.goto(f"{website}/events")
        await act(page, base)

    visit(shop, open_it)


def test_one_script_tag_puts_the_form_on_the_website_as_high_as_it_is(shop: BuiltShop) -> None:
    async def act(page: Page, _base: str) -> None:
        form = page.frame_locator("iframe")
        await expect(form.get_by_role("heading", level=1)).to_have_text("¿Cuánto costaría?")
        empty = await settled_height(page)
        await form.get_by_label(SPANISH["support"]).first.select_option("round_top_frame")
        with_sizes = await settled_height(page, other_than=empty)
        assert with_sizes > empty
        await fill_in(form, SPANISH)
        shop.now += timedelta(minutes=1)
        await form.get_by_role("button", name=SPANISH["send"]).click()
        await expect(form.get_by_role("heading", level=1)).to_have_text(SPANISH["waiting"])
        assert await settled_height(page, other_than=with_sizes) < with_sizes

    on_the_website(shop, WEBSITE, act)
    with shop.ports.read() as work:
        (lead,) = work.leads.page(before=None, limit=2, state=None)
    assert (lead.language, lead.source) == ("es", "spring fair")


async def settled_height(page: Page, other_than: float = 0) -> float:
    """The height of the frame once it is that of the page inside."""
    frame = page.locator("iframe")
    for _ in range(100):
        box = await frame.bounding_box()
        inside = await page.frames[1].evaluate("document.documentElement.offsetHeight")
        assert box is not None
        if abs(box["height"] - inside) <= 1 and inside != other_than:
            return float(inside)
        await asyncio.sleep(0.05)
    raise AssertionError(f"the frame is {box} and the page in it {inside} high")


def test_other_websites_cannot_show_the_form(shop: BuiltShop) -> None:
    async def act(page: Page, _base: str) -> None:
        await page.wait_for_timeout(500)
        inside = page.frame_locator("iframe").get_by_role("heading", level=1)
        assert await inside.count() == 0

    on_the_website(shop, "https://elsewhere.example", act)


def test_a_page_of_another_website_is_not_told_how_tall_the_form_is(shop: BuiltShop) -> None:
    heard = """() => new Promise((resolve) => {
      const frame = document.createElement("iframe");
      frame.src = location.origin + "/form";
      frame.onload = () => {
        addEventListener("message", (event) => resolve(event.data));
        frame.contentWindow.postMessage("garland: how tall?", "*");
        setTimeout(() => resolve("nothing"), 500);
      };
      document.body.append(frame);
    })"""

    async def act(page: Page, base: str) -> None:
        # Of the framing page only the policy of frames would keep this apart; it is taken away.
        async def loosened(route: Route) -> None:
            answer = await route.fetch()
            headers = {k: v for k, v in answer.headers.items() if k != "content-security-policy"}
            await route.fulfill(response=answer, headers=headers)

        await page.route(f"{base}/**", loosened)
        await page.goto(f"{base}/")
        assert await page.evaluate(heard) == "nothing"

    visit(shop, act)
