"""The chat page in a real browser."""

import asyncio

import pytest
from playwright.async_api import Page, async_playwright, expect

from bot.dialogue.messages import Button, Incoming, Message
from tests.bot.webchat.browsing import (
    DESK,
    FLAGS,
    PHONE,
    SMALLEST,
    a_page,
    chat_of,
    visit,
    write,
)
from tests.bot.webchat.memory import MemoryGateway
from tests.bot.webchat.serving import greeting, serving

pytestmark = pytest.mark.whole


def test_what_a_client_writes_appears_once_with_its_lines_and_is_there_after_a_reload() -> None:
    async def act(gateway: MemoryGateway, page: Page) -> None:
        await write(page, "a garland\nfor the boathouse 🎈")
        mine = page.locator("#log .in .tag")
        await expect(page.locator("#log .in[data-seq]")).to_have_count(1)
        await expect(mine).to_have_text("a garland\nfor the boathouse 🎈")
        said = await page.locator("#log li").count()
        await page.reload()
        await expect(page.locator("#log li")).to_have_count(said)
        await expect(mine).to_have_text("a garland\nfor the boathouse 🎈")
        # The second visit is greeted by its history, not by another start.
        assert [incoming.kind for *_, incoming in gateway.inbox] == ["start", "text"]

    visit(act)


def test_markup_stays_text_whoever_sends_it() -> None:
    async def act(gateway: MemoryGateway, page: Page) -> None:
        sharp = "<img src=x onerror=document.title='gone'><b>bold</b>"
        await write(page, sharp)
        await expect(page.locator("#log .in .tag")).to_have_text(sharp)
        await gateway.say("webchat", await chat_of(page), Message(kind="say", text=sharp))
        await expect(page.locator("#log .out .tag").last).to_have_text(sharp)
        assert await page.locator("#log img, #log b").count() == 0
        assert "gone" not in await page.title()

    visit(act)


def test_a_button_answers_with_its_label_and_goes_while_links_stay() -> None:
    async def act(gateway: MemoryGateway, page: Page) -> None:
        buttons = (
            Button(label="Indoors", value="setting:in"),
            Button(label="See the quote", url="https://ribbon.example/q/1"),
            Button(label="Trap", url="javascript:alert(1)"),
        )
        asked = Message(kind="ask", text="Where is it?", buttons=buttons)
        await gateway.say("webchat", await chat_of(page), asked)
        link = page.get_by_role("link", name="See the quote")
        await expect(link).to_have_attribute("rel", "noopener")
        await expect(page.get_by_text("Trap")).to_have_count(0)
        await page.get_by_role("button", name="Indoors").press("Enter")
        await expect(page.locator("#log .in[data-seq] .tag")).to_have_text("Indoors")
        await expect(page.get_by_role("button", name="Indoors")).to_have_count(0)
        await expect(link).to_be_visible()
        incoming = gateway.inbox[-1][3]
        assert (incoming.kind, incoming.text) == ("button", "setting:in")

    visit(act)


def test_who_clicks_twice_does_not_answer_the_next_question_as_well() -> None:
    def asking(incoming: Incoming) -> list[Message]:
        number = 1 if incoming.kind == "start" else int(incoming.text) + 1
        button = Button(label="Go on", value=str(number))
        return [Message(kind="ask", text=f"Question {number}", buttons=(button,))]

    async def act(gateway: MemoryGateway, page: Page) -> None:
        # Each question's button comes where the one before it was.
        await page.add_style_tag(content=".answers { position: fixed; top: 9rem; left: 3rem; }")
        spot = await page.get_by_role("button", name="Go on").bounding_box()
        assert spot is not None
        x, y = spot["x"] + 20, spot["y"] + 20
        await page.mouse.click(x, y)
        await expect(page.get_by_text("Question 2")).to_be_visible()
        await page.mouse.click(x, y)
        await page.wait_for_timeout(500)
        await page.mouse.click(x, y)
        await expect(page.get_by_text("Question 3")).to_be_visible()
        pressed = [incoming.text for *_, incoming in gateway.inbox if incoming.kind == "button"]
        assert pressed == ["1", "2"]

    visit(act, answers=asking, bypass_csp=True)


def test_a_message_just_taller_than_the_log_is_read_from_its_first_line_on() -> None:
    async def act(gateway: MemoryGateway, page: Page) -> None:
        room, line = await page.evaluate(
            """[document.getElementById("log").clientHeight,
                parseFloat(getComputedStyle(document.querySelector("#log .tag")).lineHeight)]"""
        )
        lines = "\n".join(str(number) for number in range(int(room / line)))
        await gateway.say("webchat", await chat_of(page), Message(kind="say", text=lines))
        await expect(page.locator("#log .out")).to_have_count(2)
        await page.get_by_label("Your message").fill("two\nlines")
        await page.wait_for_timeout(200)
        hidden = await page.evaluate(
            """document.getElementById("log").getBoundingClientRect().top
               - document.querySelector("#log .out:last-child").getBoundingClientRect().top"""
        )
        assert hidden <= 0

    visit(act)


def test_nothing_empty_or_too_long_can_be_sent_and_four_thousand_characters_can() -> None:
    async def act(gateway: MemoryGateway, page: Page) -> None:
        box, send = page.get_by_label("Your message"), page.get_by_role("button", name="Send")
        await expect(send).to_be_disabled()
        await box.fill("  \n ")
        await expect(send).to_be_disabled()
        await box.fill("🎈" * 4001)
        await expect(send).to_be_disabled()
        await expect(page.locator("#notice")).to_contain_text("1 more than fits")
        await box.fill("🎈" * 4000)
        await send.click()
        await expect(page.locator("#log .in[data-seq]")).to_have_count(1)
        assert len(gateway.inbox[-1][3].text) == 4000

    visit(act)


