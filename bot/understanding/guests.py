"""How many people are expected: people, never balloons or ages."""

import re
from itertools import pairwise

from bot.understanding.lexicon import GUEST_NOUNS, NUMBER_WORDS
from bot.understanding.passage import Passage, Span

_TENS = "|".join(sorted(NUMBER_WORDS, key=len, reverse=True))
_COUNT = (
    rf"(?P<low>\d{{1,5}}|\d,\d{{3}})(?:\s?(?:-|to|or|a|o)\s?(?P<high>\d{{1,5}}))?|"
    rf"(?P<word>\b(?:{_TENS}))"
)
_COUNTED = re.compile(
    rf"""(?<![\d.,$/#])(?:{_COUNT})(?:\s?\+|\s?ish|-ish|\s?or\sso)?\s(?:or\sso\s)?
    (?:(?:adult|invited|young|little|high\sschool|elementary|expected|local|total|senior|other
    |more|club|teen|staff)\s)?
    (?:{GUEST_NOUNS}|of\sus|teens|seniors|volunteers|rowers|players|parents|families|toddlers
    |nenes|mujeres|empleados|companeros|familiares)\b""",
    re.VERBOSE,
)
_ANNOUNCED = re.compile(
    r"""\b(?:guest\scount|head\s?count|guests|attendance|party\sof|group\sof|crowd\sof
    |expecting(?:\sabout|\saround)?|invitados|personas|somos|seremos|
    (?:party|event|dinner|reception|brunch|lunch|fiesta)\s(?:for|para)(?:\sabout|\saround|\sunas
    |\sunos)?)
    \s?(?:is|are|about|around|approx|:|=|of|de|unos|unas|como)?[\s:]{0,2}(?P<count>\d{1,5})\b
    (?!\s?(?:-?\s?year|yr|ft|feet|foot|'|"|am\b|pm\b|st\b|nd\b|rd\b|th\b|/|:|\$|x\b|balloon|globos
    |of\s|columns?|hoops?|garlands?|arch|pm|k\b|dollars|anos))""",
    re.VERBOSE,
)
_AND = re.compile(r"\s?(?:,|and|plus|y|\+|&|mas)\s?(?:about\s|around\s)?")


def guests_in(passage: Passage) -> tuple[int | None, tuple[Span, ...]]:
    """The head count and the spans it was read from.

    Of a range the higher figure, so that nothing is built too small; "40 adults and 20 kids" is 60.
    """
    text = passage.folded
    matches = list(_COUNTED.finditer(text))
    if not matches:
        said = _ANNOUNCED.search(text)
        return (int(said["count"]), (said.span(),)) if said else (None, ())
    if all(_number(match) == 1 for match in matches):
        return None, tuple(match.span() for match in matches)  # "one guest has an allergy"
    matches = [match for match in matches if _number(match) != 1]
    total = _number(matches[0])
    for first, second in pairwise(matches):
        if not _AND.fullmatch(text[first.end() : second.start()]):
            break
        total += _number(second)
    return total or None, tuple(match.span() for match in matches)


def _number(match: re.Match[str]) -> int:
    if match["word"]:
        return NUMBER_WORDS[match["word"]]
    return int((match["high"] or match["low"]).replace(",", ""))
