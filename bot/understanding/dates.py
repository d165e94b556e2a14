"""The day of the event.

A day without a year is the next such day on or after the reference date. What leaves a choice open
("june 6 or 13", "this weekend", "june") gives no date and is reported as ambiguous. Days that are
not the event's ("quote by friday", "rsvp by may 1") are set aside.
"""

import re
from calendar import monthrange
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from datetime import date, timedelta

from bot.understanding import holidays
from bot.understanding.lexicon import MONTHS, NUMBER_WORDS, ORDINALS, WEEKDAYS
from bot.understanding.lexicon.en import SHORT_WEEKDAYS
from bot.understanding.lexicon.wordlist import listed
from bot.understanding.passage import Passage, Phrases, Span


@dataclass(frozen=True, slots=True)
class When:
    """What a passage says about the day."""

    day: date | None
    past: bool
    ambiguous: bool
    spans: tuple[Span, ...]
    spoken: bool = False  # a date in figures or a weekday, not only a holiday's name
    month: date | None = None  # the first of the month, where no day was said


@dataclass(frozen=True, slots=True)
class _Found:
    start: int
    end: int
    day: date | None
    past: bool = False
    weak: bool = False  # a holiday's name: gives way to any other date
    unsure: bool = False  # read one way, but worth confirming


@dataclass(frozen=True, slots=True)
class Calendar:
    """What dates are read against."""

    reference: date
    day_first: bool
    locale: str
    known: date | None = None

    def next_day(self, month: int, day: int) -> date | None:
        """The next such day on or after the reference; None where no year has one."""
        for year in range(self.reference.year, self.reference.year + 9):
            found = _day(year, month, day)
            if found and found >= self.reference:
                return found
        return None

    def next_of_month(self, day: int, weekday: int | None = None) -> date | None:
        """The next month's day of that number, from the month of the known event on if there is
        one; of that weekday if one is said."""
        first = self.known or self.reference
        for ahead in range(13):
            year, month = divmod(first.year * 12 + first.month - 1 + ahead, 12)
            found = _day(year, month + 1, day)
            if not found or found < self.reference:
                continue
            if weekday is None or found.weekday() == weekday:
                return found
        return None

    def next_month(self, month: int) -> date:
        """The first day of the next such month; of the present one where it is that."""
        year = self.reference.year + (month < self.reference.month)
        return date(year, month, 1)

    def next_weekday(self, weekday: int) -> date:
        return self.reference + timedelta(days=(weekday - self.reference.weekday()) % 7)


def _day(year: int, month: int, day: int) -> date | None:
    if not (1 <= month <= 12 and 1 <= year <= 9998):
        return None
    return date(year, month, day) if 1 <= day <= monthrange(year, month)[1] else None


def _either(words: object) -> str:
    return "|".join(sorted(map(str, words), key=len, reverse=True))  # type: ignore[call-overload]


_MON = _either(MONTHS)
_WEEKDAY = _either(WEEKDAYS)
_ANY_WEEKDAY = _either({**WEEKDAYS, **SHORT_WEEKDAYS})
_ORDINAL = _either(ORDINALS)
_SMALL = _either(NUMBER_WORDS)
_YEAR = r"(?P<year>(?:19|20)\d{2}(?!\d)|'\d{2}(?!\d))"
_NOT_SIZE = (
    r"(?!\s?(?:'|\"|ft\b|feet\b|foot\b|x\s?\d|people\b|guests\b|ppl\b|inch|%|[ap]\.?m\b|:\d))"
)
_NOT_RANK = (
    r"(?!\s(?:b-?day|birthday|anniversary|floor|grade|street|st\b|ave|annual|year|graders?|time|"
    r"cumple|aniversario|party\b))"
)

