"""Photos: nothing comes through but the picture, and nothing else is taken for one."""

import asyncio
import struct
import time
import zipfile
import zlib
from collections.abc import Callable
from io import BytesIO

import httpx
import pytest
from PIL import Image

from bot.photos import NotAPhoto, reduce
from tests.bot.webchat.memory import MemoryGateway
from tests.bot.webchat.serving import a_client
from tests.service.api.conftest import Service

SCRIPT = b"<script>alert('canary')</script>"
PHP = b"<?php system('canary'); ?>"


def picture(kind: str = "JPEG", **more: object) -> bytes:
    made = BytesIO()
    Image.linear_gradient("L").convert("RGB").save(made, kind, **more)
    return made.getvalue()


def archive() -> bytes:
    made = BytesIO()
    with zipfile.ZipFile(made, "w") as packed:
        packed.writestr("canary.html", SCRIPT)
    return made.getvalue()


def chunk(name: bytes, content: bytes) -> bytes:
    body = name + content
    return struct.pack(">I", len(content)) + body + struct.pack(">I", zlib.crc32(body))


def png_of(width: int, height: int, rows: bytes = b"") -> bytes:
    """A PNG that says to be so large, whatever is in it."""
    head = struct.pack(">IIBBBBB", width, height, 8, 0, 0, 0, 0)
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + chunk(b"IDAT", rows) + chunk(b"IEND", b"")


TWO_IN_ONE: dict[str, Callable[[], bytes]] = {
    "a page behind it": lambda: picture() + SCRIPT,
    "an archive behind it": lambda: picture("PNG") + archive(),
    "a page in its comment": lambda: picture(comment=SCRIPT),
    "a program in its comment": lambda: picture("GIF", comment=PHP),
    "a page in its profile": lambda: picture(icc_profile=SCRIPT * 20),
    "a page in its camera's notes": lambda: picture(exif=_exif()),
}


def _exif() -> Image.Exif:
    notes = Image.Exif()
    notes[0x010E] = SCRIPT.decode()
    notes.get_ifd(0x8825)[1] = "canary"
    return notes


@pytest.mark.parametrize("name", TWO_IN_ONE)
def test_of_two_files_in_one_the_picture_alone_is_kept(name: str) -> None:
    sent = TWO_IN_ONE[name]()
    kept = reduce(sent).jpeg
    assert b"canary" in sent
    assert not any(part in kept for part in (b"canary", b"script", b"<?php", b"PK\x03\x04"))
    with Image.open(BytesIO(kept)) as image:
        assert image.format == "JPEG"
        assert not image.getexif()
        assert not image.info.get("icc_profile")


@pytest.mark.parametrize(
    "sent",
    [
        SCRIPT, archive(), b"\xff\xd8\xff" + SCRIPT, b"GIF89a" + PHP, b"%PDF-1.7 canary",
        b"<svg xmlns='http://www.w3.org/2000/svg' onload='alert(1)'/>", b"\x00" * 5000, b"",
        picture()[:300], picture("PNG")[:60], picture("WEBP")[:40],
        png_of(60_000, 60_000, zlib.compress(b"\x00" * 1_000_000)), png_of(0, 0),
        png_of(2**31 - 1, 1), png_of(16_000_001, 1),
    ],
)  # fmt: skip
def test_what_is_no_whole_picture_of_a_fair_size_is_refused_at_once(sent: bytes) -> None:
    began = time.process_time()
    with pytest.raises(NotAPhoto):
        reduce(sent)
    assert time.process_time() - began < 1


def test_a_whole_picture_with_too_much_in_it_is_not_unpacked() -> None:
    # 16 kB that would be 16 MB.
    wide, high = 4_001, 4_000
    sent = png_of(wide, high, zlib.compress(bytes(high * (1 + wide))))
    with pytest.raises(NotAPhoto, match="too_many_pixels"):
        reduce(sent)


def test_a_page_that_says_to_be_a_photo_is_not_taken_by_the_chat() -> None:
    gateway = MemoryGateway()

    async def send(client: httpx.AsyncClient, content: bytes, kind: str) -> int:
        answer = await client.post("/chat/photos", content=content, headers={"Content-Type": kind})
        return answer.status_code

    async def scenario() -> list[int]:
        async with a_client(gateway) as client:
            return [
                await send(client, SCRIPT, "image/jpeg"),
                await send(client, picture(), "text/html"),
                await send(client, b"\xff\xd8\xff" + SCRIPT, "image/svg+xml"),
                await send(client, picture("PNG"), "image/jpeg"),
            ]

    assert asyncio.run(scenario()) == [415, 415, 415, 201]
    (kept,) = gateway.photos.values()
    assert kept.startswith(b"\xff\xd8\xff")


def test_whatever_was_kept_a_browser_takes_for_a_picture_only(service: Service) -> None:
    bot = service.client("bot")
    at = "/v1/photos/p?channel=webchat&chat_id=c"

    def put(content: bytes, kind: str) -> int:
        return bot.put(at, content=content, headers={"Content-Type": kind}).status_code

    assert put(SCRIPT, "image/jpeg") == 415
    assert put(b"\xff\xd8\xff" + SCRIPT, "text/html") == 415
    assert put(b"\xff\xd8\xff" + b"x" * 2_200_000, "image/jpeg") == 413
    assert put(b"\xff\xd8\xff" + SCRIPT, "image/jpeg") == 204
    shown = bot.get(at)
    assert shown.headers["content-type"] == "image/jpeg"
    assert shown.headers["x-content-type-options"] == "nosniff"
    assert "default-src 'none'" in shown.headers["content-security-policy"]
