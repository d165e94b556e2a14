"""Readers of days: each takes the words it understands, the most certain first.

A day without a year is the next such day on or after the reference date; what leaves a choice open
gives no day.
"""

import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import date, timedelta

from bot.understanding import day_words as written
from bot.understanding import holidays
from bot.understanding.calendars import Calendar, day_of
from bot.understanding.lexicon import MONTHS, NUMBER_WORDS, ORDINALS, WEEKDAYS
from bot.understanding.lexicon.wordlist import listed
from bot.understanding.passage import TAKEN, Passage, Phrases

HINT, HOLIDAY, LOOSE, FULL = range(4)  # how surely a day is the event's


@dataclass(frozen=True, slots=True)
class Found:
    start: int
    end: int
    day: date | None
    past: bool = False
    rank: int = LOOSE  # the highest rank said is the event's
    unsure: bool = False  # read one way, but worth confirming


Reader = Callable[[Passage, Calendar], Iterator[Found]]

_WEEKDAY_BEFORE = re.compile(
    rf"\b(?:on\s|this\s|next\s|el\s|"
    rf"este\s)?(?P<day>{written.ANY_WEEKDAY})\b\.?,?\s{{0,2}}(?:the\s|el\s|"
    rf"dia\s)?$"
)
_WEEKDAY_AFTER = re.compile(
    rf",?\s\(?(?P<day>{written.ANY_WEEKDAY})\b\)?(?!\s(?:the\s)?\d|\s(?:before|after)\b)"
)
_WEEK_OF = re.compile(r"(?<!fin de )\b(?:week|semana)\s(?:of|del?)\s(?:the\s)?$")
_CLOCK = re.compile(r",?\s(?:at\s|@\s?)?\d{1,2}(?::\d\d)?\s?(?:[ap]\.?m\b|-\s?\d)|\s(?:at|@)\s")
_STANDS_ALONE = re.compile(rf"\s?(?:$|[,.;!?\n)/{TAKEN}-]|(?:at|from|the|night|morning|evening)\b)")
_SPOKEN_OF = re.compile(
    r"(?:^|[,.;!?\n(/-]|\b(?:party|bday|birthday|wedding|shower|event|is|its|it's|for|due|this|"
    r"needed|"
    r"grad|prom|gala|opening|anniversary|communion|baptism|reunion|cumple|boda|fiesta|es|on|"
    r"every))\s?$"
)
_YEAR_AFTER = re.compile(r",?\s(?:of\s|de\s|del\s)?(?P<year>20\d{2})\b")
_WISHED = re.compile(r"\b(?:happy|merry|feliz|felices)\s$")
_NAMED = Phrases({name: name for name in holidays.NAMES})
# "a christmas party" is on any day of the season; a Thanksgiving dinner is on the day.
_PARTY_AFTER = listed(
    """
    party parties dance event themed theme market parade social bash costume costumes
    festival decor decorations colors colours photos card cards mood vibe vibes style tree
    fiesta bazaar lights pageant play concert fair sale shopping season
    """
)
_NOT_ON_THE_DAY = frozenset(
    {
        *("christmas", "halloween", "valentines day", "st patricks day", "easter"),
        *("day of the dead", "new years day", "thanksgiving", "epiphany"),
        "black friday",
    }
)
_BESIDE_HOLIDAY = re.compile(
    rf"\b(?:the\s|el\s)?(?P<what>day|night|weekend|dia|noche|{written.ANY_WEEKDAY})\s"
    r"(?P<side>before|after|antes\sdel?|despues\sdel?)\s(?:the\s|la\s|el\s)?$"
)


def _year_of(match: re.Match[str], calendar: Calendar) -> int | None:
    groups = match.groupdict()
    if groups.get("next"):
        return calendar.reference.year + 1
    year = groups.get("year")
    if not year:
        return None
    digits = year.lstrip("'")
    return int(digits) + (2000 if len(digits) == 2 else 0)


def _resolved(match: re.Match[str], month: int, day: int, calendar: Calendar) -> Found:
    year = _year_of(match, calendar)
    if year is None:
        return Found(match.start(), match.end(), calendar.next_day(month, day), rank=FULL)
    found = day_of(year, month, day)
    past = found is not None and found < calendar.reference
    return Found(match.start(), match.end(), found, past, FULL)


def _by_month(pattern: re.Pattern[str]) -> Reader:
    def read(passage: Passage, calendar: Calendar) -> Iterator[Found]:
        for match in pattern.finditer(passage.folded):
            day = int(match["day"]) if match["day"] else written.ordinal(match["word"])
            found = _resolved(match, MONTHS[match["month"]], day, calendar)
            if match["other"] and match["join"].strip() in ("or", "/", "o"):
                found = Found(match.start(), match.end(), None, rank=FULL)
            yield _beside_weekday(found, passage.folded)

    return read