_MONTH_DAY = re.compile(
    rf"""\b(?P<month>{_MON})\b\.?\s?(?:the\s)?
    (?:(?P<day>[0-3]?\d)(?:st|nd|rd|th)?(?![\d]){_NOT_SIZE}|(?P<word>{_ORDINAL})\b)
    (?:(?P<join>\s?(?:-|/|or|&|and|to|o|y|thru|through)\s?)
       (?:(?:{_MON})\s)?(?P<other>[0-3]?\d)(?:st|nd|rd|th)?\b(?!\d){_NOT_SIZE})?
    (?:\s?,?\s?(?:of\s)?{_YEAR})?(?P<next>\s(?:of\s)?next\syear)?""",
    re.VERBOSE,
)
_DAY_MONTH = re.compile(
    rf"""(?<![\d:/.,$])\b(?:(?P<day>[0-3]?\d)(?:st|nd|rd|th|ro|o)?|(?P<word>{_ORDINAL}))
    (?:(?P<join>\s?(?:-|or|&|and|to|o|y|al?)\s?)(?P<other>[0-3]?\d)(?:st|nd|rd|th)?)?
    \s?(?:of\s|de\s|del\smes\sde\s)?(?P<month>{_MON})\b\.?
    (?:\s?,?\s?(?:of\s|de\s|del\s)?{_YEAR})?(?P<next>\s(?:of\snext\syear|del\sproximo\sano
    |del\sano\sque\sviene))?""",
    re.VERBOSE,
)
_ISO = re.compile(
    r"(?<!\d)(?P<year>(?:19|20)\d{2})[-/.](?P<month>\d{1,2})[-/.](?P<day>\d{1,2})(?!\d)"
)
_NUMERIC = re.compile(
    r"""(?<![\d/.$-])(?<!\d\s)(?P<a>\d{1,2})(?P<sep>[/.-])(?P<b>\d{1,2})
    (?:(?P=sep)(?P<year>(?:19|20)\d{2}|\d{2}))?(?![\d/]|\s?(?:ft\b|feet|foot|inch|'|"|off\b
    |of\s(?:an?|the)\b|arch|dozen|price|x\b))""",
    re.VERBOSE,
)
_NTH_WEEKDAY = re.compile(
    rf"""\b(?P<nth>{_ORDINAL}|[1-5](?:st|nd|rd|th)|last|ultimo)\s(?P<weekday>{_ANY_WEEKDAY})
    \s(?:in|of|de|del\smes\sde)\s(?P<month>{_MON})\b(?:\s?,?\s?(?:de\s)?{_YEAR})?""",
    re.VERBOSE,
)
_TODAY = re.compile(
    r"(?<!por la )(?<!de la )(?<!en la )\b(?P<word>day after tomorrow|the day after tomorrow|"
    r"today|tonight|tonite|tomorrow|tomorow|"
    r"tommorrow|tommorow|tmrw|tmrrw|tmr|tmw|2moro|yesterday|pasado manana|manana|hoy|esta noche|"
    r"anteayer|ayer)\b"
)
_OFFSETS = {
    **dict.fromkeys(("today", "tonight", "tonite", "hoy", "esta noche"), 0),
    **dict.fromkeys(("yesterday", "ayer"), -1),
    **dict.fromkeys(("day after tomorrow", "the day after tomorrow", "pasado manana"), 2),
    "anteayer": -2,
}
_IN_SPAN = re.compile(
    rf"""\b(?:in|within|en|dentro\sde)\s(?:about\s|like\s)?(?P<n>\d{{1,3}}|an?|{_SMALL}|a\scouple(?:\sof)?)\s
    (?P<unit>days?|weeks?|months?|dias?|semanas?|mes(?:es)?)\b(?!\s(?:from|notice))"""
    rf"""|\b(?P<n2>\d{{1,3}}|an?|{_SMALL}|a\scouple(?:\sof)?)\s(?P<unit2>days?|weeks?|months?)\s
    (?:from|after)\s(?P<anchor>now|today|tomorrow|this\s(?:{_ANY_WEEKDAY})
    |next\s(?:{_ANY_WEEKDAY})|{_WEEKDAY}|sat|sun|fri)\b""",
    re.VERBOSE,
)
_ON_WEEKDAY = re.compile(
    rf"""(?:\b(?P<lead>this\scoming|this|next|last|past|on|coming|upcoming|by|for|este|esta
    |el\sproximo|proximo|el\spasado|pasado|el)\s)?
    \b(?:(?P<long>{_WEEKDAY})|(?P<short>{_either(SHORT_WEEKDAYS)}))\b\.?
    (?P<coming>\sque\sviene|\sproximo|\spasado)?
    (?P<weeks>\sin\s(?:\d|{_SMALL})\sweeks)?
    (?:,?\s(?:the\s|el\s|dia\s)?(?P<day>[0-3]?\d)(?P<rank>st|nd|rd|th)?\b(?![:/.\d]
    |\s?-\s?\d){_NOT_SIZE}{_NOT_RANK})?""",
    re.VERBOSE,
)
_BARE_DAY = re.compile(
    rf"""\b(?:the\s(?P<day>[0-3]?\d)(?:st|nd|rd|th)\b|(?:el|al
    |dia)\s(?:dia\s)?(?P<dia>[0-3]?\d)\b(?!\s?(?:de|metros?|pies|m\b|cm|personas|por\s\d|%
    |[:.,]\d)))
    {_NOT_RANK}""",
    re.VERBOSE,
)
_MONTH_ONLY = re.compile(
    rf"\b(?:in|early|mid|late|end of|beginning of|sometime in|during|for|this|next|en|"
    rf"principios de|finales de|mediados de)\s(?P<month>{_MON})\b"
    r"|\b(?:this|next|the|coming|any|este|el proximo)\s(?:weekend|week|month|summer|spring|fall|"
    r"winter|fin de semana|mes)\b"
)
_MONTH_NAME = re.compile(rf"(?<!\bwe )(?<!\bi )(?<!\bit )(?<!\bthey )\b(?:{_MON})\b")
_ONE_MONTH = re.compile(
    rf"\W*(?:[a-z']+\s){{0,3}}?(?P<month>{_MON})\b\.?(?:\s(?:i|we|think|sometime|some|time|maybe"
    rf"|please|probably|creo|quizas))*\W*"
)
_NOT_THE_EVENT = re.compile(
    r"(?:\b(?:by|before|until|till|due|deadline(?: is)?|quote(?: me)?|reply|answer|respond|"
    r"call(?: me)?|know|decide|order(?:ed)?|emailed|called|wrote|"
    r"texted|messaged|asked|antes del?|responder|llamar)\s(?:you\s|the\s|on\s|it\s|el\s|"
    r"the quote\s)?)$"
)
_DONE = re.compile(
    r"\b(?:sent|paid|booked|talked|spoke|saw|ordered|emailed|mailed|called|wrote|got|received|"
    r"pague|envie|mande|hable)\b[^.;!?\n]{0,30}$"
)
_NEEDED_BY = re.compile(
    r"\b(?:need|have|get|want|ready|done|delivered|garland|balloons|arch|hoop|columns?|it|them)"
    r"\s(?:\w+\s){0,2}(?:by|before|antes del?)\s(?:\w+\s)?$"
)
_OR_BETWEEN = re.compile(r"\s?,?\s?(?:or|or maybe|o|either|/)\s(?:maybe\s|on\s|the\s|el\s)?")
_TO_BETWEEN = re.compile(r"\s?(?:-|to|through|thru|al?|hasta)\s?(?:the\s|el\s)?")
_NAMED = Phrases({name: name for name in holidays.NAMES})
_OWN_NAME_AFTER = listed(
    """
    party parties dance brunch dinner event themed theme market luncheon lunch parade
    festival decor decorations colors colours photos card cards mood vibe vibes style tree
    fiesta cena social
    """
)
_BESIDE_HOLIDAY = re.compile(
    rf"\b(?:the\s)?(?P<what>day|night|weekend|{_WEEKDAY})\s(?P<side>before|after)\s$"
)
# Named days whose party is on the day itself.
_ON_THE_DAY = frozenset(
    {"new years eve", "independence day", "nye", "4th of july", "fourth of july"}
)


