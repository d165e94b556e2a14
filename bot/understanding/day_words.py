"""How a day is written: the patterns of dates, English, Spanish and some of other languages."""

import re
from collections.abc import Iterable

from bot.understanding.lexicon import MONTHS, NUMBER_WORDS, ORDINALS, WEEKDAYS, es
from bot.understanding.lexicon.en import SHORT_WEEKDAYS as ENGLISH_SHORT

SHORT_WEEKDAYS = {**ENGLISH_SHORT, **es.SHORT_WEEKDAYS}


def _either(words: Iterable[str]) -> str:
    return "|".join(sorted(words, key=len, reverse=True))


MONTH = _either(MONTHS)
WEEKDAY = _either(WEEKDAYS)
ANY_WEEKDAY = _either({**WEEKDAYS, **SHORT_WEEKDAYS})
_UNITS = _either(word for word, n in ORDINALS.items() if n < 10)
_ORDINAL = rf"(?:twenty|thirty)[\s-](?:{_UNITS})|{_either(ORDINALS)}"
_SPANISH_DAY = rf"treinta\sy\suno?|veinti\s?un|{_either(es.NUMBER_WORDS)}"
_SMALL = _either(NUMBER_WORDS)
_YEAR = r"(?P<year>(?:19|20)\d{2}(?!\d)|'\d{2}(?!\d))"
NOT_SIZE = (
    r"(?!\s?(?:'|\"|ft\b|feet\b|foot\b|x\s?\d|people\b|guests\b|ppl\b|inch|%|[ap]\.?m\b|:\d|pies\b|"
    r"personas\b|metros?\b|hrs?\b|horas\b|hours?\b|o'?clock))"
)
_NOT_RANK = (
    r"(?!\s(?:b-?day|birthday|anniversary|floor|grade|street|st\b|ave|annual|year|graders?|time|"
    r"cumple|aniversario|party\b|metalic|foil|de\sfoil|en\sfoil|balloon|globo))"
)
_NEXT_YEAR = (
    r"(?P<next>\s(?:of\s)?next\syear|\sdel\sproximo\sano|\sdel\sano\sque\sviene|\sdel\sotro\sano)?"
)

