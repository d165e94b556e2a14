"""From Telegram's updates to what the dialogue takes in."""

import re
from dataclasses import dataclass

from telegram import (
    CallbackQuery,
    InlineKeyboardMarkup,
    Location,
    Message,
    PhotoSize,
    Update,
    User,
)
from telegram.constants import ChatType

from bot.dialogue.messages import Incoming, IncomingKind

# Asked of the server, so that edits, joins and the like are not even sent.
ALLOWED_UPDATES = ["message", "callback_query"]

# What is larger is not fetched: a photo that a phone took has a tenth of that.
PHOTO_MOST_BYTES = 10_000_000

_START = re.compile(r"/start(?:@\w+)?(?:\s+(?P<payload>.*))?", re.DOTALL)
# Deep links carry nothing else; what somebody typed after /start is no payload.
_PAYLOAD = re.compile(r"[A-Za-z0-9_-]{1,64}")
_ADDRESSED_COMMAND = re.compile(r"^(/\w+)@\w+")


@dataclass(frozen=True, kw_only=True)
class Arrival:
    """An update worth a turn.

    `query_id` is the button press that waits for an answer; `keyboard` the one that was pressed,
    where the message can still be seen.
    """

    update_id: str
    chat_id: str
    incoming: Incoming
    query_id: str | None = None
    keyboard: InlineKeyboardMarkup | None = None


def read(update: Update) -> Arrival | None:
    """What a client did in a private chat; None for everything else.

    Groups get no turn: an offer to one person, with the prices in it, is not for a room.
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
        message_ref=str(message.message_id),
    )
    return Arrival(
        update_id=str(update_id),
        chat_id=str(message.chat.id),
        incoming=incoming,
        query_id=query.id,
        keyboard=keyboard,
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
    if message.text is not None:
        return _typed(message.text, sender)
    if message.photo:
        return _incoming("photo", message.caption, sender, photo=_best(message.photo))
    document = message.document
    if document is not None and (document.mime_type or "").startswith("image/"):
        photo = document.file_id if (document.file_size or 0) <= PHOTO_MOST_BYTES else None
        return _incoming("photo", message.caption, sender, photo=photo)
    place = message.venue.location if message.venue else message.location
    if place is not None:
        return _incoming("location", _coordinates(place), sender)
    contact = message.contact
    if contact is not None and contact.user_id == sender.id:
        return _incoming("contact", f"+{contact.phone_number.lstrip('+')}", sender)
    if message.effective_attachment is not None:
        return _incoming("other", message.caption, sender)
    # Pinned messages, timers and other notices of the chat itself are nobody's request.
    return None


def _typed(text: str, sender: User) -> Incoming:
    start = _START.fullmatch(text.strip())
    if start is None:
        return _incoming("text", _ADDRESSED_COMMAND.sub(r"\1", text, count=1), sender)
    payload = (start["payload"] or "").strip()
    return _incoming("start", payload if _PAYLOAD.fullmatch(payload) else "", sender)


def _best(sizes: tuple[PhotoSize, ...]) -> str | None:
    """The largest size that is not too large."""
    fitting = [size for size in sizes if (size.file_size or 0) <= PHOTO_MOST_BYTES]
    largest = max(fitting, key=lambda size: size.width * size.height, default=None)
    return largest.file_id if largest is not None else None


def _coordinates(place: Location) -> str:
    return f"{place.latitude:.6f},{place.longitude:.6f}"


def _incoming(
    kind: IncomingKind, text: str | None, sender: User, *, photo: str | None = None
) -> Incoming:
    return Incoming(
        kind=kind,
        text=text or "",
        sender_name=sender.full_name,
        locale=sender.language_code,
        photo=photo,
    )
