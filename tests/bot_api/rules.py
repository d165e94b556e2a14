"""What the Bot API refuses of everything that is neither a text nor a keyboard.

Limits are those of the Bot API's public reference (core.telegram.org/bots/api); the wording of
refusals is from memory.
"""

import json
import re
from io import BytesIO
from typing import Any
from urllib.parse import urlsplit

from PIL import Image

from tests.bot_api.refusals import bad
from tests.bot_api.text import utf16_length

CALLBACK_ANSWER_MOST = 200
COMMANDS_MOST = 100
DESCRIPTION_MOST = {"description": 512, "short_description": 120}
PHOTO_MOST_BYTES = 10_000_000
DOWNLOAD_MOST_BYTES = 20_000_000
# A press waits so long for its answer.
QUERY_LASTS_S = 15.0

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
_UPDATES = frozenset(
    {
        "message",
        "edited_message",
        "channel_post",
        "edited_channel_post",
        "inline_query",
        "chosen_inline_result",
        "callback_query",
        "my_chat_member",
        "chat_member",
    }
)
_SCOPES = frozenset(
    {
        "default",
        "all_private_chats",
        "all_group_chats",
        "all_chat_administrators",
        "chat",
    }
)
_JSON_PARAMETERS = frozenset(
    {
        "reply_markup",
        "entities",
        "caption_entities",
        "allowed_updates",
        "commands",
        "scope",
        "link_preview_options",
    }
)
_COMMAND = re.compile(r"[a-z0-9_]{1,32}")
_LANGUAGE = re.compile(r"[a-z]{2}|")
_SECRET = re.compile(r"[A-Za-z0-9_-]{1,256}")
_PORTS = (None, 443, 80, 88, 8443)


def chat_action(action: Any) -> str:
    """A known chat action."""
    if action not in _ACTIONS:
        raise bad("wrong parameter action in request")
    return str(action)


def callback_answer(text: Any) -> None:
    """The notice shown to who pressed a button."""
    if text and utf16_length(str(text)) > CALLBACK_ANSWER_MOST:
        raise bad("MESSAGE_TOO_LONG")


def commands(listed: Any) -> list[dict[str, str]]:
    """A list of commands."""
    if not isinstance(listed, list) or len(listed) > COMMANDS_MOST:
        raise bad("wrong list of commands")
    for one in listed:
        if not _COMMAND.fullmatch(str(one.get("command", ""))):
            raise bad("BOT_COMMAND_INVALID")
        if not 1 <= utf16_length(str(one.get("description", ""))) <= 256:
            raise bad("BOT_COMMAND_DESCRIPTION_INVALID")
    return listed


def scope(given: Any) -> tuple[str, int | None]:
    """Whom commands are for: the kind of chats, and the chat where it is one."""
    scope = given or {"type": "default"}
    if not isinstance(scope, dict) or scope.get("type") not in _SCOPES:
        raise bad("wrong scope of commands")
    if scope["type"] != "chat":
        return str(scope["type"]), None
    return "chat", int(scope.get("chat_id") or 0)


def language(given: Any) -> str:
    """A language by its two letters; all others without any."""
    if not _LANGUAGE.fullmatch(str(given or "")):
        raise bad("invalid language code")
    return str(given or "")


def about(given: Any, what: str) -> str:
    """The bot's description or its short one."""
    text = str(given or "")
    if utf16_length(text) > DESCRIPTION_MOST[what]:
        raise bad(f"{what} is too long")
    return text


def photo(data: bytes) -> bytes:
    """A photo that is uploaded."""
    if len(data) > PHOTO_MOST_BYTES:
        raise bad("file is too big for a photo")
    try:
        with Image.open(BytesIO(data)) as image:
            width, height = image.size
            image.load()
    except OSError:
        raise bad("IMAGE_PROCESS_FAILED") from None
    if width + height > 10_000 or max(width, height) > 20 * min(width, height):
        raise bad("PHOTO_INVALID_DIMENSIONS")
    return data


def hook_address(url: str) -> str:
    """Where updates may be posted to: https, as the real server wants, or this very machine."""
    parts = urlsplit(url)
    if parts.hostname == "127.0.0.1" and parts.scheme == "http":
        return url
    if parts.scheme != "https" or not parts.hostname:
        raise bad("bad webhook: An HTTPS URL must be provided for webhook")
    if parts.port not in _PORTS:
        raise bad("bad webhook: Webhook can be set up only on ports 80, 88, 443 or 8443")
    return url


def hook_secret(given: Any) -> str | None:
    """What every post to the webhook carries."""
    if given in (None, ""):
        return None
    if not _SECRET.fullmatch(str(given)):
        raise bad("secret token contains unallowed characters")
    return str(given)


def connections(given: Any) -> int:
    """How many posts may be under way at once."""
    wanted = int(given or 40)
    if not 1 <= wanted <= 100:
        raise bad("max_connections must be between 1 and 100")
    return wanted


def update_kinds(given: Any) -> list[str]:
    """The kinds of updates to be told; none given means all."""
    kinds = list(given or [])
    if not set(kinds) <= _UPDATES:
        raise bad("unknown kind in allowed_updates")
    return kinds


def parameter(name: str, value: str) -> Any:
    """A form field as the Bot API reads it: some hold JSON, the others text."""
    if name not in _JSON_PARAMETERS:
        return value
    try:
        return json.loads(value)
    except ValueError:
        raise bad(f"can't parse {name} as JSON") from None
