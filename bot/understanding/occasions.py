"""What the event is for."""

import re
from collections.abc import Iterable

from rapidfuzz.distance import OSA

from bot.understanding.lexicon import NUMBER_WORDS, OCCASIONS, SUPPORTS, events, others
from bot.understanding.lexicon.wordlist import listed
from bot.understanding.passage import Passage, Phrases, Word

_TABLE: Phrases[str] = Phrases(OCCASIONS)
_TABLE_IN = {lang: Phrases({**OCCASIONS, **own}) for lang, own in others.OCCASIONS_IN.items()}


def _any(patterns: Iterable[str]) -> re.Pattern[str]:
    return re.compile(rf"\b(?:{'|'.join(patterns)})\b")


_TOLD = tuple((occasion, _any(patterns)) for occasion, patterns in events.TOLD.items())
_MILESTONE = _any(events.MILESTONES)
_OTHER = _any(events.OTHER)
_NONE = _any((events.ONLY_WHEN, events.QUOTE_PROPOSAL, events.NO_OCCASION))
_AGE = re.compile(
    r"\b(?:turns?|turning|turned|gonna be|going to be|"
    r"will be)\s(?:the\sbig\s)?(?:\d{1,3}\b(?!\s?(?:of|"
    r"people|guests|kids|feet|ft|balloons|pm|am|:))|one|two|three|four|five|six|seven|eight|nine|"
    r"ten|"
    r"thirty|forty|fifty|sixty|seventy|eighty|ninety)\b|"
    r"\b\d{1,3}(?:st|nd|rd|th)\s(?:b-?day|bday|birthday|bash)|\b\d{1,3}\s?(?:yr|year)s?[\s-]old|"
    r"\b(?:shes|hes|she's|he's|she is|he is|mom is|dad is)\s\d{1,3}\s(?:on|in|this|next)\s|"
    r"\b(?:mom|dad|grandma|grandpa|nana|papa|she|he) is \d{2,3}\s?!|"
    r"\b(?:espos|hij|herman|abuel|suegr|novi|ti|amig|niet|sobrin|mam|pap)[oa],? \d{1,2} anos\b"
    r"(?! (?:de|casad|junt))|\bcentenarian\b|\bcumple\w*\s\d|\bhappy \d{1,3}(?:st|nd|rd|th)\b|"
    r"\bthe big (?:\d0|three oh|four oh|five oh|"
    r"six oh)\b|"
    r"\bdirty thirty\b|(?:^|[,.!]\s?)[4-9]0th(?=\s?[,.!]|$)|"
    r"\b(?:\d{1,2}|un|dos|tres) an(?:it)?os? de (?:mi|mis|su) (?:nin|hij|beb|nen|niet|sobrin)|"
    r"\b(?:born|bday)\b(?=\s(?:day|boy|girl|party))|"
    r"\b(?:a|surprise|big)\s(?:surprise\s)?[1-9]0th\b(?!\s(?:anniv|wedding|annual))|"
    r"\bcumplen?\s(?:\d{1,3}|un|dos|tres|cuatro|cinco)\s?anos|\b(?:my|his|her|their|[a-z]+'s|"
    r"moms|dads|sons|wifes|wife's|husbands|boyfriends|girlfriends|besties|fiances|partners|cousins|nieces|nephews|daughters|"
    r"sisters|brothers|grandmas|grandpas|"
    r"nanas)\s(?:own\s)?"
    r"(?:\d{1,3}(?:st|nd|rd|th)|\w+ieth|first|second|third|fourth|fifth|sixth|seventh|eighth|"
    r"ninth|tenth)\b"
    r"(?!\s(?:wedding|anniv|grade|floor|year|street|ave|century|annual|meeting|time|of\b|child|"
    r"baby|kid|"
    r"location|store|communion|event|party\sthis))"
)
_XV = re.compile(
    r"\b(?:mis|sus|los|tus|de|fiesta de)\s(?:xv|15|quince)\b(?!\s(?:dias|minutos|globos|pies|"
    r"metros|personas|invitados|a\b|mesas|"
    r"de\s(?!mi|su|tu|la\b|nuestra)))|\bxv\s?(?:anos|party)?\b|\b(?:15|quince|xv) (?:anos|"
    r"primaveras)\b|"
    r"\bquince(?:s|anera|aneras)?\b(?=\s(?:party|party\?|for|de mi|en|on)\b)|\bmy quince\b|"
    r"\bsweet 15\b"
)
# Days of the year give way to what is celebrated on them: a wedding on new year's eve is a wedding.
_DAYS = frozenset({"holiday", "new_year", "valentines"})
_OF_THE_DAY = re.compile(
    r"\b(?:4|cuatro) de julio\b|\b4th of july\b|\b16 de septiembre\b|\bsuper ?bowl\b|"
    r"\bgalentines?\b|"
    r"\bfriendsmas\b"
)
# Company that works together: its parties are corporate, whatever the season.
_AT_WORK = re.compile(
    r"\b(?:company|companys|company's|corporate|office|staff|employees?|work|client|sales|business|"
    r"department|firm|hr|startup)\s(?:[\w']+\s){0,3}?(?:gala|party|event|"
    r"dinner|picnic|meeting|retreat|celebration|banquet|kickoff|kick-off|"
    r"lunch|luncheon|breakfast|mixer|awards|bbq|barbecue|brunch|function|holiday|christmas|"
    r"outing|launch|cruise|bash|social|gathering|"
    r"conference|summit|appreciation|happy hour|anniversary party|reception|fiesta|posada)\b|"
    r"\bteam (?:building|lunch|retreat|outing|"
    r"meeting|offsite|appreciation)\b|\b(?:de|para) (?:los )?empleados\b|"
    r"\b(?:fiesta|evento|cena|posada|comida|convivio|reunion|junta|"
    r"lanzamiento)\s(?:\w+\s){0,5}?(?:de|en|para) "
    r"(?:la|mi|nuestra|los|el)\s(?:\w+\s)?(?:compania|empresa|oficina|trabajo|empleados|"
    r"corporativo|fabrica|"
    r"personal)\b|\bconvivio de trabajo\b|\bour company'?s?\b"
)
# A house, a club or a firm that "turns 100" has an anniversary.
_OLD_HOUSE = re.compile(
    r"\b(?:library|club|company|school|church|shop|store|restaurant|bakery|business|town|museum|"
    r"society|firm|team|league|studio|gym|cafe|center|brewery|hospital|organi[sz]ation|nonprofit|"
    r"association|chapter|theat(?:er|re)|choir|orchestra|troop|temple|parish|academy)(?:\s\([^()]{0,40}\))?(?:\s(?:is\s)?"
    r"turn(?:s|ing)\b|\s(?:is|will be)\s\d{1,3}\s(?:yrs?|years?)\b|'?s\s\d{1,3}(?:st|nd|rd|th)\b)"
)
_OWN_HOUSE_TURNS = re.compile(
    r"\b(?:my|our) (?:shop|store|studio|salon|bakery|cafe|restaurant|gym|business|company|club|"
    r"library|school|church|team)\s(?:(?!(?:my|our|his|her|he|she|for|who|and)\b)[\w'&,.]+\s){1,8}?"
    r"turns\b"
)
_OF_WEDDING = re.compile(
    r"anniversary\s(?:of|for)\s(?:\w+\s){0,3}wedding|wedding\s(?:\d+\w*\s)?anniversary|"
    r"aniversario de bodas?"
)
_SEVERAL = re.compile(
    r"\b(?:two|2|both|three|3|dos|tres|varios|several|couple of|different|"
    r"separate)\s(?:\w+\s)?(?:events|"
    r"parties|eventos|fiestas|occasions|celebrations)\b"
)
# Rarer than any other where both are said.
_FIRST = ("quinceanera", "gender_reveal", "baby_shower", "bridal_shower")


