"""In groups the bot says one thing: where to write to it alone."""

from limits import RateLimitItemPerDay
from limits.aio.storage import MemoryStorage
from limits.aio.strategies import FixedWindowRateLimiter
from telegram import Bot, Message, Update
from telegram.constants import ChatType, MessageEntityType
from telegram.error import TelegramError

from bot.dialogue.phrases import Phrasebook

# A courtesy that a restart may repeat: it is remembered in this process only.
_ONCE_A_DAY = RateLimitItemPerDay(1)


class Groups:
    """Answers who addresses the bot in a group, once a day in each."""

    def __init__(self, bot: Bot, phrasebook: Phrasebook) -> None:
        self._bot = bot
        self._phrasebook = phrasebook
        self._limiter = FixedWindowRateLimiter(MemoryStorage())

    async def answer(self, update: Update) -> None:
        """Say where prices are given, if the update is a command or mention in a group."""
        message = update.message
        if message is None or message.chat.type not in (ChatType.GROUP, ChatType.SUPERGROUP):
            return
        if not self._is_addressed(message):
            return
        if not await self._limiter.hit(_ONCE_A_DAY, str(message.chat.id)):
            return
        language = (message.from_user.language_code or "")[:2] if message.from_user else None
        text = self._phrasebook.in_language(language).say("telegram.group", link=self._bot.link)
        try:
            await self._bot.send_message(message.chat.id, text)
        except TelegramError:
            # It may have been put out of the group, or may not write there.
            return

    def _is_addressed(self, message: Message) -> bool:
        name = f"@{self._bot.username}".lower()
        kinds: list[str | None] = [MessageEntityType.MENTION, MessageEntityType.BOT_COMMAND]
        found = [text.lower() for text in message.parse_entities(kinds).values()]
        return any(text in (name, "/start") or text.endswith(name) for text in found)
