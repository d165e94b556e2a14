"""Sending through Telegram's Bot API."""

import asyncio
import os
import re
from dataclasses import dataclass, replace

import httpx
from telegram import (
    Bot,
    InlineKeyboardMarkup,
    LinkPreviewOptions,
    ReplyKeyboardMarkup,
    ReplyKeyboardRemove,
)
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

from service.contract.talk import OutgoingMessage
from workers.channels import SET_UP_PAUSE_S, NotEver, NotNow, NotSent, Unclear
from workers.channels.keyboards import (
    inline_keyboard,
    links_in_text,
    local_links_in_text,
    reply_keyboard,
    shares,
)
from workers.channels.splitting import split, units
from workers.channels.swatches import picture as swatches
from workers.pacing import Pacing

# Bot API, sendMessage and sendPhoto: counted as UTF-16 code units.
TEXT_LIMIT = 4096
CAPTION_LIMIT = 1024

# Telegram takes no message without a word in it.
_WORDLESS = "…"
# Said when keys have to be taken away and what follows has keys of its own: one message cannot
# do both.
_TAKEN = "👍"

_NO_PREVIEW = LinkPreviewOptions(is_disabled=True)

# Patient with an answer: one that is not waited for means that the client may read it twice.
TIMEOUT = httpx.Timeout(pool=2.0, connect=2.0, write=10.0, read=25.0)

# What the Bot API names where it does not like a picture.
_PICTURE = re.compile("photo|image|file|media")

# What the Bot API repeats of a message where it says what it does not like: addresses, which are
# our clients' links, and numbers. The text goes to the ledger and to the log.
_QUOTED = re.compile(r"""(?<!\w)'[^']*'(?!\w)|"[^"]*"|\S*://\S*|\S+@\S+|\+?\d[\d ()-]{3,}""")

# With these not a byte of the request has left. All other trouble comes after that.
_NOT_LEFT = (
    httpx.ConnectError,
    httpx.ConnectTimeout,
    httpx.PoolTimeout,
    httpx.ProxyError,
    httpx.UnsupportedProtocol,
    httpx.InvalidURL,
)


@dataclass(frozen=True, kw_only=True)
class _Post:
    """One message of Telegram's: `content` with its buttons, under `picture` if there is one.

    Where the text says no more than the picture shows, `only_shows`, it is nothing without it.
    """

    content: OutgoingMessage
    picture: bytes | None = None
    only_shows: bool = False
    takes_keys: bool = False

    @property
    def markup(self) -> InlineKeyboardMarkup | ReplyKeyboardMarkup | ReplyKeyboardRemove | None:
        if shares(self.content):
            return reply_keyboard(self.content.buttons)
        if self.takes_keys:
            return ReplyKeyboardRemove()
        return inline_keyboard(self.content.buttons)


class Telegram:
    """One bot's way out. Keeps its connections for the life of the process."""

    def __init__(self, bot: Bot, pacing: Pacing) -> None:
        self._bot = bot
        self._pacing = pacing

    async def send(
        self,
        chat_id: str,
        message: OutgoingMessage,
        *,
        after_share: bool = False,
        picture: bytes | None = None,
    ) -> None:
        """Send a message as plain text, in parts when it is long, buttons under the last.

        A `picture` (PNG) has a text that is short enough for its caption, and comes before a
        longer one. With `after_share` the keys that the message before it brought are taken away.
        """
        shown = (links_in_text if shares(message) else local_links_in_text)(message)
        posts = await _posts(shown, picture)
        if after_share:
            posts = _taking_keys(posts, shown)
        wait_s = await self._pacing.wait_s(chat_id, len(posts))
        if wait_s:
            raise NotNow(wait_s, "enough went out for the moment")
        if not (_can_edit(posts) and await self._edited(chat_id, posts[0])):
            await self._send_all(chat_id, posts)

    async def aclose(self) -> None:
        """Let go of the connections."""
        await self._bot.request.shutdown()
        await self._pacing.aclose()

    async def _edited(self, chat_id: str, post: _Post) -> bool:
        """Whether the message now stands in the place of the one that it edits."""
        try:
            await self._bot.edit_message_text(
                post.content.text,
                chat_id,
                int(post.content.edits or 0),
                reply_markup=inline_keyboard(post.content.buttons),
                link_preview_options=_NO_PREVIEW,
            )
        except BadRequest as refusal:
            # Otherwise it is gone, or too old, or a picture: the client still gets the message.
            return "not modified" in refusal.message.lower()
        except TelegramError as error:
            raise _outcome(error) from None
        return True

    async def _send_all(self, chat_id: str, posts: list[_Post]) -> None:
        for number, post in enumerate(posts):
            try:
                await self._send_one(chat_id, post)
            except (NotNow, NotSent) as trouble:
                if number == 0:
                    raise
                raise Unclear(f"only its beginning is out: {trouble}") from None

    async def _send_one(self, chat_id: str, post: _Post) -> None:
        try:
            await self._call(chat_id, post)
        except TelegramError as error:
            plainer = _plainer(post, error)
            if plainer is None:
                raise _outcome(error) from None
            await self._send_all(chat_id, plainer)

    async def _call(self, chat_id: str, post: _Post) -> None:
        text = post.content.text
        if post.picture is None:
            await self._bot.send_message(
                chat_id, text, reply_markup=post.markup, link_preview_options=_NO_PREVIEW
            )
        else:
            await self._bot.send_photo(
                chat_id,
                post.picture,
                caption=text,
                reply_markup=post.markup,
                filename="picture.png",
            )


