"""What a client sees of the messages that go out through Telegram."""

import asyncio
from collections.abc import Iterator
from contextlib import aclosing
from io import BytesIO
from typing import Any

import pytest
from PIL import Image

from service.contract.talk import Button, OutgoingMessage, Picture, Swatch
from tests.bot_api import BotApiServer, Sent
from workers.channels import NotEver, NotNow
from workers.channels.telegram import Telegram, telegram
from workers.pacing import Pacing

CHAT = 501
SWATCHES = [Swatch(name="Sage", hex="#a3b899"), Swatch(name="Navy", hex="#1b2a49")]
PLACE = Button(label="Share my place", share="location")
NUMBER = Button(label="Share my number", share="contact")
LATER = Button(label="Not now", value="skip:1:place")
YES = Button(label="Yes", value="confirm:1:2")
GARLAND = Picture(
    url="https://shop.example/quotes/1/picture.png",
    page_url="https://shop.example/quotes/1/picture.webp",
    alt="A drawing of your balloons, to scale.",
)


@pytest.fixture
def api() -> Iterator[BotApiServer]:
    with BotApiServer() as server:
        server.say(CHAT, "hello")
        yield server


def a_channel(api: BotApiServer) -> aclosing[Telegram]:
    return aclosing(telegram(api.token, api.base_url, Pacing(None)))


def send(
    api: BotApiServer,
    *messages: OutgoingMessage,
    after_share: bool = False,
    picture: bytes | None = None,
) -> list[Sent]:
    """The chat once all are out, paced as by a process of their own."""

    async def run() -> None:
        for message in messages:
            async with a_channel(api) as channel:
                await channel.send(str(CHAT), message, after_share=after_share, picture=picture)

    asyncio.run(run())
    return api.sent(CHAT)


def say(text: str, *buttons: Button, **more: Any) -> OutgoingMessage:
    return OutgoingMessage(text=text, buttons=list(buttons), **more)


def a_price(text: str) -> OutgoingMessage:
    book = Button(label="Pick a time", url="https://shop.example/bookings/1")
    return say(text, book, kind="ballpark", picture=GARLAND)


def a_png(size: tuple[int, int] = (80, 60)) -> bytes:
    drawn = BytesIO()
    Image.new("RGB", size, "#a3b899").save(drawn, "PNG")
    return drawn.getvalue()


def labels(rows: list[list[dict[str, Any]]]) -> list[list[str]]:
    return [[key["text"] for key in row] for row in rows]


def test_buttons_of_a_row_stand_side_by_side(api: BotApiServer) -> None:
    week = [Button(label=str(day), value=f"d:{day}", row=1) for day in range(1, 8)]
    months = [Button(label=sign, value=f"m:{sign}", row=0) for sign in "‹›"]
    [sent] = send(api, say("Which day?", *months, *week, YES, LATER))
    assert labels(sent.rows) == [
        ["‹", "›"],
        ["1", "2", "3", "4", "5", "6", "7"],
        ["Yes", "Not now"],
    ]


def test_more_than_eight_of_a_row_wrap(api: BotApiServer) -> None:
    [sent] = send(api, say("Which?", *[Button(label="x", value=str(n), row=3) for n in range(20)]))
    assert [len(row) for row in sent.rows] == [8, 8, 4]


def test_a_blank_field_of_a_calendar_has_something_on_it(api: BotApiServer) -> None:
    [sent] = send(api, say("Which day?", Button(label=" ", value="still", row=0)))
    assert labels(sent.rows) == [["·"]]


def test_what_can_be_shared_is_a_keyboard_that_takes_other_answers_too(api: BotApiServer) -> None:
    link = Button(label="Our page", url="https://shop.test/")
    [sent] = send(api, say("Where will it be?", PLACE, NUMBER, LATER, YES, link))
    assert labels(api.keys(CHAT)) == [["Share my place"], ["Share my number"], ["Not now", "Yes"]]
    assert sent.rows == []
    assert sent.text == "Where will it be?\n\nOur page: https://shop.test/"
    call = api.calls_of("sendMessage")[0].params["reply_markup"]
    assert (call["one_time_keyboard"], call["resize_keyboard"]) == (True, True)
    place, number = api.keys(CHAT)[0][0], api.keys(CHAT)[1][0]
    assert (place["request_location"], number["request_contact"]) == (True, True)