def occasion_in(passage: Passage, lang: str | None) -> str | None:
    """The occasion; None where several events are asked for at once."""
    text = passage.folded
    if _SEVERAL.search(text):
        return None
    found = occasions_in(passage, lang)
    if "anniversary" in found and "wedding" in found and _OF_WEDDING.search(text):
        return "anniversary"
    first = _celebrated(text, [name for name in found if name not in _DAYS])
    if first or _MILESTONE.search(text):
        return first or "other"
    days = [occasion for occasion in found if occasion in _DAYS]
    if days or _OF_THE_DAY.search(text):
        return days[0] if days else "holiday"
    named = bool(found) or _OTHER.search(_plain(passage).folded)
    return "other" if named else _misspelt(_plain(passage).words())


def _celebrated(text: str, events: list[str]) -> str | None:
    """What is celebrated, if it has a kind of its own: rarer kinds win, then the first said."""
    specific = [occasion for occasion in events if occasion != "other"]
    first = next((occasion for occasion in _FIRST if occasion in specific), None)
    if first or _XV.search(text):
        return first or "quinceanera"
    if specific:
        return specific[0]
    if _AT_WORK.search(text):
        return "corporate"
    if _AGE.search(text):
        return "anniversary" if _of_house(text) else "birthday"
    return None


