"""From a conversation's messages to what the chat page shows."""

import json
from typing import Any

from bot.gateway import Shown


def as_json(shown: Shown, chat_id: str) -> dict[str, Any]:
    """A message for the page. Its update's id is again the one that the page gave.

    Buttons that share something of a telephone are left out: a page cannot.
    """
    return {
        "seq": shown.seq,
        "direction": shown.direction,
        "kind": shown.kind,
        "text": shown.text,
        "buttons": [
            {"label": button.label, "value": button.value, "url": button.url, "row": button.row}
            for button in shown.buttons
            if button.share is None
        ],
        "swatches": [{"name": colour.name, "hex": colour.hex} for colour in shown.swatches],
        "edits": shown.edits,
        "photo": shown.photo_id,
        "picture": shown.picture and {"url": shown.picture.url, "alt": shown.picture.alt},
        "asks": shown.asks,
        "at": shown.at.isoformat(),
        "update_id": shown.update_id and shown.update_id.removeprefix(inbox_id(chat_id, "")),
    }


def as_event(shown: Shown, chat_id: str) -> str:
    """A message as a server-sent event. JSON keeps line breaks out of the event's own lines."""
    return f"id: {shown.seq}\nevent: message\ndata: {json.dumps(as_json(shown, chat_id))}\n\n"


def inbox_id(chat_id: str, update_id: str) -> str:
    """An update's id for the inbox, which is shared by all chats: pages choose their ids freely."""
    return f"{chat_id}:{update_id}"