def test_the_next_message_takes_that_keyboard_away(api: BotApiServer) -> None:
    send(api, say("Where?", PLACE))
    sent = send(api, say("In Alder Mills, then."), after_share=True)
    assert api.keys(CHAT) == []
    assert [one.text for one in sent] == ["Where?", "In Alder Mills, then."]


def test_where_the_next_message_has_buttons_of_its_own_a_sign_goes_before_it(
    api: BotApiServer,
) -> None:
    send(api, say("Where?", PLACE))
    *_, sign, question = send(api, say("Indoors?", YES), after_share=True)
    assert api.keys(CHAT) == []
    assert (sign.text, question.text) == ("👍", "Indoors?")
    assert labels(question.rows) == [["Yes"]]


def test_another_message_with_something_to_share_brings_its_own_keyboard(
    api: BotApiServer,
) -> None:
    send(api, say("Where?", PLACE))
    sent = send(api, say("And your number?", NUMBER), after_share=True)
    assert labels(api.keys(CHAT)) == [["Share my number"]]
    assert len(sent) == 2


def test_an_edit_takes_the_place_of_the_message(api: BotApiServer) -> None:
    [june] = send(api, say("June", Button(label="›", value="page:1:date:2027-07")))
    july = Button(label="‹", value="page:1:date:2027-06")
    [seen] = send(api, say("July", july, edits=str(june.message_id)))
    assert (seen.text, labels(seen.rows), seen.edits) == ("July", [["‹"]], 1)


def test_an_edit_that_changes_nothing_is_done(api: BotApiServer) -> None:
    [june] = send(api, say("June", YES))
    [seen] = send(api, say("June", YES, edits=str(june.message_id)))
    assert seen.text == "June"


@pytest.mark.parametrize("ref", ["999", "none", "", "-3", "٣"])
def test_what_cannot_be_edited_is_sent_anew(api: BotApiServer, ref: str) -> None:
    [seen] = send(api, say("July", YES, edits=ref))
    assert seen.text == "July"


@pytest.mark.parametrize(
    "later",
    [
        say("Your colours", swatches=SWATCHES),
        say("Where?", PLACE),
        say("balloon " * 600, YES),
    ],
    ids=["a picture", "a keyboard", "too long for one"],
)
def test_what_an_edit_cannot_bring_is_sent_anew(api: BotApiServer, later: OutgoingMessage) -> None:
    [june] = send(api, say("June", YES))
    first, *rest = send(api, later.model_copy(update={"edits": str(june.message_id)}))
    assert (first.text, first.edits) == ("June", 0)
    assert rest


def test_a_picture_cannot_be_edited_into_a_text(api: BotApiServer) -> None:
    [colours] = send(api, say("Your colours", YES, swatches=SWATCHES))
    _, anew = send(api, say("Other colours", YES, edits=str(colours.message_id)))
    assert anew.text == "Other colours"


def test_colours_are_a_picture_with_the_text_beneath(api: BotApiServer) -> None:
    [sent] = send(api, say("Shall it be these?", YES, swatches=SWATCHES))
    assert sent.photo is not None
    with Image.open(BytesIO(sent.photo)) as image:
        assert image.format == "PNG"
    assert (sent.text, labels(sent.rows)) == ("Shall it be these?", [["Yes"]])


def test_a_long_text_goes_on_after_the_picture_with_the_buttons_last(api: BotApiServer) -> None:
    text = "We have these. " * 80 + "Shall it be these?"
    picture, rest = send(api, say(text, YES, swatches=SWATCHES))
    assert picture.photo is not None
    assert (picture.rows, labels(rest.rows)) == ([], [["Yes"]])
    assert f"{picture.text} {rest.text}" == text
    assert picture.text.endswith("these.")


