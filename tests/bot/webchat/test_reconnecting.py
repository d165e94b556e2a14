"""Cuts, restarts and reloads: nothing that was written is lost, nothing comes twice."""

import asyncio

import pytest
from playwright.async_api import Page, Route, expect

from bot.dialogue.messages import Message
from tests.bot.webchat.browsing import a_page, chat_of, visit, write
from tests.bot.webchat.memory import MemoryGateway
from tests.bot.webchat.serving import greeting, serving

pytestmark = pytest.mark.whole


def test_what_was_written_during_an_outage_goes_out_when_the_chat_is_back() -> None:
    async def scenario() -> None:
        gateway = MemoryGateway()
        async with a_page() as page:
            async with serving(gateway, answers=greeting) as url:
                await page.goto(url)
                await expect(page.locator("#log .out").first).to_be_visible()
            await write(page, "are you there?")
            await expect(page.locator("#notice")).to_contain_text("Not sent yet")
            await expect(page.locator("#connection")).to_contain_text("Reconnecting")
            port = int(url.rsplit(":", 1)[1])
            async with serving(gateway, port=port, answers=greeting):
                await expect(page.locator("#log .in[data-seq]")).to_have_count(1, timeout=15_000)
                back = Message(kind="say", text="Back again")
                await gateway.say("webchat", await chat_of(page), back)
                await expect(page.get_by_text("Back again")).to_have_count(1, timeout=15_000)
                await expect(page.locator("#notice")).to_be_empty()
                await expect(page.locator("#connection")).to_be_empty()
        assert [incoming.text for *_, incoming in gateway.inbox] == ["", "are you there?"]

    asyncio.run(scenario())


def test_what_could_not_be_sent_outlives_a_reload() -> None:
    async def act(gateway: MemoryGateway, page: Page) -> None:
        gateway.down.add("receive")
        await write(page, "one")
        await write(page, "two")
        await expect(page.locator("#notice")).to_contain_text("Not sent yet")
        await page.reload()
        await expect(page.locator("#log .pending .tag")).to_have_text(["one", "two"])
        gateway.down.clear()
        await expect(page.locator("#log .in[data-seq] .tag")).to_have_text(
            ["one", "two"], timeout=15_000
        )
        await page.reload()
        await expect(page.locator("#log .in .tag")).to_have_text(["one", "two"])
        assert [incoming.text for *_, incoming in gateway.inbox] == ["", "one", "two"]

    visit(act)


def test_what_was_taken_without_the_page_seeing_it_is_not_sent_again() -> None:
    async def act(gateway: MemoryGateway, page: Page) -> None:
        asked = 0

        async def lose_the_answer(route: Route) -> None:
            nonlocal asked
            asked += 1
            await route.fetch()
            await route.abort()

        await page.route("**/chat/updates", lose_the_answer)
        await write(page, "hello")
        await expect(page.locator("#log .in[data-seq]")).to_have_count(1)
        await expect(page.locator("#notice")).to_contain_text("Not sent yet")
        before = asked
        await page.reload()
        await expect(page.locator("#log .in[data-seq]")).to_have_count(1)
        await write(page, "again")
        await expect(page.locator("#log .in[data-seq]")).to_have_count(2)
        assert [incoming.text for *_, incoming in gateway.inbox] == ["", "hello", "again"]
        assert asked > before

    visit(act)


def test_a_cut_stream_brings_what_came_meanwhile_once() -> None:
    async def act(gateway: MemoryGateway, page: Page) -> None:
        chat = await chat_of(page)
        await page.context.set_offline(True)
        await gateway.say("webchat", chat, Message(kind="say", text="While you were away"))
        await page.context.set_offline(False)
        await expect(page.get_by_text("While you were away")).to_have_count(1, timeout=15_000)
        await gateway.say("webchat", chat, Message(kind="say", text="And now"))
        await expect(page.locator("#log .tag")).to_have_text(
            ["Hello there", "While you were away", "And now"]
        )

    visit(act)


def test_a_stream_that_fell_silent_is_opened_again() -> None:
    async def scenario() -> None:
        gateway = MemoryGateway()
        async with a_page() as page, serving(gateway, answers=greeting) as url:
            # As after a computer's sleep: the connection is dead and nobody was told.
            silent = True

            async def hang(route: Route) -> None:
                if not silent:
                    await route.continue_()

            await page.clock.install()
            await page.route("**/chat/stream*", hang)
            await page.goto(url)
            await expect(page.get_by_role("button", name="Add a photo")).to_be_visible()
            silent = False
            await page.clock.fast_forward("01:00")
            await expect(page.get_by_text("Hello there")).to_be_visible()

    asyncio.run(scenario())


def test_who_writes_too_much_at_once_is_slowed_down_and_loses_nothing() -> None:
    async def act(gateway: MemoryGateway, page: Page) -> None:
        await page.evaluate(
            """() => {
              for (let number = 0; number < 36; number += 1) {
                const box = document.getElementById("text");
                box.value = `line ${number}`;
                box.dispatchEvent(new Event("input"));
                box.form.requestSubmit();
              }
            }"""
        )
        await expect(page.locator("#notice")).to_contain_text("a lot at once")
        await expect(page.locator("#log .in[data-seq]")).to_have_count(36, timeout=30_000)
        await expect(page.locator("#notice")).to_be_empty()
        texts = [incoming.text for *_, incoming in gateway.inbox]
        assert texts == ["", *(f"line {number}" for number in range(36))]

    visit(act)
