"""Push channels: each sends one message to one chat, or says why it could not."""

from typing import Protocol

from service.contract.talk import OutgoingMessage


class NotNow(Exception):
    """The channel asks to wait `seconds` before anything else is sent."""

    def __init__(self, seconds: float) -> None:
        super().__init__(f"wait {seconds:g} s")
        self.seconds = seconds


class NotEver(Exception):
    """This message cannot reach this chat; trying again changes nothing. The text says why."""


class Channel(Protocol):
    """A way to reach a client who is not looking at a page of ours."""

    async def send(self, chat_id: str, message: OutgoingMessage) -> None:
        """Send once. Raises NotNow, NotEver, or any other error when it is unclear."""
