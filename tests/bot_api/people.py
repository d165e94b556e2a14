"""What people do in their chats with the bot."""

import threading
import time
from collections.abc import Mapping
from typing import Any

from tests.bot_api.text import utf16_length
from tests.bot_api.world import World

_NAME = "Robin Reyes"


class People:
    """Everybody who writes. Each act puts an update in the bot's queue and returns its id."""

    def __init__(self, world: World, lock: threading.RLock) -> None:
        self._world = world
        self._lock = lock

    def meet(self, chat_id: int) -> None:
        """Somebody has a private chat with the bot, which hears of what they write elsewhere."""
        with self._lock:
            self._enter(chat_id, _NAME, "en")

    def say(self, chat_id: int, text: str, *, name: str = _NAME, language: str = "en") -> int:
        """A client writes in a private chat."""
        return self._message(chat_id, {"text": text, **_entities(text)}, name, language)

    def send_photo(
        self,
        chat_id: int,
        caption: str | None = None,
        *,
        data: bytes = b"",
        sizes: Mapping[str, int] | None = None,
    ) -> int:
        """A client sends a photo. `sizes` are file ids with their bytes, smallest first; `data`
        is what the largest one holds."""
        listed = sizes or {"photo-1": len(data) or 1000}
        photo = [
            {"file_id": file_id, "file_unique_id": f"u-{file_id}", "file_size": size}
            | {"width": 90 * number, "height": 90 * number}
            for number, (file_id, size) in enumerate(listed.items(), start=1)
        ]
        with self._lock:
            self._world.files[photo[-1]["file_id"]] = data  # type: ignore[index]
        return self._message(chat_id, {"photo": photo, **_captioned(caption)})

    def send_document(
        self, chat_id: int, mime_type: str, caption: str | None = None, *, data: bytes = b""
    ) -> int:
        """A client sends a file."""
        document = {"file_id": "document-1", "file_unique_id": "d1", "file_size": len(data)}
        with self._lock:
            self._world.files["document-1"] = data
        content = {"document": {**document, "mime_type": mime_type}}
        return self._message(chat_id, {**content, **_captioned(caption)})

    def share_location(self, chat_id: int, latitude: float, longitude: float) -> int:
        """A client shares a place, by a key or from the menu."""
        return self._message(chat_id, {"location": _place(latitude, longitude)})

    def share_venue(self, chat_id: int, latitude: float, longitude: float, title: str) -> int:
        """A client shares a place that has a name."""
        place = _place(latitude, longitude)
        venue = {"location": place, "title": title, "address": "1 Main Street"}
        return self._message(chat_id, {"venue": venue, "location": place})

    def share_contact(self, chat_id: int, number: str, *, of: int | None = None) -> int:
        """A client shares their own number, or the card of somebody else."""
        contact = {"phone_number": number, "first_name": "Robin", "user_id": of or chat_id}
        return self._message(chat_id, {"contact": contact})

    def press_key(self, chat_id: int, label: str, **shared: Any) -> int:
        """A client presses a key of the reply keyboard, which says its label or shares
        `latitude`, `longitude` or `number`."""
        with self._lock:
            rows = self._world.keys.get(chat_id, [])
        key = next((key for row in rows for key in row if key["text"] == label), None)
        if key is None:
            raise AssertionError(f"no key {label!r}: {rows}")
        if key.get("request_location"):
            return self.share_location(chat_id, **shared)
        if key.get("request_contact"):
            return self.share_contact(chat_id, **shared)
        return self.say(chat_id, label)

    def press(self, chat_id: int, message_id: int, data: str, *, old: bool = False) -> int:
        """A client presses a button of a message that the bot sent.

        With `old` the message is so old that the bot is not shown it any more.
        """
        with self._lock:
            sent = self._world.messages[chat_id, message_id]
            offered = [button.get("callback_data") for button in sent.buttons]
            if data not in offered:
                raise AssertionError(f"message {message_id} has no button {data!r}: {offered}")
            query_id = f"q{self._world.next_update}"
            self._world.queries[query_id] = time.monotonic()
            gone = {"chat": self._world.chats[chat_id], "message_id": message_id, "date": 0}
            query = {
                "id": query_id,
                "from": self._world.people[chat_id],
                "chat_instance": f"i{chat_id}",
                "data": data,
                "message": gone if old else self._world.as_message(sent),
            }
            return self._world.queue({"callback_query": query})

    def tarry(self, seconds: float) -> None:
        """Make every press that waits for its answer so much older."""
        with self._lock:
            for query_id in self._world.queries:
                self._world.queries[query_id] -= seconds

    def say_in_group(
        self, group_id: int, person_id: int, text: str, *, language: str = "en"
    ) -> int:
        """Somebody writes in a group that the bot is in. Groups have negative ids."""
        with self._lock:
            self._meet(person_id, _NAME, language)
            group = {"id": group_id, "type": "group", "title": "Boathouse committee"}
            self._world.chats[group_id] = group
            content = {"text": text, **_entities(text)}
            return self._told(group, self._world.people[person_id], content)

    def edit(self, chat_id: int, text: str) -> int:
        """A client changes what they wrote before."""
        with self._lock:
            chat, person = self._world.chats[chat_id], self._world.people[chat_id]
            dates = {"date": int(time.time()), "edit_date": int(time.time())}
            message = {"message_id": self._world.next_message - 1, **dates, "text": text}
            edited = {**message, "chat": chat, "from": person}
            return self._world.queue({"edited_message": edited})

    def queue(self, update: Mapping[str, Any]) -> int:
        """Put any update in the queue, with the next id."""
        with self._lock:
            return self._world.queue(dict(update))

    def repeat(self, update_id: int) -> None:
        """Send an update once more under its old id, whatever was confirmed."""
        with self._lock:
            self._world.repeat(update_id)

    def block(self, chat_id: int) -> None:
        """The client blocks the bot."""
        with self._lock:
            self._world.blocked.add(chat_id)

    def _message(
        self, chat_id: int, content: dict[str, Any], name: str = _NAME, language: str = "en"
    ) -> int:
        with self._lock:
            person, chat = self._enter(chat_id, name, language)
            return self._told(chat, person, content)

    def _enter(
        self, chat_id: int, name: str, language: str
    ) -> tuple[dict[str, Any], dict[str, Any]]:
        person = self._meet(chat_id, name, language)
        chat = {"id": chat_id, "type": "private", "first_name": person["first_name"]}
        self._world.chats[chat_id] = chat
        return person, chat

    def _meet(self, person_id: int, name: str, language: str) -> dict[str, Any]:
        first, _, last = name.partition(" ")
        person = {"id": person_id, "is_bot": False, "first_name": first}
        person |= {"last_name": last} if last else {}
        self._world.people[person_id] = {**person, "language_code": language}
        return self._world.people[person_id]

    def _told(self, chat: dict[str, Any], person: dict[str, Any], content: dict[str, Any]) -> int:
        message = {"message_id": self._world.message_id(), "date": int(time.time())}
        return self._world.queue({"message": {**message, "chat": chat, "from": person, **content}})


def _entities(text: str) -> dict[str, Any]:
    """The commands and mentions that the server finds in a text."""
    found = []
    offset = 0
    for word in text.split(" "):
        kind = {"/": "bot_command", "@": "mention"}.get(word[:1])
        if kind and len(word) > 1:
            found.append({"type": kind, "offset": offset, "length": utf16_length(word)})
        offset += utf16_length(word) + 1
    return {"entities": found} if found else {}


def _captioned(caption: str | None) -> dict[str, Any]:
    return {} if caption is None else {"caption": caption}


def _place(latitude: float, longitude: float) -> dict[str, float]:
    return {"latitude": latitude, "longitude": longitude}
