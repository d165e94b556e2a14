"""Photos: chosen, dropped or pasted, made small, and shown to their own chat alone."""

import asyncio
from base64 import b64encode
from collections.abc import AsyncIterator
from io import BytesIO

import httpx
import pytest
from PIL import Image
from playwright.async_api import FilePayload, Page, expect

from tests.bot.webchat.browsing import PHONE, a_picture, chat_of, visit
from tests.bot.webchat.calling import with_client
from tests.bot.webchat.memory import MemoryGateway
from tests.bot.webchat.serving import serving

JPEG = {"Content-Type": "image/jpeg"}

whole = pytest.mark.whole


def test_a_photo_is_kept_small_and_shown_to_its_own_chat_only() -> None:
    async def scenario() -> None:
        gateway = MemoryGateway()
        async with serving(gateway) as url:
            async with httpx.AsyncClient(base_url=url) as own:
                await own.post("/chat/session")
                sent = a_picture(4000, 3000)
                response = await own.post("/chat/photos", content=sent, headers=JPEG)
                assert response.status_code == 201
                photo = response.json()["photo"]
                shown = await own.get(f"/chat/photos/{photo}")
                assert shown.headers["content-type"] == "image/jpeg"
                assert shown.headers["cache-control"].startswith("private")
                assert shown.headers["cross-origin-resource-policy"] == "same-origin"
                assert max(Image.open(BytesIO(shown.content)).size) <= 1600
                again = await own.post("/chat/photos", content=sent, headers=JPEG)
                assert again.json()["photo"] == photo
            async with httpx.AsyncClient(base_url=url) as other:
                assert (await other.get(f"/chat/photos/{photo}")).status_code == 401
                await other.post("/chat/session")
                assert (await other.get(f"/chat/photos/{photo}")).status_code == 404
                theirs = await other.post("/chat/photos", content=sent, headers=JPEG)
                assert theirs.json()["photo"] != photo
        assert len(gateway.photos) == 2

    asyncio.run(scenario())


def test_what_is_no_photo_is_refused_in_the_clients_language_and_not_kept() -> None:
    async def act(gateway: MemoryGateway, client: httpx.AsyncClient) -> None:
        for content, headers, status, says in (
            (b"%PDF-1.7", JPEG, 415, "not a picture"),
            (b"hello", {"Content-Type": "text/plain"}, 415, "not a picture"),
            (b"", JPEG, 415, "not a picture"),
            (b"%PDF", {**JPEG, "Accept-Language": "es-MX"}, 415, "no es una imagen"),
            (b"\xff\xd8" + b"0" * 12_000_000, JPEG, 413, "12 MB"),
        ):
            response = await client.post("/chat/photos", content=content, headers=headers)
            assert response.status_code == status
            assert says in response.json()["detail"]
        assert gateway.photos == {}

    with_client(act)


def test_more_bytes_than_were_declared_are_not_read() -> None:
    async def act(gateway: MemoryGateway, client: httpx.AsyncClient) -> None:
        async def endless() -> AsyncIterator[bytes]:
            for _ in range(20):
                yield b"\xff" * 1_000_000

        response = await client.post("/chat/photos", content=endless(), headers=JPEG)
        assert response.status_code == 413
        assert gateway.photos == {}

    with_client(act)


def test_while_the_service_is_away_a_photo_is_put_off() -> None:
    async def act(gateway: MemoryGateway, client: httpx.AsyncClient) -> None:
        gateway.down.add("keep_photo")
        response = await client.post("/chat/photos", content=a_picture(), headers=JPEG)
        assert (response.status_code, response.headers["retry-after"]) == (503, "3")

    with_client(act)


def test_a_seventh_photo_at_once_has_to_wait() -> None:
    async def act(_: MemoryGateway, client: httpx.AsyncClient) -> None:
        answers = [
            await client.post("/chat/photos", content=a_picture(8 + n, 8), headers=JPEG)
            for n in range(7)
        ]
        assert [one.status_code for one in answers] == [201] * 6 + [429]
        assert 0 < int(answers[-1].headers["retry-after"]) <= 10

    with_client(act)


# In the browser


def _file(
    name: str = "room.jpg", kind: str = "image/jpeg", data: bytes | None = None
) -> FilePayload:
    return {"name": name, "mimeType": kind, "buffer": data or a_picture()}