MONTH_DAY = re.compile(
    rf"""\b(?P<month>{MONTH})\b(?:(?<=\b[a-z]{{3}})\.|(?<=\b[a-z]{{4}})\.)?\s?(?:the\s)?
    (?:(?P<word>{_ORDINAL})\b|(?P<day>[0-3]?\d)(?:st|nd|rd|th)?(?![\d]){NOT_SIZE})
    (?:(?P<join>\s?(?:-|/|or|&|and|to|o|y|thru|through|until)\s?)
       (?:(?:{MONTH})\s)?(?P<other>[0-3]?\d)(?:st|nd|rd|th)?\b(?!\d){NOT_SIZE})?
    (?:\s?,?\s?(?:of\s)?{_YEAR})?{_NEXT_YEAR}""",
    re.VERBOSE,
)
DAY_MONTH = re.compile(
    rf"""(?<![\d:/.,$])\b(?:(?P<word>(?:{_ORDINAL})|(?:{_SPANISH_DAY})(?=\sde\s))
    |(?P<day>[0-3]?\d)(?:st|nd|rd|th|ro|er|o|\.)?)
    (?:(?P<join>\s?(?:-|or|&|and|to|o|y|al?)\s?)(?P<other>[0-3]?\d)(?:st|nd|rd|th)?)?
    \s?(?:of\s|de\s|do\s|del\smes\sde\s|day\sof\s)?(?P<month>{MONTH})\b\.?
    (?:\s?,?\s?(?:of\s|de\s|del\s)?{_YEAR})?{_NEXT_YEAR}""",
    re.VERBOSE,
)
LAST_OF_MONTH = re.compile(
    rf"\b(?:last|final|ultimo)\s(?:day|dia)\s(?:of|in|de)\s(?P<month>{MONTH})\b"
    rf"(?:\s?,?\s?(?:of\s|de\s|del\s)?{_YEAR})?"
)
ISO = re.compile(
    r"(?<!\d)(?P<year>(?:19|20)\d{2})[-/.](?P<month>\d{1,2})[-/.](?P<day>\d{1,2})(?!\d)"
)
NUMERIC = re.compile(
    r"""(?<![\d/.$-])(?<!\d\s)(?P<a>\d{1,2})(?P<sep>[/.-])(?P<b>\d{1,2})
    (?:(?P=sep)(?P<year>(?:19|20)\d{2}|\d{2}))?(?![\d/]|\s?(?:ft\b|feet|foot|inch|'|"|off\b
    |of\s(?:an?|the)\b|arch|dozen|price|x\b))""",
    re.VERBOSE,
)
IN_SIGNS = re.compile(
    r"(?P<month>\d{1,2})\s?月\s?(?P<day>\d{1,2})\s?(?:日|号)|"
    r"\bngay\s(?P<day2>\d{1,2})\sthang\s(?P<month2>\d{1,2})"
)
NTH_WEEKDAY = re.compile(
    rf"""\b(?P<nth>{_either(ORDINALS)}|[1-5](?:st|nd|rd|th)|last|final|ultimo)\s
    (?P<weekday>{ANY_WEEKDAY})
    \s(?:in|of|de|del\smes\sde)\s(?P<month>{MONTH})\b(?:\s?,?\s?(?:de\s)?{_YEAR})?""",
    re.VERBOSE,
)
TODAY = re.compile(
    r"(?<!por la )(?<!de la )(?<!en la )\b(?P<word>day after tomorrow|the day after tomorrow|"
    r"today|tonight|tonite|this (?:afternoon|evening)|tomorrow|tomorow|overmorrow|"
    r"tommorrow|tommorow|tmrw|tmrrw|tmr|tmw|tmro|2moro|2morrow|yesterday|pasado manana|manana|hoy|"
    r"esta (?:noche|tarde)|anteayer|antier|ayer|demain|morgen|amanha|domani)\b(?!\sen\s(?:ocho|8|"
    r"quince|15)\b)"
)
OFFSETS = {
    **dict.fromkeys(
        (
            "today",
            "tonight",
            "tonite",
            "hoy",
            "esta noche",
            "esta tarde",
            "this afternoon",
            "this evening",
        ),
        0,
    ),
    **dict.fromkeys(("yesterday", "ayer"), -1),
    **dict.fromkeys(
        ("day after tomorrow", "the day after tomorrow", "pasado manana", "overmorrow"), 2
    ),
    **dict.fromkeys(("anteayer", "antier"), -2),
}
_ROUGHLY = (
    r"(?:about|like|exactly|just|only|roughly|around|maybe|approximately|unas|unos|como|"
    r"exactamente|"
    r"apenas|solo|mas\so\smenos)"
)
_COUNT = rf"\d{{1,3}}|an?|{_SMALL}|a\scouple(?:\sof)?|couple(?:\sof)?|un\spar\sde"
IN_SPAN = re.compile(
    rf"""\b(?:in|within|en|dentro\sde|faltan|im|dans|tra|
    daqui\sa)\s(?:{_ROUGHLY}\s)?(?P<n>{_COUNT})\s?
    (?P<unit>days?|weeks?|wks?|months?|mos|dias?|semanas?|mes(?:es)?|fortnight)\b
    (?!\s(?:from|notice|before|advance))"""
    rf"""|\b(?P<n2>{_COUNT})\s?(?P<unit2>days?|weeks?|wks?|months?|fortnights?)\s
    (?:from|after)\s(?P<anchor>now|today|tomorrow|(?:this\s|this\scoming\s|next\s
    |on\s)?(?:{ANY_WEEKDAY}))\b
    |\b(?P<fortnight>fortnight)\s(?:from\s|on\s)?(?P<anchor3>{WEEKDAY})\b
    |\bdel?\s(?P<anchor2>hoy|manana|{WEEKDAY})\sen\s(?P<eight>ocho|8|quince|15)\b(?:\sdias)?""",
    re.VERBOSE,
)
NEXT_WEEK = re.compile(
    rf"""\b(?:(?P<day>{ANY_WEEKDAY})\s(?:(?:of\s|in\s)?(?:the\s)?(?:next|following)\sweek
    |de\sla\s(?:proxima|otra|siguiente)\ssemana|de\sla\ssemana\sque\s(?:viene|entra))
    |(?:next\sweek|la\s(?:proxima|otra|siguiente)\ssemana|la\ssemana\sque\s(?:viene|entra)),?\s
    (?:on\s|el\s|dia\s|this\s)?(?P<day2>{ANY_WEEKDAY}))\b""",
    re.VERBOSE,
)
ON_WEEKDAY = re.compile(
    rf"""(?:\b(?P<lead>this\scoming|this|next|last|past|on|coming|upcoming|by|for|este|esta
    |el\sproximo|proximo|el\spasado|pasado|el|para\sel|del)\s)?
    (?<!\bsanto\s)(?<!\bsto\s)(?<!\bsto\.\s)\b(?:(?P<long>{WEEKDAY})|(?P<short>{_either(SHORT_WEEKDAYS)}))\b\.?
    (?P<coming>\sque\sviene|\sque\sentra|\sproximo|\spasado)?
    (?P<weeks>\sin\s(?:\d|{_SMALL})\sweeks)?
    (?:,?\s(?:the\s|el\s|dia\s)?(?P<day>[0-3]?\d)(?P<rank>st|nd|rd|th)?\b(?![:/\d]|\.\d
    |\s?-\s?\d|\s(?:to|til|till|until|a|hasta)\s(?:la\s)?(?:\d|noon|midn|media)){NOT_SIZE}{_NOT_RANK})?""",
    re.VERBOSE,
)
NEXT_MONTHS_DAY = re.compile(
    r"""\b(?:(?:the\s|el\s|dia\s|on\s)?(?P<day>[0-3]?\d)(?:st|nd|rd|th)?\s(?:of\snext\smonth
    |del\s(?:proximo\smes|mes\sque\s(?:viene|entra)|otro\smes|siguiente\smes))
    |(?:next\smonth|el\s(?:proximo\smes|mes\sque\s(?:viene|entra)))\s?,?\s(?:on\s)?(?:the\s|el\s)?
    (?:dia\s)?(?P<day2>[0-3]?\d)(?:st|nd|rd|th)?)\b""",
    re.VERBOSE,
)
BARE_DAY = re.compile(
    rf"""\b(?:the\s(?P<day>[0-3]?\d)(?:st|nd|rd|th)\b|the\s(?P<word>{_ORDINAL})\b(?!\s[a-z])|
    (?:el|al
    |dia)\s(?:dia\s)?(?P<dia>[0-3]?\d)\b(?!\s?(?:de|metros?|pies|m\b|cm|personas|por\s\d|%|y\sel\s\d
    |[:.,]\d)))
    {_NOT_RANK}""",
    re.VERBOSE,
)
MONTH_ONLY = re.compile(
    rf"\b(?:in|early|mid|late|end of|beginning of|sometime in|during|for|this|next|en|"
    rf"principios de|finales de|mediados de)\s(?P<month>{MONTH})\b"
    r"|\b(?:this|next|the|coming|any|este|el proximo)\s(?:weekend|week|month|summer|spring|fall|"
    r"winter|fin de semana|mes)\b"
)


def ordinal(word: str) -> int:
    """The value of a day in words: "twenty-third", "primero", "treinta y uno"."""
    if word in ORDINALS:
        return ORDINALS[word]
    if word in NUMBER_WORDS:
        return NUMBER_WORDS[word]
    parts = re.split(r"\sy\s|[\s-]", word)
    return sum(ORDINALS.get(part) or NUMBER_WORDS.get(part, 0) for part in parts)


def weekday(word: str) -> int:
    """0 for Monday."""
    return WEEKDAYS[word] if word in WEEKDAYS else SHORT_WEEKDAYS[word]
