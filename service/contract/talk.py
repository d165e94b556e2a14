"""The wire form of conversations: incoming updates, turns of the dialogue, messages to send."""

from datetime import datetime
from typing import Any, Literal

from pydantic import Field, model_validator

from service.contract.brief import Wire
from service.contract.estimate import Channel

MessageKind = Literal["say", "ask", "readback", "working", "ballpark", "review", "firm", "note"]


class Button(Wire):
    """Something to press: either an answer (`value`, at most 64 bytes) or a web address."""

    label: str = Field(min_length=1, max_length=64)
    value: str | None = None
    url: str | None = Field(default=None, max_length=2048)

    @model_validator(mode="after")
    def _one_meaning(self) -> "Button":
        if (self.value is None) == (self.url is None):
            raise ValueError("a button has either a value or a url")
        if self.value is not None and not 0 < len(self.value.encode()) <= 64:
            raise ValueError("a button's value takes 1 to 64 bytes")
        return self


class OutgoingMessage(Wire):
    """Plain text for the client, with buttons. Channels never interpret markup in it."""

    kind: MessageKind = "say"
    text: str = Field(min_length=1, max_length=16_000)
    buttons: list[Button] = Field(default_factory=list, max_length=40)
    asks: str | None = Field(default=None, description="The slot that this message asks about.")


class Update(Wire):
    """One thing a client did in a channel, before anybody has looked at what it means.

    `update_id` is the channel's own identity of it: the same id is the same update.
    """

    channel: Channel
    chat_id: str = Field(min_length=1, max_length=128, pattern=r"^[\w.-]+$")
    update_id: str = Field(min_length=1, max_length=128)
    kind: Literal["start", "text", "button", "other"]
    text: str = Field(default="", max_length=20_000, description="What was typed or pressed.")
    label: str | None = Field(default=None, max_length=200, description="A pressed button's label.")
    sender_name: str | None = Field(default=None, max_length=200)
    locale: str | None = Field(default=None, max_length=35)


class InboxReceipt(Wire):
    """The update is committed; `handled` tells whether its turn was already taken."""

    inbox_id: int
    duplicate: bool
    handled: bool


class PendingUpdate(Wire):
    """A committed update whose turn nobody has finished."""

    inbox_id: int
    received_at: datetime
    update: Update


class Conversation(Wire):
    """Where a conversation stands. `state` belongs to the dialogue; `version` guards it.

    `pending` are the updates whose turns are open, oldest first: they go in that order.
    """

    channel: Channel
    chat_id: str
    version: int
    state: dict[str, Any]
    pending: list[PendingUpdate] = Field(default_factory=list)
    owner_spoke: bool = Field(
        default=False, description="The owner wrote to the client, who has not answered yet."
    )


class Turn(Wire):
    """The outcome of one update: new state and what to say, stored together or not at all."""

    inbox_id: int
    version: int = Field(description="The version the turn started from.")
    state: dict[str, Any]
    messages: list[OutgoingMessage] = Field(default_factory=list, max_length=20)
    calls_owner: bool = Field(
        default=False, description="The client was told that the owner sees the conversation."
    )


class TurnReceipt(Wire):
    """`applied` is false when this update's turn had been taken before."""

    version: int
    applied: bool


class ChatMessage(Wire):
    """One message of a conversation, in the order `seq`."""

    seq: int
    direction: Literal["in", "out"]
    kind: MessageKind
    text: str
    buttons: list[Button]
    asks: str | None
    at: datetime
    update_id: str | None = Field(default=None, description="For `in`: the update it came with.")


class Delivery(Wire):
    """A message to hand to a push channel. `delivery_key` is the same at every attempt."""

    message_id: str
    channel: Channel
    chat_id: str
    delivery_key: str
    message: OutgoingMessage
