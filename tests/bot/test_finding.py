"""What a turn looks up besides the words; what cannot be found costs nobody an update."""

import asyncio
import logging
from collections.abc import Mapping
from io import BytesIO

import pytest
from PIL import Image

from bot.dialogue.messages import Incoming
from bot.gateway import Channel, Gateway, ServiceUnavailable
from bot.turns import PhotoGone, PhotoSource
from bot.turns.finding import Finder, Looked
from tests.bot.fake_service import FakeService


def picture(colour: str = "#1c2a4a") -> bytes:
    made = BytesIO()
    Image.new("RGB", (64, 48), colour).save(made, "PNG")
    return made.getvalue()


class Photos:
    """A channel's photos by name."""

    def __init__(self, **kept: bytes | Exception) -> None:
        self._kept = kept
        self.fetched: list[str] = []

    async def fetch(self, ref: str) -> bytes:
        self.fetched.append(ref)
        kept = self._kept.get(ref, PhotoGone("it has expired"))
        if isinstance(kept, Exception):
            raise kept
        return kept


def look(
    service: FakeService,
    incoming: Incoming,
    photos: Mapping[Channel, PhotoSource] | None = None,
    channel: Channel = "telegram",
) -> Looked:
    async def run() -> Looked:
        client = service.client()
        try:
            return await Finder(Gateway(client), photos or {}).look(channel, "7", incoming)
        finally:
            await client.aclose()

    return asyncio.run(run())


def sent(ref: str | None) -> Incoming:
    return Incoming(kind="photo", photo=ref, text="like this")


def test_a_photo_is_kept_once_under_one_name_and_its_colours_are_seen() -> None:
    service, photos = FakeService(), Photos(f1=picture(), f2=picture("#c98f8d"))
    first = look(service, sent("f1"), {"telegram": photos})
    again = look(service, sent("f1"), {"telegram": photos})
    other = look(service, sent("f2"), {"telegram": photos})
    assert first == again
    assert first.photo_id != other.photo_id
    assert first.found.colours
    assert first.found.colours != other.found.colours
    assert set(service.photos) == {first.photo_id, other.photo_id}
    chat, jpeg = service.photos[str(first.photo_id)]
    assert chat == "telegram/7"
    assert jpeg.startswith(b"\xff\xd8\xff")


def test_a_channel_that_keeps_its_own_photos_is_read_at_the_service() -> None:
    service = FakeService()
    kept = BytesIO()
    Image.new("RGB", (64, 48), "#c98f8d").save(kept, "JPEG")
    service.photos["p1"] = ("webchat/7", kept.getvalue())
    looked = look(service, sent("p1"), channel="webchat")
    assert looked.photo_id == "p1"
    assert looked.found.colours
    service.photos["p2"] = ("webchat/another", kept.getvalue())
    assert look(service, sent("p2"), channel="webchat") == Looked()


@pytest.mark.parametrize(
    "kept", [b"not a picture", PhotoGone("too large"), RuntimeError("Nora's own words")]
)
def test_what_is_no_photo_is_left_out(
    kept: bytes | Exception, caplog: pytest.LogCaptureFixture
) -> None:
    service = FakeService()
    with caplog.at_level(logging.INFO):
        looked = look(service, sent("f1"), {"telegram": Photos(f1=kept)})
    assert looked == Looked()
    assert service.photos == {}
    assert "nothing found for a photo" in caplog.text
    assert "Nora" not in caplog.text


def test_a_photo_too_large_to_be_named_is_not_looked_for() -> None:
    photos = Photos()
    assert look(FakeService(), sent(None), {"telegram": photos}) == Looked()
    assert photos.fetched == []


def test_a_location_becomes_a_postal_code_and_a_town() -> None:
    service = FakeService()
    service.places["42.3643", "-71.1022"] = {"postal_code": "02139", "town": "Cambridge"}
    found = look(service, Incoming(kind="location", text="42.3643,-71.1022")).found
    assert (found.postal_code, found.town) == ("02139", "Cambridge")
    nowhere = look(service, Incoming(kind="location", text="48.8584,2.2945"))
    assert nowhere == Looked()


@pytest.mark.parametrize("text", ["", "here", "91,0", "0,181", "nan,nan", "1e5,2", "42.3643"])
def test_what_is_no_location_is_not_asked_about(text: str) -> None:
    service = FakeService()
    assert look(service, Incoming(kind="location", text=text)) == Looked()
    assert service.requests == []


def test_words_are_not_looked_up() -> None:
    service = FakeService()
    assert look(service, Incoming(kind="text", text="42.3643,-71.1022")) == Looked()
    assert service.requests == []


def test_a_service_that_is_away_is_no_photo_that_is_gone() -> None:
    service = FakeService(down=True)
    with pytest.raises(ServiceUnavailable):
        look(service, sent("f1"), {"telegram": Photos(f1=picture())})
    with pytest.raises(ServiceUnavailable):
        look(service, Incoming(kind="location", text="42.3643,-71.1022"))
