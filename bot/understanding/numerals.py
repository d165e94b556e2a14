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


_HUNDREDS = {
    "cien": 100,
    "ciento": 100,
    **{
        f"{stem}{ending}": value
        for stem, value in (
            ("doscient", 200),
            ("trescient", 300),
            ("cuatrocient", 400),
            ("quinient", 500),
            ("seiscient", 600),
            ("setecient", 700),
            ("novecient", 900),
            ("ochocient", 800),
        )
        for ending in ("os", "as")
    },
}
_SCALES = {
    "hundred": 100,
    "hundo": 100,
    "cientos": 100,
    "thousand": 1000,
    "grand": 1000,
    "mil": 1000,
}
# "three fifty" is 350, "2 seventy five" 275.
_DIGIT_WORDS = (
    "one|two|three|four|five|six|seven|eight|nine|dos|tres|cuatro|cinco|seis|siete|ocho|nueve"
)
SHORT_HUNDREDS = (
    rf"(?:[1-9]|{_DIGIT_WORDS})[\s-](?:(?:{_TENS})(?:[\s-](?:{_DIGIT_WORDS}))?|"
    rf"(?:{_TENS_ES})(?:\sy\s(?:{_DIGIT_WORDS}))?)"
)
_UNDER = rf"(?:(?:{_TENS_ES})\sy\s(?:{_WORDS})|{WORDS})"
_HUNDRED_WORDS = "|".join(sorted(_HUNDREDS, key=len, reverse=True))
SPELT = (
    rf"(?:(?:a\scouple(?:\sof)?|{_UNDER}|an?)\s(?:hundred|hundo|cientos)(?:\s(?:(?:and|"
    rf"n)\s)?{_UNDER})?|"
    rf"(?:(?:{_UNDER}|an?)\s(?:thousand|grand|mil)|mil)(?:\s(?:{_HUNDRED_WORDS}|"
    rf"{_UNDER}\shundred))?|"
    rf"(?:{_HUNDRED_WORDS})(?:\s{_UNDER})?|{SHORT_HUNDREDS}|{_UNDER})"
)


def spelt_value(text: str) -> int:
    """The value of what `SPELT` matched ("three hundred" → 300, "mil quinientos" → 1500)."""
    total = current = 0
    for word in re.split(r"[\s-]+", text.strip()):
        if word in _SCALES:
            current = max(1, current) * _SCALES[word]
            if _SCALES[word] == 1000:
                total, current = total + current, 0
        else:
            value = _HUNDREDS.get(word) or NUMBER_WORDS.get(word) or 2 * (word == "couple")
            value = int(word) if word.isdecimal() else value
            said_short = 0 < current < 10 and 20 <= value < 100  # "three fifty"
            current = (100 * current if said_short else current) + value
    return total + current
