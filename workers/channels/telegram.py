"""Sending through Telegram's Bot API."""

import os
from collections.abc import Iterator, Sequence

import httpx
from telegram import Bot, InlineKeyboardButton, InlineKeyboardMarkup, LinkPreviewOptions
from telegram.error import (
    BadRequest,
    ChatMigrated,
    Forbidden,
    InvalidToken,
    NetworkError,
    RetryAfter,
    TelegramError,
)
from telegram.request import HTTPXRequest

from service.contract.talk import Button, OutgoingMessage
from workers.channels import SET_UP_PAUSE_S, NotEver, NotNow, NotSent, Unclear

# Bot API, sendMessage: "1-4096 characters", counted as UTF-16 code units.
TEXT_LIMIT = 4096

# Two such labels fit side by side on a phone's screen.
_SHORT_LABEL = 18

_NO_PREVIEW = LinkPreviewOptions(is_disabled=True)

# Patient with an answer: one that is not waited for means that the client may read it twice.
TIMEOUT = httpx.Timeout(pool=2.0, connect=2.0, write=10.0, read=25.0)

# With these not a byte of the request has left. All other trouble comes after that.
_NOT_LEFT = (
    httpx.ConnectError,
    httpx.ConnectTimeout,
    httpx.PoolTimeout,
    httpx.ProxyError,
    httpx.UnsupportedProtocol,
    httpx.InvalidURL,
)


class Telegram:
    """One bot's way out. Keeps its connections for the life of the process."""

    def __init__(self, bot: Bot) -> None:
        self._bot = bot

    async def send(self, chat_id: str, message: OutgoingMessage) -> None:
        """Send a message as plain text, in parts when it is long, buttons under the last."""
        for number, part in enumerate(_parts(message)):
            try:
                await self._send_part(chat_id, part)
            except (NotNow, NotSent) as trouble:
                if number == 0:
                    raise
                raise Unclear(f"only its beginning is out: {trouble}") from None

    async def _send_part(self, chat_id: str, part: OutgoingMessage) -> None:
        try:
            await self._bot.send_message(
                chat_id,
                part.text,
                reply_markup=_keyboard(part.buttons),
                link_preview_options=_NO_PREVIEW,
            )
        except TelegramError as error:
            # Telegram refuses buttons to addresses that only this machine can open, which is all
            # that a shop on its first day has. The client then loses a button, not the reply.
            if not (_is_about_an_address(error) and _links(part)):
                raise _outcome(error) from None
            await self.send(chat_id, _links_in_text(part))


def telegram(token: str, api: str) -> Telegram:
    """The channel of the bot with this token, at the Bot API under `api`."""
    # Opts in to what the library's next version does: a pause is a timedelta.
    os.environ.setdefault("PTB_TIMEDELTA", "true")
    request = HTTPXRequest(
        pool_timeout=TIMEOUT.pool,
        connect_timeout=TIMEOUT.connect,
        write_timeout=TIMEOUT.write,
        read_timeout=TIMEOUT.read,
    )
    base = api.rstrip("/") + "/bot"
    return Telegram(Bot(token, base_url=base, request=request, get_updates_request=request))


def _outcome(error: TelegramError) -> Exception:
    match error:
        case RetryAfter():
            return NotNow(_seconds(error))
        case InvalidToken():
            reason = "Telegram does not know the bot's token: check GARLANDRY_TELEGRAM_TOKEN"
            return NotNow(SET_UP_PAUSE_S, reason)
        case BadRequest() | Forbidden():
            return NotEver(f"Telegram: {error.message}"[:500])
        case ChatMigrated():
            return NotEver("Telegram: the chat became another chat")
        case NetworkError(__cause__=None | TelegramError()):
            return NotSent("Telegram answered that something is wrong on its side")
        case NetworkError(__cause__=cause) if isinstance(cause, _NOT_LEFT):
            return NotSent(f"Telegram cannot be reached ({type(cause).__name__})")
    return Unclear(f"Telegram did not confirm it ({type(error.__cause__).__name__})")


def _is_about_an_address(error: TelegramError) -> bool:
    return isinstance(error, BadRequest) and "url" in error.message.lower()


def _parts(message: OutgoingMessage) -> list[OutgoingMessage]:
    *first, last = split(message.text)
    begin = [message.model_copy(update={"text": part, "buttons": []}) for part in first]
    return [*begin, message.model_copy(update={"text": last})]


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
