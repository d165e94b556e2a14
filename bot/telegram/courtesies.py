"""Signs of life around a turn: that a press arrived, that an answer is being written."""

import asyncio
from collections.abc import Awaitable

from telegram import Bot, InlineKeyboardMarkup
from telegram.constants import ChatAction
from telegram.error import TelegramError

from bot.dialogue.values import STILL
from bot.telegram.incoming import Arrival

# Telegram shows somebody typing for five seconds.
_TYPING_LASTS_S = 4.5

# Presses that answer a question for good. A message whose buttons lead on in its place, as a
# calendar's do, keeps them: what takes its place may be under way already.
_FINAL = ("answer:", "skip:", "confirm:", "restart:", "cancel:", "back:")


class Courtesies:
    """None of them may fail a turn: an old press or a flood limit must not cost the answer."""

    def __init__(self, bot: Bot) -> None:
        self._bot = bot

    async def acknowledge(self, arrival: Arrival) -> None:
        """Stop the waiting mark on a pressed button, and take away buttons that have served."""
        if arrival.query_id is None:
            return
        courtesies: list[Awaitable[object]] = [self._bot.answer_callback_query(arrival.query_id)]
        if arrival.keyboard is not None and arrival.incoming.text.startswith(_FINAL):
            courtesies.append(self._take_away(arrival, arrival.keyboard))
        await asyncio.gather(*courtesies, return_exceptions=True)

    async def show_typing(self, arrival: Arrival, done: asyncio.Event) -> None:
        """Let the chat see that somebody is at it: for a moment at least, and until `done`."""
        if arrival.incoming.text == STILL:
            return
        while True:
            try:
                await self._bot.send_chat_action(arrival.chat_id, ChatAction.TYPING)
                async with asyncio.timeout(_TYPING_LASTS_S):
                    await done.wait()
            except TimeoutError:
                continue
            except TelegramError:
                return
            return

    async def _take_away(self, arrival: Arrival, keyboard: InlineKeyboardMarkup) -> None:
        links = [[b for b in row if b.url is not None] for row in keyboard.inline_keyboard]
        rows = [row for row in links if row]
        await self._bot.edit_message_reply_markup(
            arrival.chat_id,
            int(arrival.incoming.message_ref or 0),
            reply_markup=InlineKeyboardMarkup(rows) if rows else None,
        )
