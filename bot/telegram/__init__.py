"""The Telegram channel: updates come in by long polling, each committed before it is confirmed.

What the bot says goes out elsewhere, through the ledger; this room only receives.
"""

from bot.telegram.client import open_bot
from bot.telegram.polling import Polling

__all__ = ["Polling", "open_bot"]