def when_in(passage: Passage, calendar: Calendar) -> When:
    """The event's day, with every date masked."""
    found: list[_Found] = []
    rest = passage
    for reader in _READERS:
        new = list(reader(rest, calendar))
        found += new
        rest = rest.without((item.start, item.end) for item in new)
    found.sort(key=lambda item: item.start)
    spans = tuple((item.start, item.end) for item in found)
    when = _choose(found, passage, spans)
    return when if when.day else replace(when, month=_month_in(passage, calendar))


def month_alone(passage: Passage, calendar: Calendar) -> date | None:
    """The first of the month, of a text that is little else: "june", "maybe in june"."""
    said = _ONE_MONTH.fullmatch(passage.folded)
    return calendar.next_month(MONTHS[said["month"]]) if said else None


def month_beside(passage: Passage, calendar: Calendar) -> date | None:
    """The first of the one month that is named, beside a day it does not have: "june 31"."""
    said = {MONTHS[found.group()] for found in _MONTH_NAME.finditer(passage.folded)}
    return calendar.next_month(said.pop()) if len(said) == 1 else None


def _month_in(passage: Passage, calendar: Calendar) -> date | None:
    said = {found["month"] for found in _MONTH_ONLY.finditer(passage.folded) if found["month"]}
    return calendar.next_month(MONTHS[said.pop()]) if len(said) == 1 else None


