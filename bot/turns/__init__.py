"""Taking turns: every committed update gets its answer, in the order of its chat, once."""

from bot.turns.finding import PhotoGone, PhotoSource
from bot.turns.lines import Lines
from bot.turns.turns import Turns
from bot.turns.watched import WatchedTurns

__all__ = ["Lines", "PhotoGone", "PhotoSource", "Turns", "WatchedTurns"]
