"""How a time of day is written: the patterns of clocks and of what leads up to them."""

import re

from bot.understanding.lexicon import NUMBER_WORDS
from bot.understanding.lexicon.wordlist import listed

_HOUR_WORDS = "|".join(
    sorted((word for word, n in NUMBER_WORDS.items() if n <= 12), key=len, reverse=True)
).replace("once", r"(?<!at\s)once")
_HALF = (
    r"(?:\s?[ap]\.?\s?m\b\.?|[ap]\b(?!\s?\d)|\s(?:de|en|por)\sla\s(?:manana|tarde|noche)|"
    r"\sin\sthe\s(?:morning|afternoon|evening)|\sat\snight)"
)
NAMED_HOURS = {
    "noon": 12,
    "midday": 12,
    "noontime": 12,
    "mediodia": 12,
    "medio dia": 12,
    "midnight": 0,
    "midnite": 0,
    "medianoche": 0,
    "media noche": 0,
}
_NAMED_WORDS = "|".join(sorted(NAMED_HOURS, key=len, reverse=True)).replace(" ", r"\s")
_NAMED = rf"(?:{_NAMED_WORDS})(?!\s(?:blue|snack))"


# "a las 6 30": minutes after a space, where nothing makes them a count.
_AFTER_SPACED = (
    r"\s?(?:[,.;!?\n\0)]|$|[ap]\.?m\b|-|(?:to|til|till|until|a|hasta|y|no|not|de\sla)\b)"
)


_OPEN_END = r"(?:dark|late|close|closing|sundown|sunset|dusk|whenever)"


# "1230 to 4", "430pm": hours and minutes in one figure.
_AFTER_COMPACT = (
    r"(?:\s?(?:[ap]\.?m|hrs|hours)\b|(?<=00|15|30|45)\s?(?:-|to|till?|until)\s?\d{1,2}(?!\d))"
)


def _clock(prefix: str) -> str:
    return rf"""(?:(?P<{prefix}named>{_NAMED})\b|
        (?:(?P<{prefix}part>half\spast|half|quarter\spast|quarter\safter|quarter\st(?:o|il)l?
        |cuarto\spara\slas?)\s)?
        (?:(?P<{prefix}hour>[0-2]?\d)(?:(?!\d)|(?=[0-5]\d{_AFTER_COMPACT}))
        |(?P<{prefix}word>\b(?:{_HOUR_WORDS}))\b)
        (?:(?:[:.]|h(?=\d))(?P<{prefix}minute>[0-5]\d)(?!\d)
        |(?P<{prefix}compact>[0-5]\d)(?={_AFTER_COMPACT})
        |[\s-](?P<{prefix}spelt>thirty|fifteen|forty[\s-]?five|y\streinta|treinta)\b
        |(?(lead)\s(?P<{prefix}spaced>00|15|30|45)(?={_AFTER_SPACED})))?
        (?:\s(?P<{prefix}y>y\smedia|y\scuarto|menos\scuarto))?
        (?:\s?(?P<{prefix}sharp>o'?clock|onwards?\b|en\sadelante\b|(?:till?|until)\s{_OPEN_END}\b
        |hrs?\b|horas\b|h\b(?!\d)|ish\b|-ish))?
        (?P<{prefix}half>{_HALF})?)"""


