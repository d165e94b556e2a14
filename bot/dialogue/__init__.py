"""The conversation: channel-neutral, without I/O, its state plain data."""

from bot.dialogue.messages import (
    Button,
    Fault,
    Incoming,
    Message,
    Outcome,
    ShopCard,
    Submission,
    Swatch,
)
from bot.dialogue.turn import refused_turn, take_turn

__all__ = [
    "Button",
    "Fault",
    "Incoming",
    "Message",
    "Outcome",
    "ShopCard",
    "Submission",
    "Swatch",
    "refused_turn",
    "take_turn",
]
