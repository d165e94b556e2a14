"""The day of the event.

A day without a year is the next such day on or after the reference date. What leaves a choice open
("june 6 or 13", "this weekend", "june") gives no date and is reported as ambiguous. Days that are
not the event's ("quote by friday", "rsvp by may 1", "set up june 5") are set aside.
"""

import re
from dataclasses import dataclass, replace
from datetime import date
from itertools import pairwise

from bot.understanding.calendars import Calendar
from bot.understanding.day_readers import FULL, HINT, HOLIDAY, READERS, Found
from bot.understanding.day_words import MONTH, MONTH_ONLY
from bot.understanding.lexicon import MONTHS
from bot.understanding.passage import Passage, Span

__all__ = ["Calendar", "When", "month_alone", "month_beside", "when_in"]


@dataclass(frozen=True, slots=True)
class When:
    """What a passage says about the day."""

    day: date | None
    past: bool
    ambiguous: bool
    spans: tuple[Span, ...]
    spoken: bool = False  # a date in figures or a weekday, not only a holiday's name
    month: date | None = None  # the first of the month, where no day was said
    several: bool = False  # several days that are no run of days


_MONTH_NAME = re.compile(rf"(?<!\bwe )(?<!\bi )(?<!\bit )(?<!\bthey )\b(?:{MONTH})\b")
_ONE_MONTH = re.compile(
    rf"\W*(?:[a-z']+\s){{0,3}}?(?P<month>{MONTH})\b\.?(?:\s(?:i|we|think|sometime|some|time|maybe"
    rf"|please|probably|creo|quizas))*\W*"
)
_NOT_THE_EVENT = re.compile(
    r"(?:\b(?:by|before|until|till|due(?:\sdate(?:'?s|\sis)?)?|deadline(?: is)?|quote(?: me)?|"
    r"reply|answer|respond|"
    r"call(?: me)?|know|decide|order(?:ed)?|emailed|called|wrote|rsvp(?:s)?(?: by)?|"
    r"texted|messaged|asked|antes del?|responder|llamar|hasta)\s(?:you\s|the\s|on\s|it\s|el\s|"
    r"the quote\s)?)$"
)
# Days on which we work, not the client celebrates: the event's only where no other is said.
_OUR_DAY = re.compile(
    r"\b(?:set\s?-?up|setting up|deliver\w*|drop\s?-?off|install\w*|load[- ]?in|pick\s?-?up|"
    r"take\s?-?down|strike|rehearsal|montaje|montar|entrega\w*|instala\w*|recoger|desmontar|"
    r"ensayo)"
    r"\s(?:is\s|it\s|on\s|the\s|el\s|for\s|will be\s|es\s|sera\s|would be\s|day\s)*$"
)
_OUR_DAY_AFTER = re.compile(
    r"\s(?:to|for|para|es|is)\s(?:the\s|el\s|la\s)?(?:set\s?-?up|setting up|deliver\w*|"
    r"drop\s?-?off|install\w*|"
    r"load[- ]?in|rehears\w*|montaje|montar|instala\w*|entrega\w*|ensayo)\b"
)
_CELEBRATED = re.compile(
    r"\b(?:party|event|celebration|ceremony|fiesta|evento)\s(?:is\s|will be\s|on\s|"
    r"es\s|el\s|sera\s|now\s|now on\s)+(?:\w+day\s)?$"
)
_DONE = re.compile(
    r"\b(?:sent|paid|booked|talked|spoke|saw|ordered|emailed|mailed|called|wrote|got|received|"
    r"born|"
    r"deployed|married|met|moved|bought|engaged|since|delivered|nacio|desde|"
    r"pague|envie|mande|hable|compre)\b[^.;!?\n]{0,30}$"
)
_DELIVERED = re.compile(
    r"\b(?:delivered|brought|installed|came|arrived|trajeron|pusieron|"
    r"entregaron)\s(?:\w+\s){0,2}$"
)
# When they wrote or called: "the quote I asked for on monday".
_TOLD_ON = re.compile(
    r"\b(?:emailed|called|wrote|messaged|texted|ordered|asked|requested|spoke|talked|sent|"
    r"submitted|"
    r"pedi|pedimos|mande|mandamos|escribi|llame|hable|hablamos|envie|solicite)\s"
    r"(?:(?:on|el|last|for|about|you|u|it|this|desde|in|al|la|les|le|with|to|him|her|ustedes|"
    r"con)\s)"
    r"{0,3}(?<!\bfor\s)$|\b(?:me|us|lady|guy|girl|one|person|message|call|conversation|quote|"
    r"email) from\s$|"
    r"\b(?:soy|somos|yo|quote|message|call) (?:l[oa]s? |el |de )*$|\bsince\s(?:last\s)?$|"
    r"\b(?:like|as) (?:i|we) (?:said|told you|mentioned)\s$|"
    r"\b(?:como|lo que) (?:le |les |te )?(?:dije|dijimos|comente|platicamos|hablamos)\s$"
)
_NEEDED_BY = re.compile(
    r"\b(?:need|have|get|want|ready|done|delivered|garland|balloons|arch|hoop|columns?|it|them)"
    r"\s(?:\w+\s){0,2}(?:by|before|antes del?)\s(?:\w+\s)?$"
)
_OR_BETWEEN = re.compile(r"\s?,?\s?(?:or|or maybe|o|either|/)\s(?:maybe\s|on\s|the\s|el\s)?")
_TO_BETWEEN = re.compile(r"\s?(?:-|to|through|thru|al?|hasta|and|y|&)\s?(?:the\s|el\s)?")