def _choose(found: list[_Found], passage: Passage, spans: tuple[Span, ...]) -> When:
    event = [item for item in found if not _set_aside(item, passage.folded)]
    if not event:  # "need it by friday": the only day there is
        event = [item for item in found if _is_needed_by(item, passage.folded)]
    strong = [item for item in event if not item.weak] or event
    if not strong:
        return When(None, False, False, spans)
    spoken = any(not item.weak for item in strong)
    open_ended = [item for item in strong if item.day is None]
    dated = [item for item in strong if item.day is not None]
    days = {item.day for item in dated}
    if not dated or (len(days) > 1 and not _run_of_days(dated, passage.folded)):
        past = bool(dated) and all(item.past for item in dated)
        return When(None, past, True, spans, spoken)
    first = dated[0]
    unsure = first.unsure or bool(open_ended)
    return When(first.day, first.past, unsure, spans, spoken)


def _set_aside(item: _Found, text: str) -> bool:
    before = text[max(0, item.start - 40) : item.start]
    return bool(_NOT_THE_EVENT.search(before) or (item.past and _DONE.search(before)))


def _is_needed_by(item: _Found, text: str) -> bool:
    return bool(_NEEDED_BY.search(text[max(0, item.start - 30) : item.start]))


def _run_of_days(items: list[_Found], text: str) -> bool:
    """ "june 6 to june 8": one event of several days, which begins on the first."""
    return len(items) == 2 and bool(_TO_BETWEEN.fullmatch(text[items[0].end : items[1].start]))


def _year_of(match: re.Match[str], calendar: Calendar) -> int | None:
    groups = match.groupdict()
    if groups.get("next"):
        return calendar.reference.year + 1
    year = groups.get("year")
    if not year:
        return None
    digits = year.lstrip("'")
    return int(digits) + (2000 if len(digits) == 2 else 0)


def _resolved(match: re.Match[str], month: int, day: int, calendar: Calendar) -> _Found:
    year = _year_of(match, calendar)
    if year is None:
        return _Found(match.start(), match.end(), calendar.next_day(month, day))
    found = _day(year, month, day)
    past = found is not None and found < calendar.reference
    return _Found(match.start(), match.end(), found, past)


def _by_month(pattern: re.Pattern[str]) -> Callable[[Passage, Calendar], Iterator[_Found]]:
    def read(passage: Passage, calendar: Calendar) -> Iterator[_Found]:
        for match in pattern.finditer(passage.folded):
            day = int(match["day"]) if match["day"] else ORDINALS[match["word"]]
            found = _resolved(match, MONTHS[match["month"]], day, calendar)
            if match["other"] and match["join"].strip() in ("or", "/", "o"):
                found = _Found(match.start(), match.end(), None)
            yield _beside_weekday(found, passage.folded)

    return read


def _beside_weekday(found: _Found, text: str) -> _Found:
    """Takes a weekday beside the date into its span; one that contradicts it leaves no date."""
    before = _WEEKDAY_BEFORE.search(text[max(0, found.start - 24) : found.start])
    after = _WEEKDAY_AFTER.match(text, found.end)
    start = found.start - len(before.group()) if before else found.start
    end = after.end() if after else found.end
    said = before["day"] if before else after["day"] if after else None
    agrees = said is None or found.day is None or found.day.weekday() == _weekday(said)
    return _Found(start, end, found.day if agrees else None, found.past)