def _beside_weekday(found: Found, text: str) -> Found:
    """Takes a weekday beside the date into its span; one that contradicts it leaves no date."""
    if _WEEK_OF.search(text[max(0, found.start - 26) : found.start]):
        return Found(found.start, found.end, None, rank=FULL)
    before = _WEEKDAY_BEFORE.search(text[max(0, found.start - 24) : found.start])
    after = _WEEKDAY_AFTER.match(text, found.end)
    start = found.start - len(before.group()) if before else found.start
    end = after.end() if after else found.end
    said = before["day"] if before else after["day"] if after else None
    agrees = said is None or found.day is None or found.day.weekday() == written.weekday(said)
    return Found(start, end, found.day if agrees else None, found.past, found.rank)


def _numeric(passage: Passage, calendar: Calendar) -> Iterator[Found]:
    text = passage.folded
    for match in written.ISO.finditer(text):
        found = _resolved(match, int(match["month"]), int(match["day"]), calendar)
        yield _beside_weekday(found, text)
    for match in written.IN_SIGNS.finditer(text):
        month, day = match["month"] or match["month2"], match["day"] or match["day2"]
        yield _resolved(match, int(month), int(day), calendar)
    for match in written.NUMERIC.finditer(text):
        if (match["sep"] != "/" and not match["year"]) or match.group() == "24/7":
            continue
        first, second = int(match["a"]), int(match["b"])
        month, day = (second, first) if calendar.day_first else (first, second)
        if month > 12:  # "13/6" can only be read one way
            month, day = day, month
        if 1 <= month <= 12 and 1 <= day <= 31:
            yield _beside_weekday(_resolved(match, month, day, calendar), text)


def _of_month(match: re.Match[str], nth: int, weekday: int | None, calendar: Calendar) -> Found:
    """The nth such weekday of a month, or its last day."""
    month, said = MONTHS[match["month"]], _year_of(match, calendar)
    years = [said] if said else [calendar.reference.year, calendar.reference.year + 1]
    if weekday is None:
        days = [day_of(year, month, last) for year in years for last in (31, 30, 29, 28)]
    else:
        days = [holidays.nth_weekday(year, month, weekday, nth) for year in years]
    coming = [day for day in days if day and (said or day >= calendar.reference)]
    day = coming[0] if coming else None
    past = day is not None and day < calendar.reference
    return Found(match.start(), match.end(), day, past, FULL)


def _nth_weekdays(passage: Passage, calendar: Calendar) -> Iterator[Found]:
    for match in written.NTH_WEEKDAY.finditer(passage.folded):
        weekday = written.weekday(match["weekday"])
        yield _of_month(match, _nth(match["nth"]), weekday, calendar)
    for match in written.LAST_OF_MONTH.finditer(passage.folded):
        yield _of_month(match, -1, None, calendar)


def _nth(word: str) -> int:
    if word in ("last", "final", "ultimo"):
        return -1
    return ORDINALS[word] if word in ORDINALS else int(word[0])


def _spans_of_time(passage: Passage, calendar: Calendar) -> Iterator[Found]:
    for match in written.IN_SPAN.finditer(passage.folded):
        start = _anchor(
            match["anchor"] or match["anchor2"] or match["anchor3"] or "today", calendar
        )
        if match["eight"] or match["fortnight"]:  # "de hoy en ocho" counts today
            weeks = 1 if match["eight"] in ("ocho", "8") else 2
            yield Found(match.start(), match.end(), start + timedelta(weeks=weeks), rank=FULL)
            continue
        count = _count(match["n"] or match["n2"])
        day = _ahead(start, count, match["unit"] or match["unit2"], calendar)
        yield Found(match.start(), match.end(), day)


def _count(word: str) -> int:
    if word.isdecimal():
        return int(word)
    return 2 if "couple" in word or "par" in word else NUMBER_WORDS.get(word, 1)


def _anchor(word: str, calendar: Calendar) -> date:
    last = word.split()[-1]
    if last in WEEKDAYS or last in written.SHORT_WEEKDAYS:
        return calendar.next_weekday(written.weekday(last))
    return calendar.reference + timedelta(days=last in ("tomorrow", "manana"))


def _ahead(start: date, count: int, unit: str, calendar: Calendar) -> date | None:
    if unit[0] == "m":
        return calendar.day_in(start, count, start.day) or calendar.day_in(start, count, 28)
    if unit.startswith("fort"):
        return start + timedelta(weeks=2 * count)
    return start + timedelta(days=count * (7 if unit[0] in "ws" else 1))


def _near_days(passage: Passage, calendar: Calendar) -> Iterator[Found]:
    for match in written.TODAY.finditer(passage.folded):
        offset = written.OFFSETS.get(match["word"], 1)
        day = calendar.reference + timedelta(days=offset)
        yield Found(match.start(), match.end(), day, past=offset < 0)


def _weekdays_of_next_week(passage: Passage, calendar: Calendar) -> Iterator[Found]:
    for match in written.NEXT_WEEK.finditer(passage.folded):
        day = calendar.weekday_of_next_week(written.weekday(match["day"] or match["day2"]))
        yield Found(match.start(), match.end(), day)