def telegram(token: str, api: str, pacing: Pacing | None = None) -> Telegram:
    """The channel of the bot with this token, at the Bot API under `api`."""
    # Opts in to what the library's next version does: a pause is a timedelta.
    os.environ.setdefault("PTB_TIMEDELTA", "true")
    request = HTTPXRequest(
        pool_timeout=TIMEOUT.pool,
        connect_timeout=TIMEOUT.connect,
        write_timeout=TIMEOUT.write,
        media_write_timeout=TIMEOUT.write,
        read_timeout=TIMEOUT.read,
    )
    base = api.rstrip("/") + "/bot"
    bot = Bot(token, base_url=base, request=request, get_updates_request=request)
    return Telegram(bot, pacing or Pacing(None))


async def _posts(message: OutgoingMessage, picture: bytes | None) -> list[_Post]:
    if message.picture is not None and picture is not None:
        return _with_picture(message, message.picture.alt, picture)
    drawn = await asyncio.to_thread(swatches, message.swatches) if message.swatches else None
    return _cut(_Post(content=message, picture=drawn))


def _with_picture(message: OutgoingMessage, alt: str, picture: bytes) -> list[_Post]:
    """The picture over a text that fits under it, else before it, where it says what it shows."""
    if units(message.text) <= CAPTION_LIMIT:
        return _cut(_Post(content=message, picture=picture))
    first, *_ = split(alt, CAPTION_LIMIT) or [_WORDLESS]
    caption = _without_buttons(message, first)
    shown = _Post(content=caption, picture=picture, only_shows=True)
    return [shown, *_cut(_Post(content=message))]


def _taking_keys(posts: list[_Post], message: OutgoingMessage) -> list[_Post]:
    """The posts, the first of which takes away the keys that came before."""
    if shares(message):
        return posts
    if posts[0].content.buttons:
        posts = [_Post(content=_without_buttons(message, _TAKEN)), *posts]
    return [replace(posts[0], takes_keys=True), *posts[1:]]


def _cut(post: _Post) -> list[_Post]:
    """The post in as many as its text needs: the picture over the first, the buttons last."""
    content = post.content
    first = CAPTION_LIMIT if post.picture else TEXT_LIMIT
    *before, last = split(content.text, TEXT_LIMIT, first=first) or [_WORDLESS]
    contents = [_without_buttons(content, text) for text in before]
    contents.append(content.model_copy(update={"text": last}))
    posts = [_Post(content=one) for one in contents]
    return [replace(posts[0], picture=post.picture, takes_keys=post.takes_keys), *posts[1:]]


def _without_buttons(message: OutgoingMessage, text: str) -> OutgoingMessage:
    return message.model_copy(update={"text": text, "buttons": []})


def _can_edit(posts: list[_Post]) -> bool:
    post = posts[0]
    plain = post.picture is None and not post.takes_keys and not shares(post.content)
    return len(posts) == 1 and plain and (post.content.edits or "").isdecimal()


def _outcome(error: TelegramError) -> Exception:
    match error:
        case RetryAfter():
            return NotNow(_seconds(error))
        case InvalidToken():
            reason = "Telegram does not know the bot's token: check GARLANDRY_TELEGRAM_TOKEN"
            return NotNow(SET_UP_PAUSE_S, reason, attempted=True)
        case BadRequest() | Forbidden():
            return NotEver(f"Telegram: {_QUOTED.sub('…', error.message)}"[:200])
        case ChatMigrated():
            return NotEver("Telegram: the chat became another chat")
        case NetworkError(__cause__=None | TelegramError()):
            return NotSent("Telegram answered that something is wrong on its side")
        case NetworkError(__cause__=cause) if isinstance(cause, _NOT_LEFT):
            return NotSent(f"Telegram cannot be reached ({type(cause).__name__})")
    return Unclear(f"Telegram did not confirm it ({type(error.__cause__).__name__})")


def _plainer(post: _Post, error: TelegramError) -> list[_Post] | None:
    """The post without what was refused of it; None where it was not about that.

    The client then loses a button or the picture, not the reply.
    """
    if not isinstance(error, BadRequest):
        return None
    about, without = error.message.lower(), links_in_text(post.content)
    if "url" in about and without is not post.content:
        return _cut(replace(post, content=without))
    if post.picture is not None and _PICTURE.search(about):
        return [] if post.only_shows else _cut(replace(post, picture=None))
    return None


def _seconds(pause: RetryAfter) -> float:
    wait = pause.retry_after
    return float(wait) if isinstance(wait, int | float) else wait.total_seconds()
