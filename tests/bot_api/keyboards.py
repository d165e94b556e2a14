"""What the Bot API refuses of keyboards."""

import ipaddress
from dataclasses import dataclass, field
from typing import Any
from urllib.parse import urlsplit

from tests.bot_api.refusals import bad
from tests.bot_api.text import blank
from tests.bot_api.world import Rows

CALLBACK_DATA_MOST_BYTES = 64
BUTTONS_MOST = 100
SIDE_BY_SIDE_MOST = 8

_MEANINGS = ("callback_data", "url", "web_app", "login_url", "switch_inline_query", "pay")


@dataclass(frozen=True, kw_only=True)
class Markup:
    """The keyboard of a message: under it, in place of the letters, or one taken away."""

    rows: Rows = field(default_factory=list)
    keys: Rows = field(default_factory=list)
    takes_keys: bool = False


def markup(given: Any, *, private: bool) -> Markup:
    """A message's reply_markup. Nothing given is no keyboard."""
    if not given:
        return Markup()
    kinds = [k for k in ("inline_keyboard", "keyboard", "remove_keyboard") if k in _object(given)]
    match kinds:
        case ["inline_keyboard"]:
            return Markup(rows=inline(given))
        case ["keyboard"]:
            return Markup(keys=_reply(given["keyboard"], private=private))
        case ["remove_keyboard"] if given["remove_keyboard"] is True:
            return Markup(takes_keys=True)
    raise bad("object expected as reply markup")


def inline(given: Any) -> Rows:
    """An inline keyboard's rows, the only keyboard that an edit may bring."""
    if not given:
        return []
    if "inline_keyboard" not in _object(given):
        raise bad("inline keyboard expected")
    rows = _rows(given["inline_keyboard"])
    for row in rows:
        for button in row:
            _check_inline(button)
    return rows


def _reply(given: Any, *, private: bool) -> Rows:
    rows = _rows([[_as_object(key) for key in row] for row in given])
    if not rows:
        raise bad("reply keyboard expected to have keys")
    for row in rows:
        for key in row:
            _check_text(key)
            asks = [name for name in ("request_contact", "request_location") if key.get(name)]
            if len(asks) > 1:
                raise bad("a key can ask for one thing only")
            if asks and not private:
                raise bad(f"{asks[0]} can be used in private chats only")
    return rows


def _as_object(key: Any) -> Any:
    return {"text": key} if isinstance(key, str) else key


def _object(given: Any) -> dict[str, Any]:
    if not isinstance(given, dict):
        raise bad("object expected as reply markup")
    return given


def _rows(given: Any) -> Rows:
    if not isinstance(given, list) or not all(isinstance(row, list) for row in given):
        raise bad("field of the keyboard must be an array of arrays")
    if sum(map(len, given)) > BUTTONS_MOST:
        raise bad("reply markup is too long")
    if any(len(row) > SIDE_BY_SIDE_MOST for row in given):
        raise bad("too many buttons side by side")
    if not all(isinstance(button, dict) for row in given for button in row):
        raise bad("keyboard button must be an object")
    return [row for row in given if row]


def _check_text(button: dict[str, Any]) -> None:
    text = button.get("text")
    if not isinstance(text, str) or blank(text):
        raise bad("keyboard button text must be non-empty")


def _check_inline(button: dict[str, Any]) -> None:
    _check_text(button)
    meanings = [name for name in _MEANINGS if button.get(name) is not None]
    if len(meanings) != 1:
        raise bad("text buttons are unallowed in the inline keyboard")
    if meanings == ["callback_data"]:
        data = button["callback_data"]
        if not isinstance(data, str) or not 1 <= len(data.encode()) <= CALLBACK_DATA_MOST_BYTES:
            raise bad("BUTTON_DATA_INVALID")
    elif meanings == ["url"] and not is_web_address(str(button["url"])):
        raise bad("inline keyboard button URL is invalid: Wrong HTTP URL")


def is_web_address(url: str) -> bool:
    """Whether a button may lead there."""
    # A host without a dot, such as `localhost`, is refused by the real server.
    try:
        parts = urlsplit(url)
        host = parts.hostname or ""
    except ValueError:
        return False
    if parts.scheme == "tg":
        return True
    if parts.scheme not in ("http", "https") or any(c.isspace() for c in url):
        return False
    return "." in host.strip(".") or _is_ip(host)


def _is_ip(host: str) -> bool:
    try:
        ipaddress.ip_address(host)
    except ValueError:
        return False
    return True