def test_the_smallest_phone_needs_no_sideways_scrolling_and_keys_reach_everything() -> None:
    async def act(gateway: MemoryGateway, page: Page) -> None:
        buttons = (Button(label="An answer with a rather long label on it " * 2, value="x"),)
        long = Message(kind="ask", text="w" * 300, buttons=buttons)
        await gateway.say("webchat", await chat_of(page), long)
        await expect(page.get_by_role("button", name="An answer")).to_be_visible()
        assert await page.evaluate("document.documentElement.scrollWidth <= innerWidth")
        await page.get_by_label("Your message").fill("hello")
        reached = set()
        for _ in range(30):
            await page.keyboard.press("Tab")
            reached.add(
                await page.evaluate("document.activeElement.id || document.activeElement.tagName")
            )
        assert {"log", "BUTTON", "attach", "text", "send"} <= reached

    visit(act, SMALLEST)


def test_a_message_taller_than_the_screen_is_shown_from_its_first_line() -> None:
    async def act(gateway: MemoryGateway, page: Page) -> None:
        tall = Message(kind="readback", text="\n".join(f"line {n}" for n in range(60)))
        await gateway.say("webchat", await chat_of(page), tall)
        shown = page.locator("#log .readback")
        await expect(shown).to_be_visible()
        for _ in range(2):
            # The page scrolls in the frame after the message was put in.
            await page.wait_for_function(
                """() => {
                  const one = document.querySelector("#log .readback").getBoundingClientRect();
                  const below = one.top - log.getBoundingClientRect().top;
                  return 0 <= below && below < 40;
                }""",
                timeout=5000,
            )
            await page.reload()
            await expect(shown).to_be_visible()
        # A short one that follows is shown to its end.
        await write(page, "thanks")
        await expect(page.locator("#log .in[data-seq]")).to_have_count(1)
        await page.wait_for_function("log.scrollHeight - log.scrollTop - log.clientHeight < 80")

    visit(act)


def test_without_scripts_there_is_nothing_to_write_into_and_a_way_to_the_form() -> None:
    async def scenario() -> None:
        async with (
            async_playwright() as playwright,
            serving(MemoryGateway(), form_url="https://ribbon.example/form") as url,
        ):
            browser = await playwright.chromium.launch(
                executable_path="/usr/bin/chromium", args=FLAGS
            )
            page = await browser.new_page(viewport=PHONE, java_script_enabled=False)
            await page.goto(url)
            await expect(page.locator("#composer")).to_be_hidden()
            await expect(page.get_by_role("link", name="Ask with a form")).to_be_visible()
            await browser.close()

    asyncio.run(scenario())


def test_the_first_tab_stop_leads_to_the_box() -> None:
    async def act(_: MemoryGateway, page: Page) -> None:
        await page.keyboard.press("Tab")
        skip = page.get_by_role("link", name="Skip to your message")
        await expect(skip).to_be_focused()
        await expect(skip).to_be_in_viewport()
        await page.keyboard.press("Enter")
        await expect(page.get_by_label("Your message")).to_be_focused()

    visit(act, DESK)


def test_another_language_is_a_press_away_stays_and_is_told_to_the_conversation() -> None:
    async def act(gateway: MemoryGateway, page: Page) -> None:
        await page.get_by_label("Your message").fill("half a mess")
        await page.get_by_role("link", name="Español").click()
        await expect(page.locator("html")).to_have_attribute("lang", "es")
        # What was begun is not lost on the way.
        await expect(page.get_by_label("Tu mensaje")).to_have_value("half a mess")
        await expect(page.locator("#log .in[data-seq]")).to_have_count(1)
        incoming = gateway.inbox[-1][3]
        assert (incoming.kind, incoming.text, incoming.label) == (
            "button",
            "language:es",
            "Español",
        )
        await write(page, "hola")
        await expect(page.locator("#log .in[data-seq]")).to_have_count(2)
        assert gateway.inbox[-1][3].locale == "es"
        await page.goto(page.url.partition("?")[0])
        await expect(page.locator("html")).to_have_attribute("lang", "es")

    visit(act, locale="en-US")


def test_a_button_for_another_language_changes_page_and_conversation() -> None:
    async def act(gateway: MemoryGateway, page: Page) -> None:
        buttons = (Button(label="Español", value="language:es"),)
        await gateway.say(
            "webchat", await chat_of(page), Message(kind="ask", text="Where?", buttons=buttons)
        )
        await page.get_by_role("button", name="Español").click()
        await expect(page.locator("html")).to_have_attribute("lang", "es")
        await expect(page.locator("#log .in[data-seq] .tag")).to_have_text("Español")
        incoming = gateway.inbox[-1][3]
        assert (incoming.text, incoming.message_ref) == ("language:es", "3")

    visit(act)


def test_the_first_greeting_carries_the_campaign_that_brought_the_client() -> None:
    async def scenario() -> None:
        gateway = MemoryGateway()
        async with a_page() as page, serving(gateway, answers=greeting) as url:
            await page.goto(f"{url}/?source=spring-fair")
            await expect(page.locator("#log .out")).to_have_count(1)
            await page.goto(f"{url}/?source=another")
            await expect(page.locator("#log .out")).to_have_count(1)
        assert [(one.kind, one.text) for *_, one in gateway.inbox] == [("start", "spring-fair")]

    asyncio.run(scenario())