def _of_house(text: str) -> bool:
    return bool(_OLD_HOUSE.search(text) or _OWN_HOUSE_TURNS.search(text))


def _plain(passage: Passage) -> Passage:
    """Without figures of speech, and without days of the year that only say when."""
    return passage.without(found.span() for found in _NONE.finditer(passage.folded))


def several_events(passage: Passage, lang: str | None, *, days: bool) -> bool:
    """More than one event at once: said so, or two occasions on two days."""
    if _SEVERAL.search(passage.folded):
        return True
    apart = set(occasions_in(passage, lang)) - _DAYS - {"other", "corporate"}
    return days and len(apart) > 1


def occasions_in(passage: Passage, lang: str | None) -> list[str]:
    """Every occasion named or told of, in the order said."""
    passage = _plain(passage)
    words = passage.words()
    hits = _TABLE_IN.get(lang or "", _TABLE).find(words)
    named = [(words[hit.first].start, hit.value) for hit in hits if hit.value]
    masked = passage.without(
        (words[hit.first].start, words[hit.last].end) for hit in hits if not hit.value
    )
    told = [
        (found.start(), occasion)
        for occasion, pattern in _TOLD
        if (found := pattern.search(masked.folded))
    ]
    return [occasion for _, occasion in sorted(named + told)]


_TYPED = {
    name: occasion
    for name, occasion in OCCASIONS.items()
    if occasion and occasion != "other" and " " not in name and len(name) > 6
}
_KNOWN = frozenset(
    word for phrase in (*OCCASIONS, *SUPPORTS, *NUMBER_WORDS) for word in phrase.split()
) | listed(
    """
        community communities communication commute commuting
        bedding welding reading heading wording sending landing holding folding leading
        feeding wedges holidays reception reunions invitation invitations decorations
        decoration confirmed confirming corporation cooperate inspiration conversation
        conversion information education location vacation question questions communicate
        commission compression anniversaries entertainment engagements appointment
        requirement requirements attachment statement graduated gradually retiree
        celebrate celebration celebrating showers opening openings holiday
        """
)


def _misspelt(words: list[Word]) -> str | None:
    """An occasion one or two slips away ("aniversery"), where no occasion is spelt right."""
    for word in words:
        text = word.text
        if len(text) < 6 or text in _KNOWN or text.startswith("confirm"):
            continue
        for name, occasion in _TYPED.items():
            slips = 1 if len(name) < 9 else 2
            if name[0] == text[0] and OSA.distance(text, name, score_cutoff=slips) <= slips:
                return occasion
    return None
