"""What the Bot API refuses, with the words it refuses in.

Limits are those of the Bot API's public reference (core.telegram.org/bots/api); the wording of
refusals is from memory.
"""

import ipaddress
import json
import re
from typing import Any
from urllib.parse import urlsplit

TEXT_MOST = 4096
CALLBACK_DATA_MOST_BYTES = 64
CALLBACK_ANSWER_MOST = 200
BUTTONS_MOST = 100
COMMANDS_MOST = 100

_ACTIONS = frozenset(
    {
        "typing",
        "upload_photo",
        "record_video",
        "upload_video",
        "record_voice",
        "upload_voice",
        "upload_document",
        "choose_sticker",
        "find_location",
        "record_video_note",
        "upload_video_note",
    }
)
_JSON_PARAMETERS = frozenset({"reply_markup", "entities", "allowed_updates", "commands", "scope"})
_COMMAND = re.compile(r"[a-z0-9_]{1,32}")


class Refusal(Exception):
    """An answer with `ok` false."""

    def __init__(self, status: int, description: str, *, retry_after: int | None = None) -> None:
        super().__init__(description)
        self.status = status
        self.description = description
        self.retry_after = retry_after


def utf16_length(text: str) -> int:
    """Length as Telegram counts it: in UTF-16 code units."""
    return len(text.encode("utf-16-le", "surrogatepass")) // 2


def message_text(params: dict[str, Any]) -> str:
    """The text of a message to send, with the white space around it taken off."""
    if params.get("parse_mode"):
        raise _bad("this server takes plain text and entities only")
    text = str(params.get("text", "")).strip()
    if not text:
        raise _bad("message text is empty")
    if utf16_length(text) > TEXT_MOST:
        raise _bad("message is too long")
    for entity in params.get("entities") or []:
        _check_entity(entity, text)
    return text


def _check_entity(entity: Any, text: str) -> None:
    offset, length = entity.get("offset"), entity.get("length")
    if not isinstance(offset, int) or not isinstance(length, int) or offset < 0 or length <= 0:
        raise _bad("can't parse entities: wrong offset or length")
    if offset + length > utf16_length(text):
        raise _bad("entity beyond the end of the text")


def keyboard(markup: Any) -> list[list[dict[str, Any]]]:
    """The rows of an inline keyboard, each button checked. No markup is no rows."""
    if not markup:
        return []
    if not isinstance(markup, dict) or not isinstance(markup.get("inline_keyboard"), list):
        raise _bad("object expected as reply markup")
    rows = markup["inline_keyboard"]
    buttons = [button for row in rows for button in row]
    if len(buttons) > BUTTONS_MOST:
        raise _bad("reply markup is too long")
    for button in buttons:
        _check_button(button)
    return [row for row in rows if row]


def _check_button(button: dict[str, Any]) -> None:
    if not str(button.get("text", "")).strip():
        raise _bad("text buttons are unallowed in the inline keyboard: text is empty")
    meanings = [name for name in ("callback_data", "url") if button.get(name)]
    if len(meanings) != 1:
        raise _bad("inline keyboard button must have exactly one meaning")
    if meanings == ["callback_data"]:
        if len(str(button["callback_data"]).encode()) > CALLBACK_DATA_MOST_BYTES:
            raise _bad("BUTTON_DATA_INVALID")
    elif not _is_web_address(str(button["url"])):
        raise _bad("inline keyboard button URL is invalid: Wrong HTTP URL")


def _is_web_address(url: str) -> bool:
    # A host without a dot, such as `localhost`, is refused by the real server.
    parts = urlsplit(url)
    if parts.scheme == "tg":
        return True
    if parts.scheme not in ("http", "https") or not parts.hostname:
        return False
    return "." in parts.hostname or _is_ip(parts.hostname)


def _is_ip(host: str) -> bool:
    try:
        ipaddress.ip_address(host)
    except ValueError:
        return False
    return True


def chat_action(action: Any) -> str:
    """A known chat action."""
    if action not in _ACTIONS:
        raise _bad("wrong parameter action in request")
    return str(action)


def callback_answer(text: Any) -> None:
    """The notice shown to who pressed a button."""
    if text and len(str(text)) > CALLBACK_ANSWER_MOST:
        raise _bad("MESSAGE_TOO_LONG")


def commands(listed: Any) -> list[dict[str, str]]:
    """The bot's list of commands."""
    if not isinstance(listed, list) or len(listed) > COMMANDS_MOST:
        raise _bad("wrong list of commands")
    for one in listed:
        if not _COMMAND.fullmatch(str(one.get("command", ""))):
            raise _bad("BOT_COMMAND_INVALID")
        if not 1 <= len(str(one.get("description", ""))) <= 256:
            raise _bad("BOT_COMMAND_DESCRIPTION_INVALID")
    return listed


def parameter(name: str, value: str) -> Any:
    """A form field as the Bot API reads it: some hold JSON, the others text."""
    if name not in _JSON_PARAMETERS:
        return value
    try:
        return json.loads(value)
    except ValueError:
        raise _bad(f"can't parse {name} as JSON") from None


def _bad(why: str) -> Refusal:
    return Refusal(400, f"Bad Request: {why}")
