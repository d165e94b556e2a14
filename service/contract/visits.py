"""The wire form of what somebody is about to do in a chat of the bot's, to be counted."""

from typing import Literal

from pydantic import Field

from service.contract.brief import Wire
from service.contract.figure import Number


class Visit(Wire):
    """Somebody writes or sends a photo. `visitor` is a digest that stands for where from."""

    visitor: str = Field(pattern=r"^[0-9a-f]{32}$")
    chat_id: str = Field(min_length=1, max_length=128, pattern=r"^[\w.-]+$")
    brings: Literal["update", "photo"]


class Wait(Wire):
    """For how long that should wait; 0: it may go on, and was counted."""

    seconds: Number = Field(ge=0)
