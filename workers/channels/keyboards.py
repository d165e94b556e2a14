"""Buttons as Telegram's keyboards."""

import ipaddress
import re
from collections.abc import Iterator, Sequence
from itertools import groupby
from urllib.parse import urlsplit

from telegram import (
    InlineKeyboardButton,
    InlineKeyboardMarkup,
    KeyboardButton,
    ReplyKeyboardMarkup,
)

from service.contract.talk import Button, OutgoingMessage
from workers.channels.splitting import visible

# Bot API: so many stand side by side at most.
_SIDE_BY_SIDE = 8
# Two such labels fit side by side on a phone's screen.
_SHORT_LABEL = 18
# A key needs something on it: the blank fields of a calendar, for instance.
_BLANK = "·"

_ADDRESS = re.compile(r"[!-~]+")
_HOST = re.compile(r"([a-z0-9-]+\.)+[a-z0-9-]+")
_ONLY_HERE = (".localhost", ".local", ".internal", ".lan", ".home.arpa")


def inline_keyboard(buttons: Sequence[Button]) -> InlineKeyboardMarkup | None:
    """Keys under a message, for its answers and addresses; None without any."""
    rows = [[_inline_key(button) for button in row] for row in _rows(buttons)]
    return InlineKeyboardMarkup(rows) if rows else None


def reply_keyboard(buttons: Sequence[Button]) -> ReplyKeyboardMarkup:
    """Keys in place of the letters, for what a phone can share; answers send their label."""
    rows = [[_reply_key(button) for button in row] for row in _rows(buttons)]
    return ReplyKeyboardMarkup(rows, one_time_keyboard=True, resize_keyboard=True)


def shares(message: OutgoingMessage) -> bool:
    """Whether the message offers something that only a reply keyboard can ask for."""
    return any(button.share is not None for button in message.buttons)


def links_in_text(message: OutgoingMessage) -> OutgoingMessage:
    """The message with every address written out instead of a button."""
    return _written_out(message, [button for button in message.buttons if button.url is not None])


def local_links_in_text(message: OutgoingMessage) -> OutgoingMessage:
    """The message with those addresses written out that Telegram takes for no button: such as
    only this machine or its network can open."""
    return _written_out(
        message, [button for button in message.buttons if button.url and not _is_public(button.url)]
    )


def _written_out(message: OutgoingMessage, links: Sequence[Button]) -> OutgoingMessage:
    if not links:
        return message
    lines = "\n".join(f"{button.label}: {button.url}" for button in links)
    others = [button for button in message.buttons if button not in links]
    return message.model_copy(update={"text": f"{message.text}\n\n{lines}", "buttons": others})


def _is_public(url: str) -> bool:
    try:
        parts = urlsplit(url)
        host = (parts.hostname or "").rstrip(".")
        known = parts.scheme in ("http", "https") and parts.port != 0
    except ValueError:
        return False
    if not (known and _ADDRESS.fullmatch(url) and _HOST.fullmatch(host)):
        return False
    try:
        return ipaddress.ip_address(host).is_global
    except ValueError:
        return not host.endswith(_ONLY_HERE)


def _rows(buttons: Sequence[Button]) -> Iterator[Sequence[Button]]:
    for row, found in groupby(buttons, key=lambda button: button.row):
        together = list(found)
        if row is None:
            yield from _flowing(together)
        else:
            for start in range(0, len(together), _SIDE_BY_SIDE):
                yield together[start : start + _SIDE_BY_SIDE]


def _flowing(buttons: Sequence[Button]) -> Iterator[list[Button]]:
    row: list[Button] = []
    for button in buttons:
        short = len(button.label) <= _SHORT_LABEL and button.share is None
        if row and (not short or len(row) == 2):
            yield row
            row = []
        row.append(button)
        if not short:
            yield row
            row = []
    if row:
        yield row


def _inline_key(button: Button) -> InlineKeyboardButton:
    return InlineKeyboardButton(_label(button), callback_data=button.value, url=button.url)


def _reply_key(button: Button) -> KeyboardButton:
    return KeyboardButton(
        _label(button),
        request_location=True if button.share == "location" else None,
        request_contact=True if button.share == "contact" else None,
    )


def _label(button: Button) -> str:
    return button.label if visible(button.label) else _BLANK
