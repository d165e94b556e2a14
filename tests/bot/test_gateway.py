"""The gateway translates between the dialogue's values and the wire, and nothing else."""

import asyncio
from collections.abc import Awaitable, Callable
from decimal import Decimal
from typing import TypeVar

import pytest

from bot.dialogue.messages import Button, Fault, Incoming, Message, Submission, Swatch
from bot.gateway import Gateway, LeadRefused, ServiceUnavailable, TurnConflict
from tests.bot.fake_service import FakeService, an_option

T = TypeVar("T")
ARCH = {"pieces": [{"support": "hoop", "width_m": 1.8288}]}


def through(service: FakeService, use: Callable[[Gateway], Awaitable[T]]) -> T:
    async def run() -> T:
        client = service.client()
        try:
            return await use(Gateway(client))
        finally:
            await client.aclose()

    return asyncio.run(run())


def test_an_update_is_committed_with_everything_the_channel_knew() -> None:
    service = FakeService()
    incoming = Incoming(kind="button", text="skip:1:date", label="Not sure yet", sender_name="Wren")
    received = through(service, lambda g: g.receive("telegram", "-77", "u1", incoming))
    assert (received.inbox_id, received.handled) == (1, False)
    (update,) = service.updates
    assert (update.channel, update.chat_id, update.kind) == ("telegram", "-77", "button")
    assert (update.text, update.label, update.sender_name) == (
        "skip:1:date",
        "Not sure yet",
        "Wren",
    )


def test_names_and_labels_longer_than_the_wire_takes_are_clipped_not_lost() -> None:
    service = FakeService()
    incoming = Incoming(kind="text", text="hi", label="x" * 500, sender_name="y" * 500)
    through(service, lambda g: g.receive("webchat", "c", "u1", incoming))
    assert len(service.updates[0].label or "") == 200
    assert len(service.updates[0].sender_name or "") == 200


def test_text_that_no_database_could_store_is_mended_on_the_way_in() -> None:
    service = FakeService()
    incoming = Incoming(kind="text", text="half \ud83c a smile and a \x00 nul")
    through(service, lambda g: g.receive("webchat", "c", "u1", incoming))
    assert service.updates[0].text == "half ? a smile and a \ufffd nul"


def test_pending_updates_come_back_as_they_went_in() -> None:
    service = FakeService()
    incoming = Incoming(kind="text", text="a hoop", sender_name="Wren", locale="en-US")

    async def use(gateway: Gateway) -> None:
        await gateway.receive("telegram", "7", "u1", incoming)
        (pending,) = await gateway.pending("telegram", older_than_s=0)
        assert (pending.chat_id, pending.update_id, pending.incoming) == ("7", "u1", incoming)
        assert await gateway.pending("webchat", older_than_s=0) == []

    through(service, use)


def test_a_turn_is_stored_and_its_messages_can_be_read_again() -> None:
    service = FakeService()
    button = Button(label="Indoors", value="answer:1:setting:indoor")
    message = Message(kind="ask", text="Indoors?", buttons=(button,), asks="setting")

    async def use(gateway: Gateway) -> None:
        await gateway.turn(
            "webchat", "c", inbox_id=1, version=0, state={"a": 1}, messages=[message]
        )
        standing = await gateway.conversation("webchat", "c")
        assert (standing.version, standing.state) == (1, {"a": 1})
        (shown,) = await gateway.messages("webchat", "c")
        assert (shown.seq, shown.direction, shown.kind) == (1, "out", "ask")
        assert (shown.text, shown.buttons, shown.asks) == ("Indoors?", (button,), "setting")

    through(service, use)


def test_an_outdated_turn_is_a_conflict() -> None:
    service = FakeService(states={"webchat/c": (4, {})})
    with pytest.raises(TurnConflict):
        through(
            service,
            lambda g: g.turn("webchat", "c", inbox_id=1, version=3, state={}, messages=[]),
        )


def test_a_lead_carries_its_chat_and_its_key() -> None:
    service = FakeService()
    submission = Submission(key_suffix="1-2", brief=ARCH, language="en", name="Wren")
    through(service, lambda g: g.take_lead("webchat", "c", submission, key="webchat-c-1-2"))
    assert list(service.leads) == ['"webchat-c-1-2"']


def test_a_refused_lead_names_its_fields() -> None:
    problem = {
        "title": "This brief cannot be built",
        "status": 422,
        "errors": [{"field": "pieces[0].width_m", "detail": "at most 12 m"}],
    }
    service = FakeService(refuse_lead=problem)
    submission = Submission(key_suffix="1-2", brief=ARCH, language="en")
    with pytest.raises(LeadRefused) as refused:
        through(service, lambda g: g.take_lead("webchat", "c", submission, key="k"))
    assert refused.value.faults == (Fault(field="pieces[0].width_m", detail="at most 12 m"),)


def test_a_brief_that_the_wire_itself_forbids_is_refused_the_same_way() -> None:
    brief = {"pieces": [{"support": "column", "count": 51, "height_m": 2.0}]}
    submission = Submission(key_suffix="1-2", brief=brief, language="en")
    service = FakeService()
    with pytest.raises(LeadRefused) as refused:
        through(service, lambda g: g.take_lead("webchat", "c", submission, key="k"))
    assert refused.value.faults[0].field == "pieces.0.count"
    assert service.requests == []


