"""What the event is for."""

import re

from bot.understanding.lexicon import OCCASIONS, others
from bot.understanding.passage import Passage, Phrases

_TABLE: Phrases[str] = Phrases(OCCASIONS)
_TABLE_IN = {lang: Phrases({**OCCASIONS, **own}) for lang, own in others.OCCASIONS_IN.items()}
_AGE = re.compile(
    r"\b(?:turns?|turning)\s(?:\d{1,3}\b|one|two|three|four|five|six|seven|eight|nine|ten)|"
    r"\b\d{1,3}(?:st|nd|rd|th)\s(?:b-?day|bday|birthday|bash)|\b\d{1,3}\s?(?:yr|year)s?[\s-]old|"
    r"\bcumple\w*\s\d|"
    r"\bcumplen?\s(?:\d{1,3}|un|dos|tres|cuatro|cinco)\s?anos|\b(?:my|his|her|their|[a-z]+'s|"
    r"moms|dads|sons|wifes|daughters|sisters|brothers)\s\d{1,3}(?:st|nd|rd|th)\b(?!\s(?:wedding|"
    r"anniv|grade|floor|year|street|ave|century|annual|meeting|time|of\b))"
)
_XV = re.compile(r"\b(?:mis|sus|los)\s(?:xv|15|quince)\b(?!\s(?:dias|minutos|globos))")
# Days of the year give way to what is celebrated on them: a wedding on new year's eve is a wedding.
_DAYS = frozenset({"holiday", "new_year", "valentines"})


_SEVERAL = re.compile(
    r"\b(?:two|2|both|three|dos|varios|several)\s(?:\w+\s)?(?:events|parties|eventos|fiestas)\b"
)


def occasion_in(passage: Passage, lang: str | None) -> str | None:
    """The occasion; None where several events are asked for at once."""
    if _SEVERAL.search(passage.folded):
        return None
    words = passage.words()
    found = [hit.value for hit in _TABLE_IN.get(lang or "", _TABLE).find(words) if hit.value]
    if "anniversary" in found and "wedding" in found and _OF_WEDDING.search(passage.folded):
        return "anniversary"
    events = [occasion for occasion in found if occasion not in _DAYS]
    specific = [occasion for occasion in events if occasion != "other"]
    if specific:
        return specific[0]
    if _AT_WORK.search(passage.folded):
        return "corporate"
    if _XV.search(passage.folded):
        return "quinceanera"
    if _AGE.search(passage.folded):
        return "anniversary" if _OLD_HOUSE.search(passage.folded) else "birthday"
    days = [occasion for occasion in found if occasion in _DAYS]
    return next(iter(days or events), None)


_AT_WORK = re.compile(
    r"\b(?:company|corporate|office|staff|team|employee|work)\s(?:\w+\s)?(?:gala|party|event|"
    r"dinner|picnic|meeting|retreat|celebration|banquet|"
    r"lunch|luncheon|mixer|awards|bbq|barbecue|brunch|function|holiday|christmas|outing|launch)\b"
)
# A house, a club or a firm that "turns 100" has an anniversary.
_OLD_HOUSE = re.compile(
    r"\b(?:library|club|company|school|church|shop|store|restaurant|bakery|business|town|museum|"
    r"society|firm|team|league|studio|gym|cafe|center|brewery|hospital|organi[sz]ation|nonprofit|"
    r"association|chapter|theat(?:er|re)|choir|orchestra|troop)(?:\s(?:is\s)?turn(?:s|ing)\b|"
    r"'?s\s\d{1,3}(?:st|nd|rd|th)\b)"
)
_OF_WEDDING = re.compile(
    r"anniversary\s(?:of|for)\s(?:\w+\s){0,3}wedding|wedding\s\d+\w*\sanniversary"
)
