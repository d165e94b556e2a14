"""What of Telegram's updates reaches the dialogue."""

from typing import Any

import pytest
import telegram

from bot.telegram.incoming import Arrival, read

PERSON = {
    "id": 501,
    "is_bot": False,
    "first_name": "Robin",
    "last_name": "Reyes",
    "language_code": "es",
}
PRIVATE = {"id": 501, "type": "private", "first_name": "Robin"}
GROUP = {"id": -77, "type": "group", "title": "Boathouse committee"}


def an_update(kind: str, content: dict[str, Any]) -> telegram.Update:
    update = telegram.Update.de_json({"update_id": 41, kind: content}, None)
    assert update is not None
    return update


def a_message(chat: dict[str, Any] = PRIVATE, **content: Any) -> dict[str, Any]:
    return {"message_id": 7, "date": 1_800_000_000, "chat": chat, "from": PERSON, **content}


def a_press(message: dict[str, Any] | None, data: str = "setting:in") -> telegram.Update:
    query: dict[str, Any] = {"id": "q9", "from": PERSON, "chat_instance": "c", "data": data}
    return an_update("callback_query", query | ({"message": message} if message else {}))


def arrival(update: telegram.Update) -> Arrival:
    found = read(update)
    assert found is not None
    return found


def test_text_comes_with_who_wrote_it_and_keeps_its_lines() -> None:
    found = arrival(an_update("message", a_message(text="an arch\nfor June 6 🎈")))
    assert (found.update_id, found.chat_id, found.query_id) == ("41", "501", None)
    assert (found.incoming.kind, found.incoming.text) == ("text", "an arch\nfor June 6 🎈")
    assert (found.incoming.sender_name, found.incoming.locale) == ("Robin Reyes", "es")


@pytest.mark.parametrize(
    ("text", "payload"),
    [
        ("/start", ""),
        ("/start site-june", "site-june"),
        ("/start@ribbon_bot  q1", "q1"),
        ("/start owner-aB3_x-9", "owner-aB3_x-9"),
        ("/start " + "x" * 64, "x" * 64),
        ("/start " + "x" * 65, ""),
        ("/start how much for an arch?", ""),
        ("/start ñ", ""),
    ],
)
def test_start_carries_its_payload(text: str, payload: str) -> None:
    incoming = arrival(an_update("message", a_message(text=text))).incoming
    assert (incoming.kind, incoming.text) == ("start", payload)


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("/help", "/help"),
        ("/cancel@ribbon_bot", "/cancel"),
        ("/started yesterday", "/started yesterday"),
        ("write to /me@home.example", "write to /me@home.example"),
    ],
)
def test_other_commands_are_text_without_the_bots_name(text: str, expected: str) -> None:
    incoming = arrival(an_update("message", a_message(text=text))).incoming
    assert (incoming.kind, incoming.text) == ("text", expected)


def test_a_press_finds_its_label_in_the_message() -> None:
    rows = [
        [{"text": "Outdoors", "callback_data": "setting:out"}],
        [{"text": "Indoors", "callback_data": "setting:in"}],
    ]
    found = arrival(a_press(a_message(text="Where?", reply_markup={"inline_keyboard": rows})))
    assert found.query_id == "q9"
    assert (found.incoming.kind, found.incoming.text) == ("button", "setting:in")
    assert found.incoming.label == "Indoors"


def test_a_press_on_a_message_too_old_to_see_has_no_label() -> None:
    found = arrival(a_press({"message_id": 7, "date": 0, "chat": PRIVATE}))
    assert (found.incoming.text, found.incoming.label) == ("setting:in", None)
    assert (found.incoming.message_ref, found.query_id) == ("7", "q9")


def test_a_press_names_its_message() -> None:
    found = arrival(a_press(a_message(text="Where?")))
    assert found.incoming.message_ref == "7"


def sizes(**sizes_in_bytes: int) -> list[dict[str, Any]]:
    return [
        {"file_id": file_id, "file_unique_id": file_id, "width": 90 * n, "height": 60 * n}
        | {"file_size": size}
        for n, (file_id, size) in enumerate(sizes_in_bytes.items(), start=1)
    ]


def a_file(mime_type: str, size: int = 4_000) -> dict[str, Any]:
    return {"file_id": "f", "file_unique_id": "u", "mime_type": mime_type, "file_size": size}


@pytest.mark.parametrize(
    ("content", "photo"),
    [
        ({"photo": sizes(small=2_000, large=90_000)}, "large"),
        ({"photo": sizes(small=2_000, large=10_000_001)}, "small"),
        ({"photo": sizes(huge=10_000_001)}, None),
        ({"document": a_file("image/png")}, "f"),
        ({"document": a_file("image/jpeg", 10_000_001)}, None),
    ],
    ids=["largest", "largest that is not too large", "too large", "as a file", "too large a file"],
)
def test_a_photo_comes_with_its_caption_and_the_name_of_its_file(
    content: dict[str, Any], photo: str | None
) -> None:
    message = a_message(**content, caption="like this one")
    incoming = arrival(an_update("message", message)).incoming
    assert (incoming.kind, incoming.text, incoming.photo) == ("photo", "like this one", photo)


PLACE = {"latitude": 42.373611, "longitude": -71.1}


@pytest.mark.parametrize(
    "content",
    [
        {"location": PLACE},
        {"location": PLACE, "venue": {"location": PLACE, "title": "Hall", "address": "1 Main"}},
    ],
    ids=["location", "venue"],
)
def test_a_place_comes_in_degrees(content: dict[str, Any]) -> None:
    incoming = arrival(an_update("message", a_message(**content))).incoming
    assert (incoming.kind, incoming.text) == ("location", "42.373611,-71.100000")


@pytest.mark.parametrize("number", ["+15550100", "15550100"])
def test_the_senders_own_number_comes_as_it_is_dialled_from_anywhere(number: str) -> None:
    contact = {"phone_number": number, "first_name": "Robin", "user_id": 501}
    incoming = arrival(an_update("message", a_message(contact=contact))).incoming
    assert (incoming.kind, incoming.text) == ("contact", "+15550100")


@pytest.mark.parametrize(
    "content",
    [
        {"contact": {"phone_number": "555-0100", "first_name": "Ida", "user_id": 502}},
        {"contact": {"phone_number": "555-0100", "first_name": "Ida"}},
        {"document": a_file("application/pdf"), "caption": "the plan of the hall"},
        {"voice": {"file_id": "v", "file_unique_id": "u", "duration": 4}},
    ],
    ids=["somebody else's card", "a card of nobody here", "file", "voice"],
)
def test_what_cannot_be_read_is_told_as_other_with_its_caption(content: dict[str, Any]) -> None:
    incoming = arrival(an_update("message", a_message(**content))).incoming
    assert (incoming.kind, incoming.text) == ("other", content.get("caption", ""))


@pytest.mark.parametrize(
    "update",
    [
        an_update("message", a_message(chat=GROUP, text="how much for an arch?")),
        a_press(a_message(chat=GROUP, text="Where?")),
        an_update("edited_message", a_message(text="make it 8 ft")),
        an_update(
            "message",
            a_message(message_auto_delete_timer_changed={"message_auto_delete_time": 86_400}),
        ),
        an_update("message", {**a_message(text="hi"), "from": {**PERSON, "is_bot": True}}),
        a_press(None),
        an_update("channel_post", a_message(chat={"id": -9, "type": "channel"}, text="news")),
    ],
    ids=["group", "press in a group", "edit", "notice", "another bot", "inline", "channel"],
)
def test_everything_else_is_left_alone(update: telegram.Update) -> None:
    assert read(update) is None
