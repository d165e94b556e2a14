"""Numbers as people type them: digits, words, halves."""

import re

from bot.understanding.lexicon import NUMBER_WORDS

_TENS = "twenty|thirty|forty|fifty|sixty|seventy|eighty|ninety"
_TENS_ES = "treinta|cuarenta|cincuenta|sesenta|setenta|ochenta|noventa"
_WORDS = "|".join(sorted(NUMBER_WORDS, key=len, reverse=True))

# At most six digits before the point: longer runs are phone and order numbers.
DIGITS = r"\d{1,6}(?:[.,]\d{1,3})?"
FRACTION = r"(?:[\s-]{1,2}[1-9]/[2-9])"
WORDS = (
    rf"(?:(?:{_TENS})[\s-](?:one|two|three|four|five|six|seven|eight|nine)|"
    rf"(?:{_TENS_ES})\sy\s(?:un[oa]?|dos|tres|cuatro|cinco|seis|siete|ocho|nueve)|{_WORDS})"
)
NUMBER = rf"(?:{DIGITS}{FRACTION}?|\b{WORDS}\b)"

# How many of a thing: never thousands, a dozen included.
COUNT = rf"(?:\d{{1,3}}|{_WORDS}|dozen|docena)"

_SPLIT = re.compile(r"[\s-]+")
_THOUSANDS = re.compile(r"\d{1,3}(?:,\d{3})+")


def value_of(text: str) -> float:
    """The value of what `NUMBER` matched ("5 1/2" → 5.5, "twenty four" → 24).

    A comma followed by three digits separates thousands, any other comma is a decimal comma.
    """
    return sum(_part(part) for part in _SPLIT.split(text.strip()) if part not in ("", "y"))


def _part(part: str) -> float:
    if part in NUMBER_WORDS:
        return float(NUMBER_WORDS[part])
    if "/" in part:
        over, under = part.split("/")
        return int(over) / int(under)
    if _THOUSANDS.fullmatch(part):
        return float(part.replace(",", ""))
    return float(part.replace(",", "."))


def number_of(word: str | None) -> int | None:
    """The value of what `COUNT` matched, None for None."""
    if word is None:
        return None
    if word in ("dozen", "docena"):
        return 12
    return int(word) if word.isdecimal() else NUMBER_WORDS[word]
