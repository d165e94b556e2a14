"""Sending through Telegram's Bot API."""

import os
from collections.abc import Iterator, Sequence

from telegram import Bot, InlineKeyboardButton, InlineKeyboardMarkup, LinkPreviewOptions
from telegram.error import BadRequest, ChatMigrated, Forbidden, InvalidToken, RetryAfter
from telegram.request import HTTPXRequest

from service.contract.talk import Button, OutgoingMessage
from workers.channels import NotEver, NotNow

# Bot API, sendMessage: "1-4096 characters", counted as UTF-16 code units.
TEXT_LIMIT = 4096

# Two such labels fit side by side on a phone's screen.
_SHORT_LABEL = 18

_NO_PREVIEW = LinkPreviewOptions(is_disabled=True)


class Telegram:
    """One bot's way out. Keeps its connections for the life of the process."""

    def __init__(self, bot: Bot) -> None:
        self._bot = bot

    async def send(self, chat_id: str, message: OutgoingMessage) -> None:
        """Send a message as plain text, in parts when it is long, buttons under the last."""
        try:
            await self._send(chat_id, message)
        except RetryAfter as pause:
            raise NotNow(_seconds(pause)) from None
        except (BadRequest, Forbidden) as refusal:
            raise NotEver(f"Telegram: {refusal.message}"[:500]) from None
        except InvalidToken:
            raise NotEver("Telegram does not know the bot's token") from None
        except ChatMigrated:
            raise NotEver("Telegram: the chat became another chat") from None

    async def _send(self, chat_id: str, message: OutgoingMessage) -> None:
        try:
            await self._send_parts(chat_id, message)
        except BadRequest as refusal:
            # Telegram refuses buttons to addresses that only this machine can open, which is all
            # that a shop on its first day has. The client then loses a button, not the reply.
            if "url" not in refusal.message.lower() or not _links(message):
                raise
            await self._send_parts(chat_id, _links_in_text(message))

    async def _send_parts(self, chat_id: str, message: OutgoingMessage) -> None:
        *first, last = split(message.text)
        for part in first:
            await self._bot.send_message(chat_id, part, link_preview_options=_NO_PREVIEW)
        await self._bot.send_message(
            chat_id,
            last,
            reply_markup=_keyboard(message.buttons),
            link_preview_options=_NO_PREVIEW,
        )


def telegram(token: str, api: str) -> Telegram:
    """The channel of the bot with this token, at the Bot API under `api`."""
    # Opts in to what the library's next version does: a pause is a timedelta.
    os.environ.setdefault("PTB_TIMEDELTA", "true")
    # Short enough that a send which hangs ends inside the step's lease of 10 s.
    request = HTTPXRequest(
        connect_timeout=2.0, read_timeout=5.0, write_timeout=5.0, pool_timeout=2.0
    )
    base = api.rstrip("/") + "/bot"
    return Telegram(Bot(token, base_url=base, request=request, get_updates_request=request))


def split(text: str, limit: int = TEXT_LIMIT) -> list[str]:
    """Parts of at most `limit` UTF-16 units, cut at the end of a paragraph, line, sentence or word.

    White space at a cut is dropped; nothing else is.
    """
    parts = []
    rest = text
    while _units(rest) > limit:
        cut = _cut(rest, _characters_within(rest, limit))
        parts.append(rest[:cut].rstrip())
        rest = rest[cut:].lstrip()
    return [part for part in (*parts, rest) if part] or [text]


def _cut(text: str, most: int) -> int:
    window = text[:most]
    for end in ("\n\n", "\n", ". ", "! ", "? ", " "):
        at = window.rfind(end)
        # A cut in the first half would make many small parts out of one long paragraph.
        if at >= most // 2:
            return at + len(end)
    return most


def _units(text: str) -> int:
    return len(text.encode("utf-16-le")) // 2


def _characters_within(text: str, limit: int) -> int:
    units = 0
    for index, character in enumerate(text):
        units += 2 if ord(character) > 0xFFFF else 1
        if units > limit:
            return index
    return len(text)


def _keyboard(buttons: Sequence[Button]) -> InlineKeyboardMarkup | None:
    rows = [[_key(button) for button in row] for row in _rows(buttons)]
    return InlineKeyboardMarkup(rows) if rows else None


def _rows(buttons: Sequence[Button]) -> Iterator[list[Button]]:
    row: list[Button] = []
    for button in buttons:
        short = len(button.label) <= _SHORT_LABEL
        if row and (not short or len(row) == 2):
            yield row
            row = []
        row.append(button)
        if not short:
            yield row
            row = []
    if row:
        yield row


def _key(button: Button) -> InlineKeyboardButton:
    return InlineKeyboardButton(button.label, callback_data=button.value, url=button.url)


def _links(message: OutgoingMessage) -> list[Button]:
    return [button for button in message.buttons if button.url is not None]


def _links_in_text(message: OutgoingMessage) -> OutgoingMessage:
    links = "\n".join(f"{button.label}: {button.url}" for button in _links(message))
    answers = [button for button in message.buttons if button.url is None]
    return message.model_copy(update={"text": f"{message.text}\n\n{links}", "buttons": answers})


def _seconds(pause: RetryAfter) -> float:
    wait = pause.retry_after
    return float(wait) if isinstance(wait, int | float) else wait.total_seconds()
