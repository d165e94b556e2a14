"""Taking turns: every committed update gets its answer, in the order of its chat, once."""

from bot.turns.finding import PhotoGone, PhotoSource
from bot.turns.turns import Turns

__all__ = ["PhotoGone", "PhotoSource", "Turns"]
