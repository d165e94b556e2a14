"""Text to slots: what a client's message says about an event and its garlands.

Pure and deterministic: no file, no clock; the reference date is an argument.
"""

from bot.understanding.answers import ANSWERS, read_answer
from bot.understanding.reading import read
from bot.understanding.slots import FLAGS, INTENTS, Extra, Slots, Structure
from bot.understanding.topics import TOPICS, topics_in

__all__ = [
    "ANSWERS",
    "FLAGS",
    "INTENTS",
    "TOPICS",
    "Extra",
    "Slots",
    "Structure",
    "read",
    "read_answer",
    "topics_in",
]
