"""What goes on after a foil that is named: "foil 50 and a boat", "two foil stars and a heart"."""

import re

from bot.understanding.counting import COUNT, number_of
from bot.understanding.foil_words import COLOUR, FOIL, LOOK
from bot.understanding.lexicon import FOIL_SHAPES

# From the longest on, so that a "palm tree" is no "palm".
SHAPE = "|".join(sorted(FOIL_SHAPES, key=len, reverse=True))
_MOST_OF_A_SHAPE = 20
# "Foil 50 and star theme" and "foil 50 and an apple garland" end before what is no foil.
_ENDS = (
    r"(?=\s?(?:$|[,.;!?)\n+&\0]|(?:and|y|plus|mas|in|on|for|at|with|too|also|please|pls|en|para|con|"
    rf"por|tambien|{FOIL}|de {FOIL})\b))"
    rf"(?!\s?(?:,|and|y|&)\s(?:{SHAPE})(?:e?s)?\s(?:arch|theme|garland|frame|party))"
)
_JOINS = (
    r"\s?(?:,\s?(?:(?:and|y|plus|mas)\s)?|\b(?:and|y|e|plus|mas)\s|[&+]\s?|"
    r"\b(?:with|con)\s(?=an?\s|una?\s))"
)
_NUMBER = r"(?:a\s)?(?:pair|couple|par)\s(?:of|de)|another|an?|the|otr[oa]|el|la|una?"
# "Foil 50 and flowers": those dress the garland.
_MORE = re.compile(
    rf"{_JOINS}(?:"
    rf"(?:(?P<many>{_NUMBER}|{COUNT})\s)?{LOOK}(?:{FOIL}\s)?(?:balloons?\s|globos?\s(?:de\s)?)?"
    rf"(?!flowers|flores)(?P<shape>{SHAPE})(?P<plural>e?s)?(?:\s(?:{FOIL}|{COLOUR}))?|"
    rf"(?:an?|un|el|the)\s(?:number\s|numero\s)?(?P<digits>\d{{1,4}}))\b{_ENDS}"
)
_COUNTED = re.compile(
    rf"(?<![\d.,$/])\b(?P<many>(?:a\s)?(?:pair|couple|par)\s(?:of|de)|{COUNT})\s"
    rf"{LOOK}(?:{FOIL}[\s:]{{1,2}})?(?:balloons?[\s:]{{1,2}}|globos?\s(?:{FOIL}\s)?)?(?:de\s)?$"
)
# "2 star foils"
_FOILS_AFTER = re.compile(r"[\s-](?:shaped?\s)?(?:foils|mylars|(?:foil|mylar)\sballoons)\b")
_TIMES = re.compile(r"\sx\s?(\d{1,2})\b")


def more_after(text: str, end: int) -> tuple[list[str], int]:
    """The foils that a list goes on with after the one that ends there, and where it stops."""
    names: list[str] = []
    while match := _MORE.match(text, end):
        if match["digits"]:
            names += match["digits"]
        else:
            many = _number(match["many"] or "1") if match["plural"] else 1
            names += [FOIL_SHAPES[match["shape"]]] * many
        end = match.end()
    return names, end


def how_many(text: str, shape: re.Match[str]) -> tuple[int, int]:
    """How many of a shape are asked for, and where their number begins."""
    times = _TIMES.match(text, shape.end())
    if times:
        return _within(int(times[1])), shape.start()
    begins = max(0, shape.start() - 48)
    counted = _COUNTED.search(text[begins : shape.start()]) if _is_plural(text, shape) else None
    if counted is None:
        return 1, shape.start()
    return _number(counted["many"]), begins + counted.start()


def _is_plural(text: str, shape: re.Match[str]) -> bool:
    return shape.group() != shape[1] or _FOILS_AFTER.match(text, shape.end()) is not None


def _number(said: str) -> int:
    if re.match(r"(?:a\s)?(?:pair|couple|par)\b", said):
        return 2
    return _within(number_of(said))


def _within(number: int) -> int:
    """A number that is too large to count shapes was said of something else."""
    return number if 1 <= number <= _MOST_OF_A_SHAPE else 1
