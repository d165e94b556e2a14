"""From Telegram's updates to what the dialogue takes in."""

import re
from dataclasses import dataclass

from telegram import CallbackQuery, InlineKeyboardMarkup, Message, Update, User
from telegram.constants import ChatType

from bot.dialogue.messages import Incoming

# Asked of the server, so that edits, joins and the like are not even sent.
ALLOWED_UPDATES = ["message", "callback_query"]

_START = re.compile(r"/start(?:@\w+)?(?:\s+(?P<payload>.*))?", re.DOTALL)
_ADDRESSED_COMMAND = re.compile(r"^(/\w+)@\w+")


@dataclass(frozen=True, kw_only=True)
class Arrival:
    """An update worth a turn. `query_id` is the button press that waits for an answer."""

    update_id: str
    chat_id: str
    incoming: Incoming
    query_id: str | None = None


def read(update: Update) -> Arrival | None:
    """What a client did in a private chat; None for everything else.

    Groups are left alone: an offer to one person, with the prices in it, is not for a room.
    """
    if update.callback_query is not None:
        return _press(update.update_id, update.callback_query)
    if update.message is not None:
        return _message(update.update_id, update.message)
    return None


def _press(update_id: int, query: CallbackQuery) -> Arrival | None:
    message = query.message
    if message is None or message.chat.type != ChatType.PRIVATE or not query.data:
        return None
    keyboard = message.reply_markup if isinstance(message, Message) else None
    incoming = Incoming(
        kind="button",
        text=query.data,
        label=_label(keyboard, query.data),
        sender_name=query.from_user.full_name,
        locale=query.from_user.language_code,
    )
    return Arrival(
        update_id=str(update_id),
        chat_id=str(message.chat.id),
        incoming=incoming,
        query_id=query.id,
    )


def _label(keyboard: InlineKeyboardMarkup | None, data: str | object) -> str | None:
    # Telegram tells which data was pressed, not what stood on the button: that is found in the
    # message, where the message is still at hand.
    rows = keyboard.inline_keyboard if keyboard is not None else ()
    for row in rows:
        for button in row:
            if button.callback_data == data:
                return button.text
    return None


def _message(update_id: int, message: Message) -> Arrival | None:
    sender = message.from_user
    if message.chat.type != ChatType.PRIVATE or sender is None or sender.is_bot:
        return None
    incoming = _content(message, sender)
    if incoming is None:
        return None
    return Arrival(update_id=str(update_id), chat_id=str(message.chat.id), incoming=incoming)


def _content(message: Message, sender: User) -> Incoming | None:
    name, locale = sender.full_name, sender.language_code
    if message.text is not None:
        start = _START.fullmatch(message.text.strip())
        if start is not None:
            payload = (start["payload"] or "").strip()
            return Incoming(kind="start", text=payload, sender_name=name, locale=locale)
        text = _ADDRESSED_COMMAND.sub(r"\1", message.text, count=1)
        return Incoming(kind="text", text=text, sender_name=name, locale=locale)
    if message.effective_attachment is not None:
        caption = message.caption or ""
        return Incoming(kind="other", text=caption, sender_name=name, locale=locale)
    # Pinned messages, timers and other notices of the chat itself are nobody's request.
    return None