_LEAD = (
    r"(?P<lead>\b(?:from|at|@|doors|open(?:\sto(?:\sthe)?\spublic)?|hours|a\spartir\sde\slas?|"
    r"a\seso\sde\slas?|tipo|starts?|starting|begins?|beginning|around|about|till?|until|to|"
    r"ends?|ending|finish(?:es)?|over|de|desde|"
    r"a\slas?|las|hasta\slas?|hasta|entre\slas?|between|btwn?|b/w|time:?|empieza|comienza|"
    r"party(?:\sis)?|"
    r"event(?:\sis)?|its)\s(?:at\s|a\slas?\s|is\s|las\s|around\s|about\s|like\s|by\s|@\s?)?|"
    r"(?<!\d\s)(?<!columns\s)(?<!hoops\s)(?<!each\s)@\s?|@)?"
)
_JOIN = r"(?:\s?(?:-|to|till?|until|thru|through|a|hasta)\s?(?:las?\s)?|\s(?:and|y)\s(?:las?\s)?)"
TIME = re.compile(
    rf"""{_LEAD}(?<![\d.,:/$\w-])(?:about\s|like\s)?{_clock("a")}
    (?:{_JOIN}(?:about\s)?{_clock("b")})?
    (?!\s?(?:to|and|or|-|a|y)\s?\d+(?:\.\d)?\s?(?:ft\b|feet|foot|'|people|guests))
    (?![:.]?\d)(?(ahalf)|(?!\s(?:my|me|our|his|her|the|you|u|mi)\b))(?!\s?(?:-\s?)?(?:ft\b|foot|feet|'|"
    |in\s(?:tall|wide|x|by|long|high)\b|inch|m\b
    |cm\b|met|pies|de\s(?:alto|ancho|largo|altura|diametro)|tall|wide|high|long
    |x\s?\d|by\s\d|%|/\d|people|ppl|guests|kids|personas|invitad|columns?|hoops?|arch|
    balloons?|globos|weeks?|days?|months?|hours?|years?|anos|semanas|dias|meses|horas?\sde|dollars
    |bucks|pm\d|of\sus|of\sthem|steps|stairs|garland|miles|minutes|tables?))""",
    re.VERBOSE,
)
SETUP = re.compile(
    r"\b(?:set\s?-?up|setting up|install(?:ation|ed)?|load[- ]?in|arriv\w+|access|get in|"
    r"deliver\w*|drop off|ready|need(?:ed)? (?:it|them) by|"
    r"pick\s?-?up|tear\s?-?down|take\s?-?down|strike|clean\s?up|venue opens|opens|call me|call|"
    r"montar|montaje|instalar|instalacion|entregar|recoger|listo|lista|llegar|desmontar)\b"
    r"[^,.;\n\0]{0,32}$|\b(?:by|before|after|antes de(?: las)?|despues de(?: las)?)\s?(?:the\s|"
    r"la\s)?$"
)
END = re.compile(
    r"\b(?:until|till?|ends?|ending|end|over|done|out|finish\w*|runs? (?:to|til\w*|until)|"
    r"conclud\w+|clos\w+|wraps? up|hasta|termin\w+|acab\w+)\b[^,.;\n\0]{0,12}$"
)
OPENS = re.compile(r"\b(?:opens?|abr(?:e|en|imos))\b[^.;\n\0]{0,12}$")
OPENING = re.compile(r"\b(?:(?:grand |re-?)opening|inaugura\w+|apertura)\b")
ENDS = re.compile(
    r"\b(?:ends?|ending|finish\w*|over|out|done|runs? (?:to|til\w*|until)|conclud\w+|"
    r"wraps? up|termin\w+|acab\w+)\b[^,.;\n\0]{0,12}$"
)
_ARRIVE = (
    r"(?:guests|students|people|everyone|kids|families|they|invitados) (?:will |"
    r"should )?(?:arriv\w+|get|"
    r"come|llegan)"
)
OF_EVENT = re.compile(rf"\b(?:party|event|ceremony|{_ARRIVE}|fiesta)\b[^,.;\n\0]{{0,14}}$")
EVENT = re.compile(
    rf"\b(?:starts?|starting|begins?|party|event|program\w*|show|reception|ceremony|{_ARRIVE}|"
    r"recepcion|convivio|empieza|comienza|fiesta)\b[^,.;\n\0]{0,14}$"
)
MEAL = re.compile(
    r"\b(?:lunch|luncheon|brunch|dinner|breakfast|cookout|comida|cena|convivio|desayuno|"
    r"almuerzo)\b"
    r"[^,.;\n\0]{0,14}$"
)
MASS = re.compile(r"\b(?:mass|church (?:service|at|is)|misa)\b")
FROM = listed("from between btw btwn b/w entre de desde open hours")
RANGE_LEADS = listed(
    "open hours doors from between btw btwn b/w de desde entre at @ a party event its time"
)
STRONG_LEADS = listed(
    """
    at @ doors tipo from start starting begin beginning a la desde until til till hasta end ending
    finish     finishe over time time: party event empieza comienza las
    """
)


SPELT_MINUTES = {
    "thirty": 30,
    "treinta": 30,
    "y treinta": 30,
    "fifteen": 15,
    **dict.fromkeys(("forty five", "forty-five"), 45),
}
LASTS = re.compile(
    r"\b(?:for|por|durante|lasts?|dura)\s(?:about\s|around\s|unas\s|como\s)?"
    rf"(?P<hours>\d|1[0-2]|{_HOUR_WORDS})\s?(?:hours?|hrs?|horas)\b"
)
LATE = re.compile(r"\b(?:evening|night|noche|tonight|dinner|gala|cena|nightclub|concert)\b")
EARLY = re.compile(r"\b(?:morning|breakfast|desayuno|de la manana)\b")


EVENT_NAME = re.compile(
    r"\b(?:party|shower|birthday|bday|reception|ceremony|brunch|lunch|dinner|wedding|graduation|"
    r"reveal|gala|picnic|open house|fiesta|boda|bautizo|comida|cena|luncheon|"
    r"breakfast),?(?:\s(?:is|es|runs|goes))?\s$"
)
