"""When the event begins and ends, never when the set-up does.

Without "am" or "pm" an hour from 1 to 7 is read as afternoon and 10 to 12 as written, and the slot
is reported as ambiguous so that it is confirmed; 8 and 9 alone stay open.
"""

import re
from dataclasses import dataclass, replace
from datetime import time

from bot.understanding.lexicon import NUMBER_WORDS
from bot.understanding.lexicon.wordlist import listed
from bot.understanding.passage import TAKEN, Passage, Span

_HOUR_WORDS = "|".join(
    sorted((word for word, n in NUMBER_WORDS.items() if n <= 12), key=len, reverse=True)
).replace("once", r"(?<!at\s)once")
_HALF = (
    r"(?:\s?[ap]\.?\s?m\b\.?|[ap]\b(?!\s?\d)|\s(?:de|en|por)\sla\s(?:manana|tarde|noche)|"
    r"\sin\sthe\s(?:morning|afternoon|evening)|\sat\snight)"
)
_NAMED_HOURS = {
    "noon": 12,
    "midday": 12,
    "noontime": 12,
    "mediodia": 12,
    "medio dia": 12,
    "midnight": 0,
    "medianoche": 0,
    "media noche": 0,
}
_NAMED_WORDS = "|".join(sorted(_NAMED_HOURS, key=len, reverse=True)).replace(" ", r"\s")
_NAMED = rf"(?:{_NAMED_WORDS})(?!\s(?:blue|snack))"


# "a las 6 30": minutes after a space, where nothing makes them a count.
_AFTER_SPACED = (
    r"\s?(?:[,.;!?\n\0)]|$|[ap]\.?m\b|-|(?:to|til|till|until|a|hasta|y|no|not|de\sla)\b)"
)


def _clock(prefix: str) -> str:
    return rf"""(?:(?P<{prefix}named>{_NAMED})\b|
        (?:(?P<{prefix}part>half\spast|half|quarter\spast|quarter\safter|quarter\st(?:o|il)l?
        |cuarto\spara\slas?)\s)?
        (?:(?P<{prefix}hour>[0-2]?\d)(?:(?!\d)|(?=[0-5]\d\s?(?:[ap]\.?m|hrs|hours)\b))
        |(?P<{prefix}word>\b(?:{_HOUR_WORDS}))\b)
        (?:(?:[:.]|h(?=\d))(?P<{prefix}minute>[0-5]\d)(?!\d)
        |(?P<{prefix}compact>[0-5]\d)(?=\s?(?:[ap]\.?m|hrs|hours)\b)
        |[\s-](?P<{prefix}spelt>thirty|fifteen|forty[\s-]?five|y\streinta|treinta)\b
        |(?(lead)\s(?P<{prefix}spaced>00|15|30|45)(?={_AFTER_SPACED})))?
        (?:\s(?P<{prefix}y>y\smedia|y\scuarto|menos\scuarto))?
        (?:\s?(?P<{prefix}sharp>o'?clock|hrs?\b|horas\b|h\b(?!\d)|ish\b|-ish))?
        (?P<{prefix}half>{_HALF})?)"""