def test_a_picture_of_a_garland_has_a_short_price_as_its_caption(api: BotApiServer) -> None:
    [sent] = send(api, a_price("$380 to $500"), picture=a_png())
    assert (sent.photo, sent.text) == (a_png(), "$380 to $500")
    assert labels(sent.rows) == [["Pick a time"]]


def test_a_longer_price_follows_its_picture_whole_and_with_its_buttons(api: BotApiServer) -> None:
    text = "What would change the price. " * 40 + "Pick a time?"
    shown, price = send(api, a_price(text), picture=a_png())
    assert (shown.photo, shown.text, shown.rows) == (a_png(), GARLAND.alt, [])
    assert (price.photo, price.text, labels(price.rows)) == (None, text, [["Pick a time"]])


def test_a_caption_is_counted_as_telegram_counts_it(api: BotApiServer) -> None:
    """A balloon is two of its units: 512 just fit."""
    [sent] = send(api, a_price("🎈" * 512), picture=a_png())
    assert sent.photo is not None
    assert len(send(api, a_price("🎈" * 513), picture=a_png())) == 3


@pytest.mark.parametrize("text", ["$380 to $500", "What would change the price. " * 40])
@pytest.mark.parametrize("unfit", ["no picture", "too large", "too long"])
def test_a_picture_that_telegram_refuses_does_not_hold_up_the_price(
    api: BotApiServer, text: str, unfit: str
) -> None:
    picture = {
        "no picture": b"GIF89a?",
        "too large": a_png() + b"0" * 10_000_000,
        "too long": a_png((4000, 100)),
    }[unfit]
    [sent] = send(api, a_price(text), picture=picture)
    assert (sent.photo, sent.text, labels(sent.rows)) == (None, text.strip(), [["Pick a time"]])
    assert [call.status for call in api.calls_of("sendPhoto")] == [400]


def test_without_its_picture_the_price_goes_alone(api: BotApiServer) -> None:
    [sent] = send(api, a_price("$380 to $500"))
    assert (sent.photo, sent.text) == (None, "$380 to $500")


def test_a_picture_takes_away_the_keys_of_the_message_before(api: BotApiServer) -> None:
    send(api, say("Where?", PLACE))
    text = "What would change the price. " * 40
    *_, shown, price = send(api, a_price(text), picture=a_png(), after_share=True)
    assert (shown.photo, price.photo, api.keys(CHAT)) == (a_png(), None, [])


@pytest.mark.parametrize("text", ["\u200b", " \n", "\u2800"])
def test_a_text_without_anything_to_see_still_brings_its_buttons(
    api: BotApiServer, text: str
) -> None:
    [sent] = send(api, say(text, YES))
    assert (sent.text, labels(sent.rows)) == ("…", [["Yes"]])


def test_a_blocked_chat_is_given_up_with_a_picture_too(api: BotApiServer) -> None:
    api.block(CHAT)
    with pytest.raises(NotEver, match="blocked"):
        send(api, say("Your colours", swatches=SWATCHES))


def test_a_flooded_chat_is_told_to_wait_and_no_other(api: BotApiServer) -> None:
    api.say(502, "hello")
    api.flood(CHAT, 30)

    async def run() -> None:
        async with a_channel(api) as channel:
            for message in (say("one"), say("two", edits="1"), say("three", swatches=SWATCHES)):
                with pytest.raises(NotNow) as told:
                    await channel.send(str(CHAT), message)
                assert 25 < told.value.seconds <= 30
            await channel.send("502", say("at once"))

    asyncio.run(run())
    assert [one.text for one in api.sent(502)] == ["at once"]


def test_a_message_beyond_the_limits_waits_before_telegram_has_to_say_so(
    api: BotApiServer,
) -> None:
    async def run() -> None:
        async with a_channel(api) as channel:
            for number in range(5):
                await channel.send(str(CHAT), say(f"{number}"))
            with pytest.raises(NotNow) as told:
                await channel.send(str(CHAT), say("5"))
            assert 0 < told.value.seconds <= 5

    asyncio.run(run())
    assert len(api.calls_of("sendMessage")) == 5
