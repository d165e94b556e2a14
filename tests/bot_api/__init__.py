"""A Bot API server on loopback: strict as the real one where that matters, and scriptable."""

from tests.bot_api.rules import Refusal, utf16_length
from tests.bot_api.server import BotApiServer, Call, Sent

__all__ = ["BotApiServer", "Call", "Refusal", "Sent", "utf16_length"]
