"""What the Bot API refuses of texts, and how it counts them."""

import unicodedata
from typing import Any

from tests.bot_api.refusals import bad

TEXT_MOST = 4096
CAPTION_MOST = 1024

# Taken off or counted as nothing, wherever a text may not be empty.
_EMPTY = frozenset("\u2800\u3164\ufffc\ufeff\u034f\u0333\u033f\u030a\u115f\u1160\uffa0")
_ENTITIES = frozenset(
    {
        "mention",
        "hashtag",
        "cashtag",
        "bot_command",
        "url",
        "email",
        "phone_number",
        "bold",
        "italic",
        "underline",
        "strikethrough",
        "spoiler",
        "blockquote",
        "expandable_blockquote",
        "code",
        "pre",
        "text_link",
        "text_mention",
        "custom_emoji",
    }
)


def utf16_length(text: str) -> int:
    """Length as Telegram counts it: in UTF-16 code units."""
    return len(text.encode("utf-16-le", "surrogatepass")) // 2


def blank(text: str) -> bool:
    """Whether nothing of it can be seen."""
    return all(
        c.isspace() or c in _EMPTY or unicodedata.category(c) in ("Cc", "Cf", "Zs", "Zl", "Zp")
        for c in text
    )


def message_text(params: dict[str, Any]) -> str:
    """The text of a message to send, with the white space around it taken off."""
    text = _plain(params, "text")
    if blank(text):
        raise bad("message text is empty")
    if utf16_length(text) > TEXT_MOST:
        raise bad("message is too long")
    _check_entities(params.get("entities"), text)
    return text


def caption(params: dict[str, Any]) -> str:
    """The text under a photo, which may be empty."""
    text = _plain(params, "caption")
    if utf16_length(text) > CAPTION_MOST:
        raise bad("message caption is too long")
    _check_entities(params.get("caption_entities"), text)
    return text


def _plain(params: dict[str, Any], name: str) -> str:
    if params.get("parse_mode"):
        raise bad("this server takes plain text and entities only")
    text = str(params.get(name, ""))
    try:
        text.encode()
    except UnicodeEncodeError:
        raise bad("strings must be encoded in UTF-8") from None
    return text.strip()


def _check_entities(entities: Any, text: str) -> None:
    for entity in entities or []:
        _check_entity(entity, text)


def _check_entity(entity: Any, text: str) -> None:
    offset, length = entity.get("offset"), entity.get("length")
    if entity.get("type") not in _ENTITIES:
        raise bad("can't parse entities: wrong type")
    if not isinstance(offset, int) or not isinstance(length, int) or offset < 0 or length <= 0:
        raise bad("can't parse entities: wrong offset or length")
    if offset + length > utf16_length(text):
        raise bad("entity beyond the end of the text")
    units = text.encode("utf-16-le")
    for edge in (offset, offset + length):
        if 0xDC <= (units[2 * edge + 1] if 2 * edge < len(units) else 0) <= 0xDF:
            raise bad("entity ends in the middle of a character")
