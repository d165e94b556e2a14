"""The conversation: channel-neutral, without I/O, its state plain data."""

from bot.dialogue.messages import (
    Button,
    Fault,
    Found,
    Incoming,
    Message,
    Offer,
    Outcome,
    ShopCard,
    Submission,
    Swatch,
    Wanted,
)
from bot.dialogue.phrases import Phrasebook, Phrases
from bot.dialogue.stumbling import stumbled_turn
from bot.dialogue.turn import refused_turn, take_turn

__all__ = [
    "Button",
    "Fault",
    "Found",
    "Incoming",
    "Message",
    "Offer",
    "Outcome",
    "Phrasebook",
    "Phrases",
    "ShopCard",
    "Submission",
    "Swatch",
    "Wanted",
    "refused_turn",
    "stumbled_turn",
    "take_turn",
]
