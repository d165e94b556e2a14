"""People at browser windows: how wide they are, what is read there, who would be kept out."""

from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import Literal, Self

from playwright.async_api import Browser, Locator, Page, ViewportSize, async_playwright

from tests.accessibility import violations

PICTURES = Path(__file__).resolve().parents[2] / ".pictures"
PATIENCE_MS = 30_000
_FLAGS = ["--no-sandbox", "--disable-gpu", "--disable-background-networking", "--no-first-run"]


@dataclass(frozen=True, kw_only=True)
class Tongue:
    """What a client of one language presses and reads."""

    locale: str
    ask: str
    looked_at_first: str
    pick: str
    newer: str
    agree: str
    weather: str
    hold: str
    held: str
    another: str
    booked: str
    canceled: str
    set_up: str


ENGLISH = Tongue(
    locale="en-US",
    ask="Ask for the price",
    looked_at_first="wants to look at this one before naming a price",
    pick="Pick a set-up time",
    newer="it takes the place of the one that this link first showed",
    agree="I have read this and agree",
    weather="Outdoors the weather has a say",
    hold="Hold this time",
    held="This time is kept for you",
    another="Pick another time",
    booked="Booked",
    canceled="This booking was canceled",
    set_up="Harbor Lane Balloons sets up",
)
SPANISH = Tongue(
    locale="es-US",
    ask="Pedir el precio",
    looked_at_first="quiere ver tu pedido antes de darte un precio",
    pick="Elegir hora del montaje",
    newer="reemplaza al que este enlace mostraba antes",
    agree="Lo he leído y estoy de acuerdo",
    weather="Al aire libre también manda el clima",
    hold="Apartar esta hora",
    held="Esta hora está apartada para ti",
    another="Elegir otra hora",
    booked="Reservado",
    canceled="Esta reserva se canceló",
    set_up="Harbor Lane Balloons monta",
)


@dataclass(frozen=True, kw_only=True)
class Walk:
    """One way through: at which width, in which light, for a client of which language."""

    name: str
    size: ViewportSize
    scheme: Literal["light", "dark"]
    tongue: Tongue
    client: str
    day: str
    other_day: str


WALKS = (
    Walk(
        name="phone",
        size=ViewportSize(width=360, height=740),
        scheme="light",
        tongue=SPANISH,
        client="Noelia Ferrán",
        day="2027-02-20",
        other_day="2027-02-27",
    ),
    Walk(
        name="desktop",
        size=ViewportSize(width=1280, height=800),
        scheme="dark",
        tongue=ENGLISH,
        client="Nora Ålund",
        day="2027-02-21",
        other_day="2027-02-28",
    ),
)


@dataclass(kw_only=True)
class Visitor:
    """A person at a browser window who takes a picture of what they see."""

    page: Page
    name: str
    faults: list[str] = field(default_factory=list)

    @classmethod
    async def come(cls, browser: Browser, walk: Walk, locale: str) -> Self:
        context = await browser.new_context(
            viewport=walk.size, color_scheme=walk.scheme, locale=locale, reduced_motion="reduce"
        )
        context.set_default_timeout(PATIENCE_MS)
        visitor = cls(page=await context.new_page(), name=walk.name)
        visitor.page.on("pageerror", lambda error: visitor.faults.append(str(error)))
        return visitor

    def button(self, name: str) -> Locator:
        return self.page.get_by_role("button", name=name)

    async def follow(self, name: str) -> None:
        await self.page.get_by_role("link", name=name).first.click()

    async def look(self, what: str) -> None:
        """Nothing on the page keeps anybody out, and none of it is off to the side."""
        await self.page.screenshot(path=PICTURES / f"desk-{what}-{self.name}.png", full_page=True)
        faults = await violations(self.page)
        assert faults == [], f"{what}: {faults}"
        wide = await self.page.evaluate("document.documentElement.scrollWidth - innerWidth")
        assert wide <= 0, f"{what} scrolls sideways by {wide} pixels"


@asynccontextmanager
async def a_browser() -> AsyncIterator[Browser]:
    async with async_playwright() as playwright:
        yield await playwright.chromium.launch(executable_path="/usr/bin/chromium", args=_FLAGS)
