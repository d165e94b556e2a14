"""The wire form of conversations: incoming updates, turns of the dialogue, messages to send."""

from datetime import datetime
from typing import Annotated, Any, Literal

from pydantic import Field, StrictBool, StrictInt, StringConstraints, model_validator

from service.contract.brief import Wire
from service.contract.estimate import Channel
from service.contract.figure import Whole

MessageKind = Literal[
    "say", "ask", "readback", "working", "ballpark", "review", "firm", "note", "owner"
]


PHOTO_ID = r"^[A-Za-z0-9_-]{1,64}$"
"""What a photo may be named."""

# What a process that takes turns calls itself.
Holder = Annotated[str, StringConstraints(pattern=r"^[A-Za-z0-9_-]{8,64}$")]


class Button(Wire):
    """Something to press: an answer (`value`, at most 64 bytes), a web address, or a thing that
    the client's phone can share. Buttons with the same `row` stand side by side."""

    label: str = Field(min_length=1, max_length=64)
    value: str | None = None
    url: str | None = Field(default=None, max_length=2048)
    share: Literal["location", "contact"] | None = None
    row: StrictInt | None = Field(default=None, ge=0, le=40)

    @model_validator(mode="after")
    def _one_meaning(self) -> "Button":
        if sum(one is not None for one in (self.value, self.url, self.share)) != 1:
            raise ValueError("a button has a value, a url or something to share")
        if self.value is not None and not 0 < len(self.value.encode()) <= 64:
            raise ValueError("a button's value takes 1 to 64 bytes")
        return self


class Swatch(Wire):
    """A colour to show, by its name."""

    name: str = Field(min_length=1, max_length=40)
    hex: str = Field(pattern=r"^#[0-9A-Fa-f]{6}$")


class Picture(Wire):
    """A picture of the client's garland. `url` is of a PNG with its small print in it, `page_url`
    of a lighter one for pages, which say the small print themselves; `alt` tells what it shows."""

    url: str = Field(max_length=2048)
    page_url: str = Field(max_length=2048)
    alt: str = Field(min_length=1, max_length=2000)


class OutgoingMessage(Wire):
    """Plain text for the client, with buttons. Channels never interpret markup in it."""

    kind: MessageKind = "say"
    text: str = Field(min_length=1, max_length=16_000)
    buttons: list[Button] = Field(default_factory=list, max_length=80)
    asks: str | None = Field(default=None, description="The slot that this message asks about.")
    swatches: list[Swatch] = Field(default_factory=list, max_length=24)
    edits: str | None = Field(
        default=None,
        max_length=64,
        description="The `message_ref` of an earlier message whose place this one takes.",
    )
    picture: Picture | None = None


class Update(Wire):
    """One thing a client did in a channel, before anybody has looked at what it means.

    `update_id` is the channel's own identity of it: the same id is the same update.
    """

    channel: Channel
    chat_id: str = Field(min_length=1, max_length=128, pattern=r"^[\w.-]+$")
    update_id: str = Field(min_length=1, max_length=128)
    kind: Literal["start", "text", "button", "photo", "location", "contact", "other"]
    text: str = Field(
        default="",
        max_length=20_000,
        description="What was typed or pressed; a photo's caption; `latitude,longitude` in degrees"
        " of a shared location; the number of a shared contact.",
    )
    label: str | None = Field(default=None, max_length=200, description="A pressed button's label.")
    sender_name: str | None = Field(default=None, max_length=200)
    locale: str | None = Field(default=None, max_length=35)
    message_ref: str | None = Field(
        default=None, max_length=64, description="The message that a pressed button stood under."
    )
    photo: str | None = Field(
        default=None, max_length=256, description="The channel's own name of the photo sent."
    )


class PendingUpdate(Wire):
    """A committed update whose turn nobody has finished."""

    inbox_id: Whole
    received_at: datetime
    update: Update


class Conversation(Wire):
    """Where a conversation stands. `state` belongs to the dialogue; `version` guards it.

    `pending` are the updates whose turns are open, oldest first: they go in that order.
    """

    channel: Channel
    chat_id: str
    version: Whole
    state: dict[str, Any]
    pending: list[PendingUpdate] = Field(
        default_factory=list, description="Of many, the first twenty."
    )
    held: StrictBool = Field(
        default=False,
        description="Answering a claim: another process takes this conversation's turns now.",
    )
    owner_spoke: StrictBool = Field(
        default=False, description="The owner wrote to the client, who has not answered yet."
    )
    owner: StrictBool = Field(default=False, description="The chat is the owner's own.")
    under_review: StrictBool = Field(
        default=False, description="The owner looks at the newest request before it has a price."
    )
    stopped: StrictBool = Field(
        default=False, description="The client wants nothing unasked, such as reminders."
    )


class InboxReceipt(Wire):
    """The update is committed; `handled` tells whether its turn was already taken.

    `conversation` is for a holder who is about to take the turn: it is claimed, as by a claim.
    """

    inbox_id: Whole
    duplicate: StrictBool
    handled: StrictBool
    conversation: Conversation | None = None


class Claim(Wire):
    """A process that is about to take turns. The same `holder` again is the same process."""

    holder: Holder


class Turn(Wire):
    """The outcome of one update: new state and what to say, stored together or not at all."""

    inbox_id: Whole
    version: Whole = Field(description="The version the turn started from.")
    state: dict[str, Any]
    messages: list[OutgoingMessage] = Field(default_factory=list, max_length=20)
    calls_owner: StrictBool = Field(
        default=False, description="The client was told that the owner sees the conversation."
    )
    stops: StrictBool | None = Field(
        default=None,
        description="True: the client was told that nothing comes unasked any more. False: that"
        " reminders come again.",
    )
    photo_id: str | None = Field(
        default=None,
        pattern=PHOTO_ID,
        description="The photo that came with the update, kept before.",
    )
    lets_go: Holder | None = Field(
        default=None, description="The holder whose claim ends once this turn is stored."
    )


class TurnReceipt(Wire):
    """`applied` is false when this update's turn had been taken before."""

    version: Whole
    applied: StrictBool


class ChatMessage(Wire):
    """One message of a conversation, in the order `seq`."""

    seq: Whole
    direction: Literal["in", "out"]
    kind: MessageKind
    text: str
    buttons: list[Button]
    asks: str | None
    at: datetime
    update_id: str | None = Field(default=None, description="For `in`: the update it came with.")
    swatches: list[Swatch] = Field(default_factory=list)
    edits: str | None = None
    photo_id: str | None = Field(default=None, description="For `in`: the photo that was sent.")
    picture: Picture | None = None


class Delivery(Wire):
    """A message to hand to a push channel. `delivery_key` is the same at every attempt."""

    message_id: str
    channel: Channel
    chat_id: str
    delivery_key: str
    message: OutgoingMessage
    after_share: StrictBool = Field(
        default=False,
        description="The message before this one in the chat offered something to share: its"
        " keyboard is still up.",
    )