def _weekday(word: str) -> int:
    return WEEKDAYS[word] if word in WEEKDAYS else SHORT_WEEKDAYS[word]


_WEEKDAY_BEFORE = re.compile(
    rf"\b(?:on\s|this\s|next\s|el\s|este\s)?(?P<day>{_ANY_WEEKDAY})\b\.?,?\s{{0,2}}(?:the\s|el\s|"
    rf"dia\s)?$"
)
_WEEKDAY_AFTER = re.compile(rf",?\s\(?(?P<day>{_ANY_WEEKDAY})\b\)?(?!\s(?:the\s)?\d)")


def _numeric(passage: Passage, calendar: Calendar) -> Iterator[_Found]:
    for match in _ISO.finditer(passage.folded):
        yield _beside_weekday(
            _resolved(match, int(match["month"]), int(match["day"]), calendar), passage.folded
        )
    for match in _NUMERIC.finditer(passage.folded):
        if (match["sep"] != "/" and not match["year"]) or match.group() == "24/7":
            continue
        first, second = int(match["a"]), int(match["b"])
        month, day = (second, first) if calendar.day_first else (first, second)
        if month > 12:  # "13/6" can only be read one way
            month, day = day, month
        if 1 <= month <= 12 and 1 <= day <= 31:
            yield _beside_weekday(_resolved(match, month, day, calendar), passage.folded)


def _nth_weekdays(passage: Passage, calendar: Calendar) -> Iterator[_Found]:
    for match in _NTH_WEEKDAY.finditer(passage.folded):
        nth = _nth(match["nth"])
        month, weekday = MONTHS[match["month"]], _weekday(match["weekday"])
        said = _year_of(match, calendar)
        years = [said] if said else [calendar.reference.year, calendar.reference.year + 1]
        days = [holidays.nth_weekday(year, month, weekday, nth) for year in years]
        coming = [day for day in days if day and (said or day >= calendar.reference)]
        day = coming[0] if coming else None
        yield _Found(
            match.start(), match.end(), day, past=day is not None and day < calendar.reference
        )


def _nth(word: str) -> int:
    if word in ("last", "ultimo"):
        return -1
    return ORDINALS[word] if word in ORDINALS else int(word[0])


def _spans_of_time(passage: Passage, calendar: Calendar) -> Iterator[_Found]:
    for match in _IN_SPAN.finditer(passage.folded):
        count = _count(match["n"] or match["n2"])
        unit = match["unit"] or match["unit2"]
        start = _anchor(match["anchor"] or "today", calendar)
        yield _Found(match.start(), match.end(), _ahead(start, count, unit))


def _count(word: str) -> int:
    if word.isdecimal():
        return int(word)
    return 2 if word.startswith("a couple") else NUMBER_WORDS.get(word, 1)


def _anchor(word: str, calendar: Calendar) -> date:
    last = word.split()[-1]
    if last in WEEKDAYS or last in SHORT_WEEKDAYS:
        return calendar.next_weekday(_weekday(last))
    return calendar.reference + timedelta(days=1 if last == "tomorrow" else 0)


def _ahead(start: date, count: int, unit: str) -> date | None:
    if unit[0] == "m":
        year, month = divmod(start.year * 12 + start.month - 1 + count, 12)
        return (
            _day(year, month + 1, min(start.day, 28))
            if start.day > 28
            else _day(year, month + 1, start.day)
        )
    return start + timedelta(days=count * (7 if unit[0] in "ws" else 1))


def _near_days(passage: Passage, calendar: Calendar) -> Iterator[_Found]:
    for match in _TODAY.finditer(passage.folded):
        offset = _OFFSETS.get(match["word"], 1)
        day = calendar.reference + timedelta(days=offset)
        yield _Found(match.start(), match.end(), day, past=offset < 0)


