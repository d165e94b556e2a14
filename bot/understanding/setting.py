"""Indoors or outdoors, only where sure."""

import re

from bot.understanding.lexicon import INDOOR, OUTDOOR
from bot.understanding.passage import Passage, Phrases

_SETTINGS: Phrases[str] = Phrases(
    {**dict.fromkeys(INDOOR, "indoor"), **dict.fromkeys(OUTDOOR, "outdoor")}
)
_NOT_BEFORE = re.compile(
    r"\b(?:not|no|isn'?t|wont be|instead of|if|en vez de|en lugar de|ya no|ya no va|no va|no es|"
    r"si llueve|not be|rather than|than)\s(?:to be\s|being\s)?$|"
    r"\b(?:opening|opened|open|new|2nd|second|nuev[oa])\s(?:\w+\s){0,2}$"
)
_A_LENGTH = re.compile(r"(?:\b(?:one|two|three|half|per)|\d)\s?(?:\d/\d\s)?$")
_NOT_SETTING_AFTER = re.compile(
    r"\s(?:(?:the|our|my)\s(?:\w+\s)?(?:door|doors|entrance|room|hall|ballroom|gym)\b|"
    r"of\s(?:town|boston|the\s(?:city|box|balloon))|the\s(?:budget|balloons?)|de\s(?:la ciudad|"
    r"mi presupuesto)|long\b|wide\b|sale\b)"
)
# Grounds that are under the sky, unless the word is part of another thing's name.
_GROUNDS = re.compile(
    r"(?<!\bwinter )(?<!\bbeer )(?<!\bolive )(?<!\bthe botanical )(?<!\bkinder)(?<!\bflower )"
    r"\b(?:garden|gardens)\b(?!\s(?:clubs?|cent(?:er|re)|inn|room|hall|hotel|grill|theme[ds]?|"
    r"roses|"
    r"hose|street|st\b|ave|apartments|cafe|restaurant|level|gnome|vibes?|style|state|library))|"
    r"\bpark\b(?!\s(?:hall|cent(?:er|re)|community|rec|street|st\b|ave|avenue|road|rd|school|hotel|"
    r"inn|place|view|plaza|library|elementary|middle|high|church|room|theme|rangers?|the\b|"
    r"there\b|in\b|"
    r"here\b))|"
    r"\b(?:(?:en|al|del)\s(?:el\s)?jardin|parque)\b(?!\sde\s(?:ninos|infantes|fiestas|eventos))|"
    r"\bsidewalk\b|\bunder the (?:open )?(?:sky|stars)\b|\bcourtyard\b|"
    r"\bparking lots?\b|\b(?:on|by|at|along)\s(?:the|our|a)\s(?:river|lake|sea|water|"
    r"creek)\s?(?:bank|"
    r"side|front|shore)s?\b(?!\s(?:inn|hotel|grill|cafe|restaurant|club|hall|room|tavern|lodge))|"
    r"\bon the (?:beach|grass|dock|pier|deck|green|field|shore|sand|bank|quad)\b|\bby the (?:lake|"
    r"river|water|pool|pond|creek)\b|\bcampground\b"
)


def setting_in(passage: Passage) -> tuple[str | None, bool]:
    """ "indoor", "outdoor" or None, and whether both were said."""
    words, text = passage.words(), passage.folded
    said = set()
    for hit in _SETTINGS.find(words):
        start, end = words[hit.first].start, words[hit.last].end
        before = text[max(0, start - 16) : start]
        if hit.value == "outdoor" and _is_length(words[hit.last].text, before):
            continue
        if not _NOT_BEFORE.search(before) and not _NOT_SETTING_AFTER.match(text, end):
            said.add(hit.value)
    if not said and any(_lies_open(found, passage) for found in _GROUNDS.finditer(text)):
        return "outdoor", False
    return (said.pop(), False) if len(said) == 1 else (None, bool(said))


def _lies_open(found: re.Match[str], passage: Passage) -> bool:
    """ "in the garden", not "Royal Gardens", which is a name."""
    return not (found.group().startswith("garden") and passage.original[found.start()].isupper())


def _is_length(word: str, before: str) -> bool:
    """ "one yard of garland" is no yard."""
    return word == "yard" and bool(_A_LENGTH.search(before))
