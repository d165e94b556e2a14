"""What is kept of conversations, as small protocols over storage."""

from dataclasses import dataclass
from datetime import date, datetime
from typing import Any, Protocol

from service.leads.messages import (
    Attention,
    Calling,
    Delivery,
    Message,
    OwnerChat,
    Photo,
    Standing,
    StoredMessage,
)


class Chats(Protocol):
    """Conversations: the dialogue's state and every message, in order."""

    def state(self, channel: str, chat_id: str) -> tuple[int, dict[str, Any]]:
        """Version and state; (0, {}) for a new conversation."""
        ...

    def standing(self, channel: str, chat_id: str) -> Standing:
        """What a turn begins from."""
        ...

    def advance(
        self, channel: str, chat_id: str, *, version: int, state: dict[str, Any], now: datetime
    ) -> bool:
        """Move from `version` to the next; False when another turn came first."""
        ...

    def say(self, channel: str, chat_id: str, message: Message, *, now: datetime) -> StoredMessage:
        """Append a message to the client. The conversation is made if it is new."""
        ...

    def hear(
        self,
        channel: str,
        chat_id: str,
        text: str,
        *,
        update_id: str,
        now: datetime,
        photo_id: str | None = None,
    ) -> StoredMessage:
        """Append what the client said, or the photo they sent."""
        ...

    def keep_photo(
        self, photo_id: str, channel: str, chat_id: str, jpeg: bytes, *, now: datetime
    ) -> None:
        """Keep a photo of a conversation once. Raises PhotoTaken for one of another."""
        ...

    def has_photo(self, photo_id: str, channel: str, chat_id: str) -> bool:
        """Whether the conversation has that photo."""
        ...

    def photo(self, photo_id: str) -> Photo | None:
        """The photo of that name."""
        ...

    def messages(self, channel: str, chat_id: str, *, after: int = 0) -> list[StoredMessage]:
        """Messages beyond `after`, in order."""
        ...

    def delivery(self, message_id: str) -> Delivery:
        """One message with its chat; NotFound otherwise."""
        ...

    def attention(self, channel: str, chat_id: str, *, lock: bool = False) -> Attention:
        """What it wants of the owner. `lock` keeps others from writing in it meanwhile."""
        ...

    def chat_of(self, conversation_id: int) -> tuple[str, str]:
        """Channel and chat id of a conversation; NotFound otherwise."""
        ...

    def call_owner(self, channel: str, chat_id: str, *, now: datetime) -> None:
        """The client waits for the owner from now on, or has been waiting already."""
        ...

    def calling(self, *, limit: int) -> list[Calling]:
        """Conversations in which the client waits for the owner, the longest wait first."""
        ...

    def heard_at(self, channel: str, chat_id: str) -> datetime | None:
        """When the client last wrote or pressed something, None where they never did."""
        ...

    def stopped_at(self, channel: str, chat_id: str) -> datetime | None:
        """Since when nothing is written there unasked, None where it may be."""
        ...

    def stop(self, channel: str, chat_id: str, *, at: datetime | None) -> bool:
        """Write nothing there unasked from `at` on, or again with None; False where it was so.

        The conversation is made if it is new.
        """
        ...

    def answered(self, channel: str, chat_id: str, *, in_words: bool) -> None:
        """Nobody waits for the owner any more; `in_words` when the owner wrote to them."""
        ...


@dataclass(frozen=True, kw_only=True, slots=True)
class InboxRow:
    """A committed update. `payload` is the channel-neutral update as it came."""

    id: int
    channel: str
    chat_id: str
    update_id: str
    payload: dict[str, Any]
    received_at: datetime
    handled: bool


class Inbox(Protocol):
    """Incoming updates, committed before their channel is told that they arrived."""

    def receive(
        self, channel: str, chat_id: str, update_id: str, payload: dict[str, Any], now: datetime
    ) -> tuple[InboxRow, bool]:
        """Store an update once; the flag is True when it was there before."""
        ...

    def get(self, inbox_id: int, *, lock: bool = False) -> InboxRow:
        """One row; NotFound otherwise."""
        ...

    def mark_handled(self, inbox_id: int, now: datetime) -> None:
        """Its turn is stored."""
        ...

    def pending(self, channel: str, *, received_before: datetime) -> list[InboxRow]:
        """Updates without a turn, oldest first; of each chat the first few only."""
        ...

    def pending_of(self, channel: str, chat_id: str) -> list[InboxRow]:
        """Updates of one chat without a turn, oldest first, whenever they came: the clock of the
        process that received one may be ahead of ours."""
        ...


class OwnerChats(Protocol):
    """The owner's own chats."""

    def pair(self, chat: OwnerChat) -> None:
        """From now on the chat is the owner's; nothing happens where it is already."""
        ...

    def has(self, channel: str, chat_id: str) -> bool:
        """Whether the chat is the owner's."""
        ...

    def every(self) -> list[OwnerChat]:
        """All of them, in the order in which they were paired."""
        ...

    def unpair(self, channel: str, chat_id: str) -> None:
        """The chat is nobody's special any more."""
        ...

    def take_digest(self, channel: str, chat_id: str, day: date) -> bool:
        """Deal with the day's digest: True for the one caller who is to do it."""
        ...