def _weekdays(passage: Passage, calendar: Calendar) -> Iterator[_Found]:
    for match in _ON_WEEKDAY.finditer(passage.folded):
        lead, day = match["lead"] or "", match["day"]
        if match["short"] and not (lead or match["rank"]) and not _time_follows(match):
            continue
        weekday = _weekday(match["long"] or match["short"])
        if day:
            yield _Found(match.start(), match.end(), calendar.next_of_month(int(day), weekday))
        elif match["weeks"]:
            yield _Found(match.start(), match.end(), None)
        else:
            yield _plain_weekday(match, lead, weekday, calendar)


def _time_follows(match: re.Match[str]) -> bool:
    return bool(_CLOCK.match(match.string, match.end()))


_CLOCK = re.compile(r",?\s(?:at\s|@\s?)?\d{1,2}(?::\d\d)?\s?(?:[ap]\.?m\b|-\s?\d)")


def _plain_weekday(match: re.Match[str], lead: str, weekday: int, calendar: Calendar) -> _Found:
    coming = calendar.next_weekday(weekday)
    if lead in ("last", "past", "pasado", "el pasado") or match["coming"] == " pasado":
        days_back = (calendar.reference.weekday() - weekday - 1) % 7 + 1
        day = calendar.reference - timedelta(days=days_back)
        return _Found(match.start(), match.end(), day, past=True)
    if lead == "next" and coming.isocalendar().week == calendar.reference.isocalendar().week:
        # Said on a Wednesday, "next friday" means the day after tomorrow to some and the week
        # after to most: read as the latter and confirmed.
        return _Found(match.start(), match.end(), coming + timedelta(days=7), unsure=True)
    if coming == calendar.reference and (lead.endswith(("next", "proximo")) or match["coming"]):
        coming += timedelta(days=7)
    return _Found(match.start(), match.end(), coming)


def _bare_days(passage: Passage, calendar: Calendar) -> Iterator[_Found]:
    for match in _BARE_DAY.finditer(passage.folded):
        day = calendar.next_of_month(int(match["day"] or match["dia"]))
        yield _Found(match.start(), match.end(), day)


def _named_days(passage: Passage, calendar: Calendar) -> Iterator[_Found]:
    words = passage.words()
    for hit in _NAMED.find(words):
        start, end = words[hit.first].start, words[hit.last].end
        following = words[hit.last + 1].text if hit.last + 1 < len(words) else ""
        name = holidays.NAMES[hit.value]
        if following == "weekend":
            yield _Found(start, words[hit.last + 1].end, None)
            continue
        if following in _OWN_NAME_AFTER and name not in _ON_THE_DAY:
            continue
        year = _YEAR_AFTER.match(passage.folded, end)
        if year:
            day = holidays.named_in(hit.value, int(year["year"]), calendar.locale)
            end = year.end()
        else:
            day = holidays.next_named(hit.value, calendar.reference, calendar.locale)
        yield _beside_holiday(passage.folded, start, end, day, calendar)


_YEAR_AFTER = re.compile(r",?\s(?:of\s|de\s|del\s)?(?P<year>20\d{2})\b")


def _beside_holiday(text: str, start: int, end: int, day: date, calendar: Calendar) -> _Found:
    beside = _BESIDE_HOLIDAY.search(text[max(0, start - 28) : start])
    if not beside:
        return _Found(start, end, day, past=day < calendar.reference, weak=True)
    step = 1 if beside["side"] == "after" else -1
    what = beside["what"]
    if what == "weekend":
        return _Found(start - len(beside.group()), end, None)
    day += timedelta(days=step)
    while what in WEEKDAYS and day.weekday() != WEEKDAYS[what]:
        day += timedelta(days=step)
    return _Found(start - len(beside.group()), end, day, past=day < calendar.reference)


def _vague(passage: Passage, _: Calendar) -> Iterator[_Found]:
    for match in _MONTH_ONLY.finditer(passage.folded):
        yield _Found(match.start(), match.end(), None)


# In this order: what is most certain takes its words first.
_READERS: tuple[Callable[[Passage, Calendar], Iterator[_Found]], ...] = (
    _numeric,
    _nth_weekdays,
    _by_month(_MONTH_DAY),
    _by_month(_DAY_MONTH),
    _named_days,
    _spans_of_time,
    _near_days,
    _weekdays,
    _bare_days,
    _vague,
)
