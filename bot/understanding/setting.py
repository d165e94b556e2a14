"""Indoors or outdoors, only where sure."""

import re

from bot.understanding.lexicon import INDOOR, OUTDOOR, grounds
from bot.understanding.passage import Passage, Phrases

_SETTINGS: Phrases[str] = Phrases(
    {**dict.fromkeys(INDOOR, "indoor"), **dict.fromkeys(OUTDOOR, "outdoor")}
)
_NOT_BEFORE = re.compile(grounds.NOT_BEFORE)
_NOT_AFTER = {
    "indoor": re.compile(grounds.NOT_AFTER),
    "outdoor": re.compile(rf"{grounds.NOT_AFTER}|{grounds.NEXT_TO_HOUSE}|{grounds.NAMED_AFTER}"),
}
_A_LENGTH = re.compile(r"(?:\b(?:one|two|three|half|per)|\d)\s?(?:\d/\d\s)?$")
_GROUNDS = re.compile("|".join(grounds.OPEN))
_TOWN = re.compile(grounds.TOWN_BEFORE)
_NAME_GOES_ON = re.compile(r" (?:(?:del?|of) )?(?:la )?[^\W\d_a-z]")
_PLAN_B = re.compile(grounds.PLAN_B)
_ROOMS = re.compile(grounds.ROOMS_INSIDE)


def setting_in(passage: Passage) -> tuple[str | None, bool]:
    """ "indoor", "outdoor" or None, and whether both were said."""
    passage = passage.without(found.span() for found in _PLAN_B.finditer(passage.folded))
    words, text = passage.words(), passage.folded
    said = set()
    for hit in _SETTINGS.find(words):
        start, end = words[hit.first].start, words[hit.last].end
        before = text[max(0, start - 16) : start]
        if hit.value == "outdoor" and _is_length(words[hit.last].text, before):
            continue
        if _NOT_BEFORE.search(before) or _NOT_AFTER[hit.value].match(text, end):
            continue
        if not _is_part_of_name(passage, start, end):
            said.add(hit.value)
    if not said and any(_lies_open(found, passage) for found in _GROUNDS.finditer(text)):
        return "outdoor", False
    if not said and _ROOMS.search(text):
        return "indoor", False
    return (said.pop(), False) if len(said) == 1 else (None, bool(said))


def _is_part_of_name(passage: Passage, start: int, end: int) -> bool:
    """ "Basement Lounge", "Long Beach" and "Playa del Carmen" are names, no more."""
    inside = passage.original[start].isupper() and _NAME_GOES_ON.match(passage.original, end)
    return bool(inside) or bool(_TOWN.search(passage.folded[max(0, start - 14) : start]))


def _lies_open(found: re.Match[str], passage: Passage) -> bool:
    """ "in the garden" and "Dunham Park"; but "Royal Gardens" is a name, "Estes Park" a town."""
    named = passage.original[found.start()].isupper()
    if found.group().startswith("garden"):
        return not named
    if found.group().endswith("jardin") and _NAME_GOES_ON.match(passage.original, found.end()):
        return False  # "en jardín Las Bugambilias"
    before = passage.folded[max(0, found.start() - 14) : found.start()]
    return not (found.group() == "park" and named and _TOWN.search(before))


def _is_length(word: str, before: str) -> bool:
    """ "one yard of garland" is no yard."""
    return word == "yard" and bool(_A_LENGTH.search(before))
