"""What Telegram shows of the bot before a word is said: commands and descriptions."""

import logging
from collections.abc import Awaitable, Callable, Iterable, Sequence
from functools import partial

from telegram import (
    Bot,
    BotCommand,
    BotCommandScope,
    BotCommandScopeAllPrivateChats,
    BotCommandScopeChat,
)

from bot.dialogue.messages import ShopCard
from bot.dialogue.phrases import Phrasebook, Phrases

_log = logging.getLogger(__name__)

_COMMANDS = ("price", "back", "over", "status", "language", "person", "cancel", "help")
_OWNERS_COMMANDS = ("waiting", "today", "help")

# Telegram's languages: none is for everybody who has no list in their own.
_LANGUAGES = (None, "es")


async def introduce(
    bot: Bot, phrasebook: Phrasebook, shop: ShopCard, owners: Iterable[str]
) -> None:
    """Tell Telegram the commands and the description, in each language, where they differ.

    `owners` are the owner's own chats. Trouble is told in the log and changes nothing else.
    """
    for language in _LANGUAGES:
        phrases = phrasebook.in_language(language)
        steps = [
            partial(_describe, bot, phrases, language, shop),
            partial(_describe_shortly, bot, phrases, language, shop),
            partial(_offer, bot, phrases, language, BotCommandScopeAllPrivateChats(), _COMMANDS),
            *(
                partial(_offer, bot, phrases, language, BotCommandScopeChat(owner), _for_owner())
                for owner in owners
            ),
        ]
        for step in steps:
            await _if_possible(step)


async def _if_possible(step: Callable[[], Awaitable[None]]) -> None:
    try:
        await step()
    except Exception as error:
        # An answer of another shape than the library expects raises whatever comes of it. Only
        # the kind is told: the text may quote the token.
        _log.warning("Telegram: the introduction is not up to date (%s)", type(error).__name__)


def _for_owner() -> tuple[str, ...]:
    return (*_OWNERS_COMMANDS, *(name for name in _COMMANDS if name not in _OWNERS_COMMANDS))


async def _offer(
    bot: Bot,
    phrases: Phrases,
    language: str | None,
    scope: BotCommandScope,
    names: Sequence[str],
) -> None:
    wanted = tuple(BotCommand(name, phrases.say(f"telegram.command.{name}")) for name in names)
    if await bot.get_my_commands(scope, language) != wanted:
        await bot.set_my_commands(wanted, scope, language)


async def _describe(bot: Bot, phrases: Phrases, language: str | None, shop: ShopCard) -> None:
    wanted = phrases.say("telegram.about", shop=shop.name, town=shop.town)
    if (await bot.get_my_description(language)).description != wanted:
        await bot.set_my_description(wanted, language)


async def _describe_shortly(
    bot: Bot, phrases: Phrases, language: str | None, shop: ShopCard
) -> None:
    wanted = phrases.say("telegram.about.short", shop=shop.name, town=shop.town)
    if (await bot.get_my_short_description(language)).short_description != wanted:
        await bot.set_my_short_description(wanted, language)
