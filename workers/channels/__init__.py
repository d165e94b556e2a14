"""Push channels: each sends one message to one chat, or says why it could not."""

from typing import Protocol

from service.contract.talk import OutgoingMessage

# A channel that is set up wrongly lets nothing through until somebody mends it.
SET_UP_PAUSE_S = 60.0


class NotNow(Exception):
    """Nothing was sent, and nothing should be for `seconds`. The text says why.

    `attempted` when this may go on for ever, and so counts as a failed attempt.
    """

    def __init__(
        self,
        seconds: float,
        reason: str = "the channel asks for a pause",
        *,
        attempted: bool = False,
    ) -> None:
        super().__init__(reason)
        self.seconds = seconds
        self.attempted = attempted


class NotEver(Exception):
    """This message cannot reach this chat; trying again changes nothing. The text says why."""


class NotSent(Exception):
    """The channel was not reached or could not take the message; it may be sent again soon."""


class Unclear(Exception):
    """The message, or a part of it, may have reached the chat. The text says how it ended."""


class Channel(Protocol):
    """A way to reach a client who is not looking at a page of ours."""

    async def send(
        self,
        chat_id: str,
        message: OutgoingMessage,
        *,
        after_share: bool = False,
        picture: bytes | None = None,
    ) -> None:
        """Send once. Raises NotNow, NotEver, NotSent or Unclear; any other error is unclear too.

        `after_share`: the message before it offered something to share, and no longer does.
        `picture` is the message's own, a PNG; without it the text goes alone.
        """
