"""What can be pressed and seen under a message: calendars, steps, colours, and their changes."""

import asyncio
from collections.abc import Sequence
from datetime import date

import pytest
from playwright.async_api import Page, expect

from bot.dialogue import values
from bot.dialogue.messages import Button, Incoming, Message, Swatch
from bot.dialogue.pickers import calendar
from tests.bot.webchat.browsing import DESK, SMALLEST, a_page, chat_of, visit, write
from tests.bot.webchat.memory import MemoryGateway
from tests.bot.webchat.serving import PHRASEBOOK, greeting, serving

pytestmark = pytest.mark.whole

TODAY = date(2027, 1, 10)


def month(when: date, edits: str | None = None, language: str = "en") -> Message:
    buttons = calendar(1, when, today=TODAY, phrases=PHRASEBOOK.in_language(language))
    return Message(kind="ask", text="Which day is it?", buttons=buttons, asks="date", edits=edits)


def steps(inches: int, edits: str | None = None) -> Message:
    def step(label: str, by: int) -> Button:
        return Button(label=label, value=values.stepped(1, 0, (inches + by,)), row=1)

    buttons = (
        Button(label=f"{inches} inches wide", value=values.STILL, row=0),
        step("− 1 in", -1),
        step("+ 1 in", +1),
        Button(label="Take it", value=values.size(1, 0, "hoop", (inches,)), row=2),
    )
    return Message(kind="ask", text="How wide is the hoop?", buttons=buttons, edits=edits)


def turning(incoming: Incoming) -> Sequence[Message]:
    """Turns the pages of calendars and steps as the dialogue does."""
    pressed = values.read_value(incoming.text)
    if incoming.kind != "button" or pressed is None or pressed.verb != "page":
        return greeting(incoming)
    if pressed.rest[0] == "date":
        shown = values.read_month(pressed.rest[1])
        assert shown is not None
        return [month(shown, edits=incoming.message_ref)]
    return [steps(values.read_size(pressed.rest[2])[0], edits=incoming.message_ref)]


def test_a_calendar_is_a_table_whose_days_are_named_in_full_and_fit_a_thumb() -> None:
    async def act(gateway: MemoryGateway, page: Page) -> None:
        await gateway.say("webchat", await chat_of(page), month(date(2027, 6, 1)))
        table = page.get_by_role("table", name="June 2027")
        await expect(table.get_by_role("columnheader")).to_have_count(7)
        await expect(table.get_by_role("button")).to_have_count(30)
        day = table.get_by_role("button", name="Sunday, June 6, 2027")
        await expect(day).to_have_text("6")
        # The month itself is no button.
        await expect(page.locator(".rows button", has_text="2027")).to_have_count(0)
        for button in await page.locator(".rows button").all():
            box = await button.bounding_box()
            assert box is not None
            assert min(box["width"], box["height"]) >= 40
        assert await page.evaluate("document.documentElement.scrollWidth <= innerWidth")
        await day.click()
        await expect(page.locator("#log .in[data-seq] .tag")).to_have_text("6")
        await expect(page.locator(".rows")).to_have_count(0)
        assert gateway.inbox[-1][3].text == "answer:1:date:2027-06-06"

    visit(act, SMALLEST)


def test_in_spanish_the_days_have_spanish_names() -> None:
    async def act(gateway: MemoryGateway, page: Page) -> None:
        await gateway.say("webchat", await chat_of(page), month(date(2027, 6, 1), language="es"))
        await expect(page.get_by_role("button", name="domingo, 6 de junio de 2027")).to_be_visible()
        await expect(page.get_by_role("button", name="Volver a May")).to_be_visible()

    visit(act, locale="es-MX")


def test_turning_a_page_changes_the_message_in_its_place_and_keeps_the_focus() -> None:
    async def act(gateway: MemoryGateway, page: Page) -> None:
        # From the first month, where there is no way back yet.
        await gateway.say("webchat", await chat_of(page), month(TODAY))
        onward = page.locator(".row button").last
        before = await onward.bounding_box()
        await page.get_by_role("button", name="On to Feb").press("Enter")
        await expect(page.get_by_role("table", name="February 2027")).to_be_visible()
        assert before is not None
        assert await onward.bounding_box() == before
        await expect(page.get_by_role("button", name="On to Mar")).to_be_focused()
        await page.get_by_role("button", name="On to Mar").press("Space")
        await expect(page.get_by_role("button", name="On to Apr")).to_be_focused()
        # It is told in few words, and the days are not read out again.
        await expect(page.locator("#announced")).to_have_text("March 2027")
        await expect(page.locator("li.ask")).to_have_attribute("aria-live", "off")
        for _ in range(2):
            await expect(page.locator("#log li")).to_have_count(2)
            await expect(page.get_by_role("table", name="March 2027")).to_be_visible()
            await expect(page.locator(".in")).to_have_count(0)
            await page.reload()

    visit(act, DESK, answers=turning)


