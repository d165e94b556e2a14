"""What the server knows: chats, messages, updates, and what the bot has told it."""

import copy
import time
from collections import deque
from dataclasses import dataclass, field
from typing import Any

Rows = list[list[dict[str, Any]]]


@dataclass(frozen=True, kw_only=True)
class Call:
    """One call of the bot, and how long it took. `status` is the HTTP status answered, 0 while it
    is not answered."""

    method: str
    params: dict[str, Any]
    status: int
    at: float
    took_s: float = 0.0


@dataclass(kw_only=True)
class Sent:
    """A message as its reader sees it now. `text` is the caption where there is a `photo`.

    `rows` are the keys under it; `keys` those of a reply keyboard that came with it.
    """

    message_id: int
    chat_id: int
    text: str
    rows: Rows
    keys: Rows = field(default_factory=list)
    takes_keys: bool = False
    photo: bytes | None = None
    edits: int = 0
    at: float = 0.0

    @property
    def buttons(self) -> list[dict[str, Any]]:
        """The buttons, row by row."""
        return [button for row in self.rows for button in row]


@dataclass(kw_only=True)
class Fault:
    """What goes wrong at the next calls of a method, in any chat or in one."""

    status: int = 0
    retry_after: int | None = None
    stall_s: float = 0.0
    after_effect: bool = False
    silent: bool = False
    chat_id: int | None = None


@dataclass(kw_only=True)
class Hook:
    """Where updates are posted to."""

    url: str
    secret: str | None
    allowed: list[str]
    connections: int
    last_error: str | None = None


@dataclass(kw_only=True)
class World:
    """Guarded by one lock: tests and server are different threads."""

    bot: dict[str, Any]
    chats: dict[int, dict[str, Any]] = field(default_factory=dict)
    people: dict[int, dict[str, Any]] = field(default_factory=dict)
    blocked: set[int] = field(default_factory=set)
    messages: dict[tuple[int, int], Sent] = field(default_factory=dict)
    of_chat: dict[int, list[Sent]] = field(default_factory=dict)
    keys: dict[int, Rows] = field(default_factory=dict)
    updates: list[dict[str, Any]] = field(default_factory=list)
    again: list[dict[str, Any]] = field(default_factory=list)
    past: dict[int, dict[str, Any]] = field(default_factory=dict)
    queries: dict[str, float] = field(default_factory=dict)
    files: dict[str, bytes] = field(default_factory=dict)
    calls: list[Call] = field(default_factory=list)
    faults: dict[str, list[Fault]] = field(default_factory=dict)
    floods: dict[int, float] = field(default_factory=dict)
    sendings: dict[int | None, deque[float]] = field(default_factory=dict)
    commands: dict[tuple[str, str], list[dict[str, str]]] = field(default_factory=dict)
    about: dict[tuple[str, str], str] = field(default_factory=dict)
    hook: Hook | None = None
    next_update: int = 700_000_001
    next_message: int = 1
    poll: int = 0

    def message_id(self) -> int:
        """The next message's number."""
        self.next_message += 1
        return self.next_message - 1

    def queue(self, update: dict[str, Any]) -> int:
        """Number an update and put it in the queue; returns its number."""
        numbered = {"update_id": self.next_update, **update}
        self.next_update += 1
        self.past[numbered["update_id"]] = numbered
        self.updates.append(numbered)
        return int(numbered["update_id"])

    def repeat(self, update_id: int) -> None:
        """Put a past update in the queue once more, under its old number."""
        again = copy.deepcopy(self.past[update_id])
        (self.updates if self.hook else self.again).append(again)

    def as_message(self, sent: Sent) -> dict[str, Any]:
        """A message of the bot's as the Bot API tells it."""
        message: dict[str, Any] = {
            "message_id": sent.message_id,
            "date": int(time.time()),
            "chat": self.chats[sent.chat_id],
            "from": self.bot,
        }
        if sent.photo is None:
            message["text"] = sent.text
        else:
            size = {"file_id": f"sent-{sent.message_id}", "file_unique_id": f"s{sent.message_id}"}
            message["photo"] = [{**size, "width": 90, "height": 90}]
            message["caption"] = sent.text
        if sent.rows:
            message["reply_markup"] = {"inline_keyboard": sent.rows}
        return message