_LEAD = (
    r"(?P<lead>\b(?:from|at|@|doors|open(?:\sto(?:\sthe)?\spublic)?|hours|a\spartir\sde\slas?|"
    r"a\seso\sde\slas?|tipo|starts?|starting|begins?|beginning|around|about|till?|until|to|"
    r"ends?|ending|finish(?:es)?|over|de|desde|"
    r"a\slas?|las|hasta\slas?|hasta|entre\slas?|between|time:?|empieza|comienza|party(?:\sis)?|"
    r"event(?:\sis)?|its)\s(?:at\s|a\slas?\s|is\s|las\s|around\s|about\s|like\s|by\s|@\s?)?|@)?"
)
_JOIN = r"(?:\s?(?:-|to|till?|until|thru|through|a|hasta)\s?(?:las?\s)?|\s(?:and|y)\s(?:las?\s)?)"
_TIME = re.compile(
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
_SETUP = re.compile(
    r"\b(?:set\s?-?up|setting up|install(?:ation|ed)?|load[- ]?in|arriv\w+|access|get in|"
    r"deliver\w*|drop off|ready|need(?:ed)? (?:it|them) by|"
    r"pick\s?-?up|tear\s?-?down|take\s?-?down|strike|clean\s?up|venue opens|opens|call me|call|"
    r"montar|montaje|instalar|instalacion|entregar|recoger|listo|lista|llegar|desmontar)\b"
    r"[^,.;\n\0]{0,32}$|\b(?:by|before|after|antes de(?: las)?|despues de(?: las)?)\s?(?:the\s|"
    r"la\s)?$"
)
_END = re.compile(
    r"\b(?:until|till?|ends?|ending|end|over|done|out|finish\w*|runs? (?:to|til\w*|until)|"
    r"conclud\w+|clos\w+|wraps? up|hasta|termin\w+|acab\w+)\b[^,.;\n\0]{0,12}$"
)
_OPENS = re.compile(r"\b(?:opens?|abr(?:e|en|imos))\b[^.;\n\0]{0,12}$")
_OPENING = re.compile(r"\b(?:(?:grand |re-?)opening|inaugura\w+|apertura)\b")
_ENDS = re.compile(
    r"\b(?:ends?|ending|finish\w*|over|out|done|runs? (?:to|til\w*|until)|conclud\w+|"
    r"wraps? up|termin\w+|acab\w+)\b[^,.;\n\0]{0,12}$"
)
_ARRIVE = (
    r"(?:guests|students|people|everyone|kids|families|they|invitados) (?:will |"
    r"should )?(?:arriv\w+|get|"
    r"come|llegan)"
)
_OF_EVENT = re.compile(rf"\b(?:party|event|ceremony|{_ARRIVE}|fiesta)\b[^,.;\n\0]{{0,14}}$")
_EVENT = re.compile(
    rf"\b(?:starts?|starting|begins?|party|event|program\w*|show|reception|ceremony|{_ARRIVE}|"
    r"empieza|comienza|fiesta)\b[^,.;\n\0]{0,14}$"
)
_RANGE_LEADS = listed("open hours doors from between de desde entre at @ a party event its time")
_STRONG_LEADS = listed(
    """
    at @ doors tipo from start starting begin beginning a la desde until til till hasta end ending
    finish     finishe over time time: party event empieza comienza las
    """
)


@dataclass(frozen=True, slots=True)
class Hours:
    start: time | None
    end: time | None
    ambiguous: bool
    spans: tuple[Span, ...]


@dataclass(frozen=True, slots=True)
class _Clock:
    hour: int
    minute: int
    half: str | None  # "am", "pm", "24" as on a 24-hour clock, "named"; None where unsaid
    exact: bool  # could only be a time of day


_SPELT_MINUTES = {
    "thirty": 30,
    "treinta": 30,
    "y treinta": 30,
    "fifteen": 15,
    **dict.fromkeys(("forty five", "forty-five"), 45),
}
_LASTS = re.compile(
    r"\b(?:for|por|durante|lasts?|dura)\s(?:about\s|around\s|unas\s|como\s)?"
    rf"(?P<hours>\d|1[0-2]|{_HOUR_WORDS})\s?(?:hours?|hrs?|horas)\b"
)
_LATE = re.compile(r"\b(?:evening|night|noche|tonight|dinner|gala|cena|nightclub|concert)\b")
_EARLY = re.compile(r"\b(?:morning|breakfast|desayuno|de la manana)\b")


def hours_in(passage: Passage, *, asked: bool = False) -> Hours:
    """The event's hours, with every time of day masked.

    With `asked`, a bare figure ("3") counts as an hour.
    """
    start: time | None = None
    end: time | None = None
    ambiguous = False
    spans: list[Span] = []
    cued = False
    lasts = _LASTS.search(passage.folded)
    if lasts:
        passage = passage.without([lasts.span()])
    for match in _TIME.finditer(passage.folded):
        first, second = _clock_of(match, "a"), _clock_of(match, "b")
        if first is None or not _counts(match, first, second, asked):
            continue
        spans.append((match.start(), match.end()))
        before = _before(passage.folded, match, spans)
        if _is_ours(before, passage.folded):
            continue
        if not cued and _EVENT.search(before):
            start, cued = None, True  # "mass at 11, party at 1": the party is the event
        if second:
            unsettled = start is None and _open_range(first, second)
            start, end = (start, end) if start else _range(first, second)
        elif end is None and _END.search(before):
            end, unsettled = _single(first, late=True)
        elif start is None:
            start, unsettled = _single(_by_part_of_day(first, passage.folded))
        else:
            continue
        ambiguous = ambiguous or unsettled
    if lasts:
        spans.append(lasts.span())
        end = end or _later(start, lasts["hours"])
    return Hours(start, end, ambiguous, tuple(spans))


def _is_ours(before: str, text: str) -> bool:
    """Is it the hour of the set-up? A shop's grand opening begins when it opens."""
    if _OPENS.search(before) and _OPENING.search(text):
        return False
    celebrated = _OF_EVENT.search(before) or _ENDS.search(before)
    return bool(_SETUP.search(before)) and not celebrated


def _later(start: time | None, hours: str) -> time | None:
    """When it ends, of something that lasts so many hours."""
    ahead = int(hours) if hours.isdecimal() else NUMBER_WORDS[hours]
    return start.replace(hour=(start.hour + ahead) % 24) if start else None


def _before(text: str, match: re.Match[str], spans: list[Span]) -> str:
    """What leads up to a time, from the end of the time before it."""
    since = spans[-2][1] if len(spans) > 1 else 0
    return text[max(since, match.start() - 40) : match.start()] + (match["lead"] or "")


def _clock_of(match: re.Match[str], side: str) -> _Clock | None:
    named = match[f"{side}named"]
    if named:
        return _Clock(_NAMED_HOURS[named], 0, "named", True)
    hour_text = match[f"{side}hour"] or match[f"{side}word"]
    if hour_text is None:
        return None
    hour = NUMBER_WORDS[hour_text] if hour_text in NUMBER_WORDS else int(hour_text)
    spelt = _SPELT_MINUTES.get(match[f"{side}spelt"] or "", 0)
    said = match[f"{side}minute"] or match[f"{side}compact"] or match[f"{side}spaced"]
    minute = int(said or spelt)
    part = match[f"{side}part"] or match[f"{side}y"] or ""
    hour, minute = _with_part(hour, minute, part)
    if hour > 23:
        return None
    half = _half(match[f"{side}half"]) or ("24" if hour_text[0] == "0" or hour > 12 else None)
    exact = bool(
        match[f"{side}half"]
        or re.fullmatch(r"0\d", hour_text)
        or (match[f"{side}minute"] and not _is_pointed(match, side))
        or match[f"{side}spaced"]
        or match[f"{side}compact"]
        or part
        or spelt
        or _is_sharp(match, side, hour)
    )
    return _Clock(hour, minute, half, exact)


def _is_pointed(match: re.Match[str], side: str) -> bool:
    """ "1.50" may as well be a measure."""
    return match.string[match.start(f"{side}minute") - 1] == "."


def _with_part(hour: int, minute: int, part: str) -> tuple[int, int]:
    if part in ("half past", "half", "y media"):
        return hour, 30
    if part in ("quarter past", "quarter after", "y cuarto"):
        return hour, 15
    return ((hour - 1) % 24, 45) if part else (hour, minute)


def _is_sharp(match: re.Match[str], side: str, hour: int) -> bool:
    """ "5 o'clock", "18 hrs"; "2 horas" alone is how long."""
    said = match[f"{side}sharp"] or ""
    return bool(said) and not (said.startswith("h") and hour < 13 and not match["lead"])


def _half(text: str | None) -> str | None:
    if text is None:
        return None
    said = text.strip()
    if said.endswith(("manana", "morning")) or (said[0] == "a" and not said.startswith("at ")):
        return "am"
    return "pm"


def _counts(match: re.Match[str], first: _Clock, second: _Clock | None, asked: bool) -> bool:
    """Is it a time of day at all? A bare figure is one after "at" or in "from 2 to 5" only."""
    if asked or first.exact or (second is not None and second.exact):
        return True
    lead = (match["lead"] or "").strip()
    after_date = match.string[: match.start()].rstrip(" ,")[-1:] == TAKEN  # "june 6 12-4"
    if second is not None:
        led = (
            after_date or _leads(lead, _RANGE_LEADS) or _names_event(match) or _stands_alone(match)
        )
        return 1 <= first.hour <= 12 and led
    spoken = _leads(lead, _STRONG_LEADS) or (after_date and lead in ("around", "about", "like"))
    return spoken and 1 <= first.hour <= 12


def _names_event(match: re.Match[str]) -> bool:
    """ "Baby shower 2-5": a range right after the event's name."""
    return bool(_EVENT_NAME.search(match.string[max(0, match.start() - 16) : match.start()]))


_EVENT_NAME = re.compile(
    r"\b(?:party|shower|birthday|bday|reception|ceremony|brunch|lunch|dinner|wedding|graduation|"
    r"reveal|gala|picnic|open house|fiesta|boda|bautizo|comida|cena),?\s$"
)


def _stands_alone(match: re.Match[str]) -> bool:
    """ "May 9, turning 13, 4-7, 15 kids": a range between stops, behind a date."""
    text = match.string
    before, after = text[: match.start()].rstrip(" ")[-1:], text[match.end() :].lstrip(" ")[:1]
    dated = TAKEN in text[max(0, match.start() - 60) : match.start()]
    return dated and before in ",.;\n" and after in ",.;\n"


def _leads(lead: str, words: frozenset[str]) -> bool:
    first = lead.split()[0] if lead else ""
    return first in words or first.rstrip("s") in words


def _range(first: _Clock, second: _Clock) -> tuple[time, time]:
    """In "3-6pm" the three is an afternoon hour as well; in "10 to 1pm" the ten is not."""
    end_hour = _hour24(second)
    if second.half is None and second.hour < 13:
        start_hour = _hour24(first)
        end_hour = _after(start_hour, second.hour)
        return time(start_hour, first.minute), time(end_hour, second.minute)
    if first.half is None and first.hour < 12 and second.half == "pm":
        start_hour = first.hour + 12 if first.hour + 12 <= end_hour else first.hour
    elif first.half is None and second.half == "named" and first.hour <= 7:
        start_hour = first.hour + 12
    else:
        start_hour = _hour24(first)
    return time(start_hour, first.minute), time(end_hour, second.minute)


def _after(start: int, hour: int) -> int:
    """The first hour called `hour` on a twelve-hour dial that comes after `start`."""
    return next((start + ahead) % 24 for ahead in range(1, 13) if (start + ahead) % 12 == hour % 12)


def _open_range(first: _Clock, second: _Clock) -> bool:
    return first.half is None and second.half is None


def _single(clock: _Clock, *, late: bool = False) -> tuple[time | None, bool]:
    if clock.half == "named" and clock.hour == 0 and not late:
        return None, False  # what happens at midnight is the drop, not the beginning
    if clock.half is None and not clock.exact and clock.hour in (8, 9) and not late:
        return None, True
    hour = _hour24(clock)
    if late and clock.half is None and 8 <= clock.hour <= 11:
        hour = clock.hour + 12
    return time(hour, clock.minute), clock.half is None


def _by_part_of_day(clock: _Clock, text: str) -> _Clock:
    """ "saturday night at 8" is no morning."""
    if clock.half is not None or not 7 <= clock.hour <= 9:
        return clock
    late, early = _LATE.search(text), _EARLY.search(text)
    if bool(late) == bool(early):
        return clock
    return replace(clock, half="pm" if late else "am")


def _hour24(clock: _Clock) -> int:
    if clock.half in ("named", "24"):
        return clock.hour
    if clock.half == "am":
        return clock.hour % 12 if clock.hour <= 12 else clock.hour
    if clock.half == "pm":
        return clock.hour % 12 + 12 if clock.hour <= 12 else clock.hour
    return clock.hour + 12 if 1 <= clock.hour <= 7 else clock.hour