def test_two_quick_presses_turn_one_page() -> None:
    async def act(gateway: MemoryGateway, page: Page) -> None:
        await gateway.say("webchat", await chat_of(page), steps(60))
        more = page.get_by_role("button", name="+ 1 in")
        await more.evaluate("(button) => { button.click(); button.click(); }")
        await expect(page.locator(".row .still")).to_have_text("61 inches wide")
        await more.click()
        await expect(page.locator(".row .still")).to_have_text("62 inches wide")
        refs = [one.message_ref for *_, one in gateway.inbox if one.kind == "button"]
        assert refs == ["3", "5"]

    visit(act, answers=turning)


def test_steps_are_named_by_what_they_step() -> None:
    async def act(gateway: MemoryGateway, page: Page) -> None:
        await gateway.say("webchat", await chat_of(page), steps(60))
        group = page.get_by_role("group", name="60 inches wide")
        await expect(group.get_by_role("button")).to_have_count(2)
        await expect(page.get_by_role("button", name="60 inches")).to_have_count(0)

    visit(act)


def test_an_answer_that_edits_takes_the_place_of_what_was_pressed() -> None:
    def changing(incoming: Incoming) -> Sequence[Message]:
        if incoming.kind != "button":
            return greeting(incoming)
        told = Message(kind="say", text="What shall change?", edits=incoming.message_ref)
        return [told, Message(kind="ask", text="The date, then?")]

    async def act(gateway: MemoryGateway, page: Page) -> None:
        asked = Message(
            kind="readback", text="Is it right?", buttons=(Button(label="Change", value="x"),)
        )
        await gateway.say("webchat", await chat_of(page), asked)
        await page.get_by_role("button", name="Change").click()
        for _ in range(2):
            await expect(page.get_by_text("The date, then?")).to_be_visible()
            shown = page.locator("#log .tag")
            await expect(shown).to_have_text(
                ["Hello there", "What shall change?", "The date, then?"]
            )
            await page.reload()

    visit(act, answers=changing)


def test_what_replaces_a_message_that_is_not_there_is_a_message() -> None:
    async def act(gateway: MemoryGateway, page: Page) -> None:
        chat = await chat_of(page)
        await gateway.say("webchat", chat, Message(kind="say", text="News", edits="77"))
        await expect(page.locator("#log .tag")).to_have_text(["Hello there", "News"])

    visit(act)


def test_colours_are_shown_with_their_names_and_white_has_an_edge() -> None:
    async def act(gateway: MemoryGateway, page: Page) -> None:
        colours = (Swatch(name="sage", hex="#a3b899"), Swatch(name="white", hex="#ffffff"))
        offered = Message(kind="ask", text="These two?", swatches=colours)
        await gateway.say("webchat", await chat_of(page), offered)
        shown = page.get_by_role("list", name="Colors").get_by_role("listitem")
        await expect(shown).to_have_text(["sage", "white"])
        white = shown.last.locator(".chip")
        await expect(white).to_have_css("background-color", "rgb(255, 255, 255)")
        await expect(white).to_have_css("border-top-width", "1px")
        await expect(white).not_to_have_css("border-top-color", "rgb(255, 255, 255)")

    visit(act)


def test_two_tabs_show_the_same_conversation() -> None:
    async def scenario() -> None:
        gateway = MemoryGateway()
        async with a_page(DESK) as page, serving(gateway, answers=turning) as url:
            await page.goto(url)
            await expect(page.locator("#log .out")).to_have_count(1)
            other = await page.context.new_page()
            await other.goto(url)
            await gateway.say("webchat", await chat_of(page), month(TODAY))
            await other.get_by_role("button", name="On to Feb").click()
            await write(other, "the sixth")
            for tab in (page, other):
                await expect(tab.locator("#log .in[data-seq] .tag")).to_have_text(["the sixth"])
                await expect(tab.locator("#log li")).to_have_count(3)
                await expect(tab.locator(".rows")).to_have_count(0)
            assert len([one for *_, one in gateway.inbox if one.kind == "start"]) == 1

    asyncio.run(scenario())