def _weekdays(passage: Passage, calendar: Calendar) -> Iterator[Found]:
    for match in written.ON_WEEKDAY.finditer(passage.folded):
        lead, day = match["lead"] or "", match["day"]
        if match["short"] and not (lead or day) and not _is_day(match):
            continue
        weekday = written.weekday(match["long"] or match["short"])
        if day:
            yield Found(match.start(), match.end(), calendar.next_of_month(int(day), weekday))
        elif match["weeks"]:
            yield Found(match.start(), match.end(), None)
        else:
            yield _plain_weekday(match, lead, weekday, calendar)


def _is_day(match: re.Match[str]) -> bool:
    """Is a short word a weekday: "bday sat, arch", "sat 3pm"; not "we sat down"?"""
    text = match.string
    if _CLOCK.match(text, match.end()):
        return True
    before = text[max(0, match.start() - 14) : match.start()]
    return bool(_STANDS_ALONE.match(text, match.end()) and _SPOKEN_OF.search(before))


def _plain_weekday(match: re.Match[str], lead: str, weekday: int, calendar: Calendar) -> Found:
    coming = calendar.next_weekday(weekday)
    if lead in ("last", "past", "pasado", "el pasado") or match["coming"] == " pasado":
        days_back = (calendar.reference.weekday() - weekday - 1) % 7 + 1
        day = calendar.reference - timedelta(days=days_back)
        return Found(match.start(), match.end(), day, past=True)
    if lead == "next" and coming.isocalendar().week == calendar.reference.isocalendar().week:
        # Said on a Wednesday, "next friday" means the day after tomorrow to some and the week
        # after to most: read as the latter and confirmed.
        return Found(match.start(), match.end(), coming + timedelta(days=7), unsure=True)
    if coming == calendar.reference and (lead.endswith(("next", "proximo")) or match["coming"]):
        coming += timedelta(days=7)
    return Found(match.start(), match.end(), coming)


def _bare_days(passage: Passage, calendar: Calendar) -> Iterator[Found]:
    for match in written.NEXT_MONTHS_DAY.finditer(passage.folded):
        day = calendar.in_next_month(int(match["day"] or match["day2"]))
        yield Found(match.start(), match.end(), day, rank=FULL)
    for match in written.BARE_DAY.finditer(passage.folded):
        said = match["day"] or match["dia"]
        number = int(said) if said else written.ordinal(match["word"])
        yield Found(match.start(), match.end(), calendar.next_of_month(number))


def _named_days(passage: Passage, calendar: Calendar) -> Iterator[Found]:
    words = passage.words()
    for hit in _NAMED.find(words):
        start, end = words[hit.first].start, words[hit.last].end
        if _WISHED.search(passage.folded[max(0, start - 8) : start]):
            continue  # "happy thanksgiving!" greets, and names no day
        following = words[hit.last + 1].text if hit.last + 1 < len(words) else ""
        if following == "weekend":
            yield Found(start, words[hit.last + 1].end, None, rank=HOLIDAY)
            continue
        if following in _PARTY_AFTER and holidays.NAMES[hit.value] in _NOT_ON_THE_DAY:
            day = holidays.next_named(hit.value, calendar.reference, calendar.locale)
            yield Found(start, end, day, rank=HINT)
            continue
        year = _YEAR_AFTER.match(passage.folded, end)
        if year:
            day = holidays.named_in(hit.value, int(year["year"]), calendar.locale)
            end = year.end()
        else:
            day = holidays.next_named(hit.value, calendar.reference, calendar.locale)
        yield _beside_holiday(passage.folded, start, end, day, calendar)


def _beside_holiday(text: str, start: int, end: int, day: date, calendar: Calendar) -> Found:
    beside = _BESIDE_HOLIDAY.search(text[max(0, start - 28) : start])
    if not beside:
        return Found(start, end, day, past=day < calendar.reference, rank=HOLIDAY)
    step = 1 if beside["side"].startswith(("after", "despues")) else -1
    what = beside["what"]
    if what == "weekend":
        return Found(start - len(beside.group()), end, None)
    day += timedelta(days=step)
    named = what not in ("day", "night", "dia", "noche")
    while named and day.weekday() != written.weekday(what):
        day += timedelta(days=step)
    return Found(start - len(beside.group()), end, day, past=day < calendar.reference)


def _vague(passage: Passage, _: Calendar) -> Iterator[Found]:
    for match in written.MONTH_ONLY.finditer(passage.folded):
        yield Found(match.start(), match.end(), None)


# In this order: what is most certain takes its words first.
READERS: tuple[Reader, ...] = (
    _numeric,
    _nth_weekdays,
    _by_month(written.MONTH_DAY),
    _by_month(written.DAY_MONTH),
    _named_days,
    _spans_of_time,
    _weekdays_of_next_week,
    _near_days,
    _weekdays,
    _bare_days,
    _vague,
)