@whole
def test_a_chosen_photo_goes_out_with_its_words_and_is_seen_after_a_reload() -> None:
    async def act(gateway: MemoryGateway, page: Page) -> None:
        await page.locator("#file").set_input_files(_file())
        await expect(page.get_by_text("Photo added")).to_be_visible()
        await expect(page.locator("#preview")).to_be_visible()
        await page.get_by_label("Your message").fill("in these colors")
        await page.get_by_role("button", name="Send").click()
        await expect(page.locator("#log .in[data-seq]")).to_have_count(1)
        await expect(page.locator("#attached")).to_be_hidden()
        incoming = gateway.inbox[-1][3]
        assert (incoming.kind, incoming.text) == ("photo", "in these colors")
        assert ("webchat", await chat_of(page), incoming.photo) in gateway.photos
        for _ in range(2):
            picture = page.get_by_role("img", name="Your photo")
            await expect(picture).to_be_visible()
            await page.wait_for_function("document.querySelector('.photo').naturalWidth > 0")
            await expect(page.locator("#log .in .tag")).to_have_text("in these colors")
            await page.reload()

    visit(act)


@whole
def test_a_photo_needs_no_words_and_can_be_taken_off_again_by_key() -> None:
    async def act(gateway: MemoryGateway, page: Page) -> None:
        send = page.get_by_role("button", name="Send")
        async with page.expect_file_chooser() as choosing:
            await page.get_by_role("button", name="Add a photo").press("Enter")
        await (await choosing.value).set_files(_file())
        await expect(send).to_be_enabled()
        await page.get_by_role("button", name="Remove the photo").press("Enter")
        await expect(page.locator("#attached")).to_be_hidden()
        await expect(send).to_be_disabled()
        await expect(page.get_by_label("Your message")).to_be_focused()
        await page.locator("#file").set_input_files(_file())
        await expect(send).to_be_enabled()
        await send.click()
        await expect(page.locator("#log .in[data-seq] img")).to_have_count(1)
        await expect(page.locator("#log .in .tag")).to_have_count(0)

    visit(act)


_TRANSFER = """([name, kind, data]) => {
  const bytes = Uint8Array.from(atob(data), (one) => one.charCodeAt(0));
  const transfer = new DataTransfer();
  transfer.items.add(new File([bytes], name, { type: kind }));
  return transfer;
}"""


@whole
def test_a_photo_can_be_dropped_and_pasted() -> None:
    async def act(_: MemoryGateway, page: Page) -> None:
        given = ["room.jpg", "image/jpeg", b64encode(a_picture()).decode()]
        transfer = await page.evaluate_handle(_TRANSFER, given)
        await page.dispatch_event("body", "dragenter", {"dataTransfer": transfer})
        await expect(page.get_by_text("Drop the photo here")).to_be_visible()
        await page.dispatch_event("body", "drop", {"dataTransfer": transfer})
        await expect(page.get_by_text("Drop the photo here")).to_be_hidden()
        await expect(page.get_by_text("Photo added")).to_be_visible()
        await page.get_by_role("button", name="Remove the photo").click()
        await page.evaluate(
            """(clipboardData) => document.getElementById("text").dispatchEvent(
                 new ClipboardEvent("paste", { clipboardData, bubbles: true }))""",
            transfer,
        )
        await expect(page.get_by_text("Photo added")).to_be_visible()

    visit(act)


@whole
def test_what_cannot_be_sent_is_said_at_once() -> None:
    async def act(gateway: MemoryGateway, page: Page) -> None:
        choose, notice = page.locator("#file"), page.locator("#notice")
        await choose.set_input_files(_file("plan.pdf", "application/pdf", b"%PDF"))
        await expect(notice).to_contain_text("not a picture")
        large = await page.evaluate_handle(
            """() => {
              const transfer = new DataTransfer();
              const bytes = new Uint8Array(12_000_001);
              transfer.items.add(new File([bytes], "hall.jpg", { type: "image/jpeg" }));
              return transfer;
            }"""
        )
        await page.dispatch_event("body", "drop", {"dataTransfer": large})
        await expect(notice).to_contain_text("larger than 12 MB")
        # Only its content tells that this one is none.
        await choose.set_input_files(_file(data=b"no picture at all"))
        await expect(notice).to_contain_text("not a picture")
        await expect(page.locator("#attached")).to_be_hidden()
        assert gateway.photos == {}

    visit(act)


@whole
def test_a_photo_waits_for_the_service_and_then_goes_on_by_itself() -> None:
    async def act(gateway: MemoryGateway, page: Page) -> None:
        gateway.down.add("keep_photo")
        await page.locator("#file").set_input_files(_file())
        await expect(page.get_by_text("waits for the connection")).to_be_visible()
        await expect(page.get_by_role("button", name="Send")).to_be_disabled()
        gateway.down.clear()
        await expect(page.get_by_text("Photo added")).to_be_visible(timeout=15_000)

    visit(act, PHONE)
