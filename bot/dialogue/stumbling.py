"""What a client hears when their message could not be answered."""

from collections.abc import Mapping
from typing import Any

from bot.dialogue.messages import Incoming, Message, Outcome, ShopCard
from bot.dialogue.phrases import Phrasebook


def stumbled_turn(
    state: Mapping[str, Any], incoming: Incoming, *, shop: ShopCard, phrasebook: Phrasebook
) -> Outcome:
    """Own up and call the owner; the conversation stays where it was.

    Neither `state` nor the client's words are read, since one of them is what it stumbled over.
    """
    language = state.get("language") or (incoming.locale or "")[:2].lower()
    phrases = phrasebook.in_language(str(language))
    text = phrases.say("stumbled", owner=shop.owner_name)
    return Outcome(state=dict(state), messages=(Message(kind="say", text=text),), calls_owner=True)
