"""The Telegram channel: updates come in by long polling or webhook, each committed before it is
confirmed.

What the bot says goes out elsewhere, through the ledger; this room only receives.
"""

from bot.telegram.client import open_bot
from bot.telegram.introduction import introduce
from bot.telegram.photos import TelegramPhotos
from bot.telegram.polling import Polling
from bot.telegram.webhook import Webhook, secrets_in

__all__ = ["Polling", "TelegramPhotos", "Webhook", "introduce", "open_bot", "secrets_in"]