def test_the_shop_card_is_asked_for_once_in_a_while_only() -> None:
    service = FakeService()

    async def use(gateway: Gateway) -> None:
        first, second = await gateway.shop(), await gateway.shop()
        assert first is second
        assert (first.name, first.time_zone) == ("Harbor Lane Garlands", "America/New_York")
        assert first.colours[0].name == "sage"

    through(service, use)
    assert service.requests == ["GET /v1/shop"]


def test_a_service_that_is_down_is_said_to_be_unavailable() -> None:
    with pytest.raises(ServiceUnavailable):
        through(FakeService(down=True), lambda g: g.conversation("webchat", "c"))


def test_messages_go_out_and_come_back_with_all_that_a_channel_may_show() -> None:
    service = FakeService()
    message = Message(
        kind="ask",
        text="Which one?",
        buttons=(
            Button(label="Take it", value="answer:1:palette:3", row=0),
            Button(label="Where I am", share="location", row=1),
            Button(label="The quote", url="https://garlands.example/q"),
        ),
        swatches=(Swatch(name="sage", hex="#a3b899"),),
        edits="41",
    )

    async def use(gateway: Gateway) -> None:
        await gateway.turn("webchat", "c", inbox_id=1, version=0, state={}, messages=[message])
        (shown,) = await gateway.messages("webchat", "c")
        assert (shown.buttons, shown.swatches, shown.edits) == (
            message.buttons,
            message.swatches,
            "41",
        )

    through(service, use)


def test_a_pressed_button_and_a_photo_come_back_with_their_references() -> None:
    service = FakeService()
    press = Incoming(kind="button", text="page:1:date:2027-07", label="July", message_ref="41")
    photo = Incoming(kind="photo", text="like this", photo="file-9")

    async def use(gateway: Gateway) -> None:
        await gateway.receive("telegram", "7", "u1", press)
        await gateway.receive("telegram", "7", "u2", photo)
        found = await gateway.pending("telegram", older_than_s=0)
        assert [one.incoming for one in found] == [press, photo]

    through(service, use)


def test_a_reference_too_long_for_the_wire_is_left_out() -> None:
    service = FakeService()
    incoming = Incoming(kind="photo", photo="f" * 257)
    through(service, lambda g: g.receive("telegram", "7", "u1", incoming))
    assert service.updates[0].photo is None


def test_the_card_has_the_shops_locale_aliases_and_answers() -> None:
    service = FakeService()
    card = through(service, lambda g: g.shop())
    assert card.locale == "en-US"
    assert card.aliases == {"moss": "sage"}
    assert card.answers["deposit"] == {"en": "Half of it.", "es": "La mitad."}
    assert card.contact_in("es") == "correo odile@harborlane.example"
    assert card.contact_in("fr") == card.contact


def test_a_leads_client_and_source_reach_the_service() -> None:
    service = FakeService()
    submission = Submission(
        key_suffix="1-2",
        brief=ARCH,
        language="es",
        name="Wren",
        phone="+16175550142",
        source="library-reopening",
    )
    through(service, lambda g: g.take_lead("webchat", "c", submission, key="k"))
    (request,) = service.lead_requests
    assert (request.client.phone, request.source, request.language) == (
        "+16175550142",
        "library-reopening",
        "es",
    )


def test_what_else_could_be_had_comes_as_offers() -> None:
    service = FakeService()
    service.options = [an_option({"support": "hoop", "width_m": 1.2}, "240", "280", "330")]

    async def use(gateway: Gateway) -> None:
        (offer,) = await gateway.options(ARCH, Decimal(300))
        assert offer.pieces == ({"support": "hoop", "width_m": 1.2},)
        assert (offer.low, offer.likely, offer.high) == (Decimal(240), Decimal(280), Decimal(330))
        assert offer.fits is True
        await gateway.options(ARCH, None)
        assert await gateway.options({"pieces": [{"support": "cloud"}]}, None) == []

    through(service, use)
    with_budget, without = service.asked_options
    assert with_budget["budget"]["max"] == "300"
    assert without["budget"] is None


def test_photos_places_and_the_owners_chats_are_asked_for_in_plain_values() -> None:
    service = FakeService(tokens={"abc"})
    service.places["42.3643", "-71.1022"] = {"postal_code": "02139", "town": "Cambridge"}

    async def use(gateway: Gateway) -> None:
        await gateway.keep_photo("p1", "telegram", "7", b"a jpeg")
        assert await gateway.photo("p1", "telegram", "7") == b"a jpeg"
        assert await gateway.photo("p1", "telegram", "8") is None
        assert await gateway.nearest_place(42.3643, -71.1022) == ("02139", "Cambridge")
        assert await gateway.nearest_place(48.8584, 2.2945) is None
        assert await gateway.pair_owner("x" * 65, "telegram", "7", None) is False
        assert await gateway.pair_owner("abc", "telegram", "7", "Wren") is True
        assert await gateway.owner_chats("telegram") == ["7"]
        assert await gateway.owner_chats("webchat") == []
        assert (await gateway.conversation("telegram", "7")).owner is True

    through(service, use)
