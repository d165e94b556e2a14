"""Photos that clients sent are fetched, within bounds."""

import asyncio
import logging

import pytest

from bot.telegram import TelegramPhotos, open_bot, photos
from bot.turns import PhotoGone
from tests.bot.telegram.receiving import CANARY
from tests.bot_api import BotApiServer


@pytest.fixture(autouse=True)
def impatient(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(photos, "_PAUSES_S", (0.01, 0.01))


def fetched(api: BotApiServer, ref: str = "photo-1") -> bytes:
    async def fetch() -> bytes:
        async with open_bot(CANARY, api.base_url) as bot:
            return await TelegramPhotos(bot).fetch(ref)

    return asyncio.run(fetch())


def test_a_photo_comes_as_it_was_sent(api: BotApiServer) -> None:
    api.send_photo(501, data=b"pixels" * 10_000)
    assert fetched(api) == b"pixels" * 10_000


def test_a_photo_that_is_too_large_is_not_read_to_its_end(
    api: BotApiServer, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(photos, "PHOTO_MOST_BYTES", 5_000)
    api.send_photo(501, data=b"pixels" * 1_000)
    with pytest.raises(PhotoGone, match="too large"):
        fetched(api)


def test_a_photo_that_nobody_knows_any_more_is_gone(api: BotApiServer) -> None:
    with pytest.raises(PhotoGone, match="does not have it"):
        fetched(api, "photo-of-last-year")
    assert len(api.calls_of("getFile")) == 1


def test_trouble_on_the_way_passes(api: BotApiServer) -> None:
    api.send_photo(501, data=b"pixels")
    api.fail("getFile", 502, times=2)
    assert fetched(api) == b"pixels"


def test_trouble_that_stays_ends_in_a_photo_that_is_gone(
    api: BotApiServer, caplog: pytest.LogCaptureFixture
) -> None:
    caplog.set_level(logging.DEBUG)
    api.send_photo(501, data=b"pixels")
    api.fail("getFile", 500, times=3)
    with pytest.raises(PhotoGone, match="does not answer") as told:
        fetched(api)
    assert "canary" not in caplog.text + told.value.reason


def test_a_server_that_is_not_there_ends_the_same_way() -> None:
    async def fetch() -> None:
        await TelegramPhotos(open_bot(CANARY, "http://127.0.0.1:9")).fetch("photo-1")

    with pytest.raises(PhotoGone, match="does not answer"):
        asyncio.run(fetch())