def when_in(passage: Passage, calendar: Calendar) -> When:
    """The event's day, with every date masked."""
    found: list[Found] = []
    rest = passage
    for reader in READERS:
        new = list(reader(rest, calendar))
        found += new
        rest = rest.without((item.start, item.end) for item in new)
    found.sort(key=lambda item: item.start)
    spans = tuple((item.start, item.end) for item in found)
    when = _choose(found, passage.folded, spans)
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
    said = {found["month"] for found in MONTH_ONLY.finditer(passage.folded) if found["month"]}
    return calendar.next_month(MONTHS[said.pop()]) if len(said) == 1 else None


def _choose(found: list[Found], text: str, spans: tuple[Span, ...]) -> When:
    strong = _strongest(_of_event(found, text), text)
    if not strong:
        return When(None, False, False, spans)
    spoken = any(item.rank > HOLIDAY for item in strong)
    open_ended = [item for item in strong if item.day is None]
    dated = [item for item in strong if item.day is not None]
    days = {item.day for item in dated}
    if not dated or (len(days) > 1 and not _run_of_days(dated, text)):
        past = bool(dated) and all(item.past for item in dated)
        several = len(days) > 1 and not _alternatives(dated, text)
        return When(None, past, True, spans, spoken, several=several)
    first = dated[0]
    return When(first.day, first.past, first.unsure or bool(open_ended), spans, spoken)


def _of_event(found: list[Found], text: str) -> list[Found]:
    """The days that may be the event's: not those of quotes and of our own work."""
    event = [item for item in found if not _set_aside(item, text)]
    celebrated = [item for item in event if not _is_ours(item, text)]
    named = [item for item in celebrated if _CELEBRATED.search(_before(item, text))]
    if named or celebrated or event:
        return named or celebrated or event
    # "need it by friday": the only day there is
    return [item for item in found if _NEEDED_BY.search(_before(item, text))]


def _is_ours(item: Found, text: str) -> bool:
    after = _OUR_DAY_AFTER.match(text, item.end)
    return bool(_OUR_DAY.search(_before(item, text)) or after)


def _before(item: Found, text: str) -> str:
    return text[max(0, item.start - 40) : item.start]


def _set_aside(item: Found, text: str) -> bool:
    before = _before(item, text)
    done = item.past and _DONE.search(before)
    told = _TOLD_ON.search(before) or _DELIVERED.search(before)
    return bool(_NOT_THE_EVENT.search(before) or done or told)


def _strongest(event: list[Found], text: str) -> list[Found]:
    """A full date before a weekday or a bare day, both before a holiday's name; what is to come
    before what is past; two that are joined by "or" stay both."""
    certain = [item for item in event if item.rank > HINT]
    if not certain:
        return []
    coming = [item for item in certain if not item.past] or certain
    if not any(item.day for item in coming):
        coming = certain
    highest = max(item.rank for item in coming)
    chosen = [item for item in coming if item.rank == highest]
    if highest < FULL:
        chosen = _on_the_holiday(event, chosen) or chosen
    either = [
        item
        for item in coming
        if item.rank < highest
        and item.day
        and any(_OR_BETWEEN.fullmatch(_between(item, other, text)) for other in chosen)
    ]
    return sorted(chosen + either, key=lambda item: item.start)


def _on_the_holiday(event: list[Found], chosen: list[Found]) -> list[Found]:
    """In "halloween, the 31st" and "mother's day brunch on sunday" the name says which."""
    loose = [item.day for item in chosen if item.day and item.rank > HOLIDAY]

    def agrees(named: Found, day: date) -> bool:
        if named.day is None:
            return False
        same_weekday = named.rank == HOLIDAY and named.day.weekday() == day.weekday()
        return same_weekday or named.day.day == day.day

    named = [item for item in event if item.rank <= HOLIDAY]
    return [item for item in named if loose and all(agrees(item, day) for day in loose)]


def _between(first: Found, second: Found, text: str) -> str:
    earlier, later = sorted((first, second), key=lambda item: item.start)
    return text[earlier.end : later.start]


def _alternatives(items: list[Found], text: str) -> bool:
    return any(
        _OR_BETWEEN.fullmatch(_between(first, second, text)) for first, second in pairwise(items)
    )


def _run_of_days(items: list[Found], text: str) -> bool:
    """ "june 6 to june 8": one event of several days, which begins on the first."""
    return len(items) == 2 and bool(_TO_BETWEEN.fullmatch(text[items[0].end : items[1].start]))
