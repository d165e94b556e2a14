"""The wire form of the owner's own chats: pairing one, and what is decided there."""

from decimal import Decimal
from typing import Literal

from pydantic import Field, StrictInt, model_validator

from service.contract.brief import Wire
from service.contract.estimate import Channel


class OwnerChatId(Wire):
    """A chat that is the owner's."""

    channel: Channel
    chat_id: str


class Pairing(Wire):
    """A chat that says the token from the owner's desk."""

    channel: Channel
    chat_id: str = Field(min_length=1, max_length=128, pattern=r"^[\w.-]+$")
    token: str = Field(min_length=1, max_length=64)
    name: str | None = Field(default=None, max_length=200)


class OwnerDecision(Wire):
    """What the owner decides in the chat, on a lead or on a conversation that waits.

    `ask` sends `text` to the client as the owner's own words; `settle`: there is nothing to answer.
    """

    action: Literal["send", "ask", "decline", "settle"]
    lead_id: str | None = Field(default=None, max_length=32)
    conversation_id: StrictInt | None = Field(default=None, ge=0, lt=2**31)
    basis: str | None = Field(
        default=None, max_length=24, description="The quote that the owner was shown."
    )
    price: Decimal | None = Field(default=None, gt=0, le=1_000_000, decimal_places=2)
    text: str | None = Field(default=None, min_length=1, max_length=2000)

    @model_validator(mode="after")
    def _on_one_thing(self) -> "OwnerDecision":
        if (self.lead_id is None) == (self.conversation_id is None):
            raise ValueError("name either the lead or the conversation")
        if self.lead_id is None and self.action in ("send", "decline"):
            raise ValueError("only a lead can be priced or declined")
        if self.action == "ask" and self.text is None:
            raise ValueError("say what to ask")
        return self
