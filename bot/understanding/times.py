"""When the event begins and ends, never when the set-up does.

Without "am" or "pm" an hour from 1 to 7 is read as afternoon and 10 to 12 as written, and the slot
is reported as ambiguous so that it is confirmed; 8 and 9 alone stay open.
"""

import re
from dataclasses import dataclass, replace
from datetime import time

from bot.understanding import clock_words as written
from bot.understanding.lexicon import NUMBER_WORDS
from bot.understanding.passage import TAKEN, Passage, Span


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


def hours_in(passage: Passage, *, asked: bool = False) -> Hours:
    """The event's hours, with every time of day masked.

    With `asked`, a bare figure ("3") counts as an hour.
    """
    start: time | None = None
    end: time | None = None
    ambiguous = False
    spans: list[Span] = []
    cued = False
    lasts = written.LASTS.search(passage.folded)
    if lasts:
        passage = passage.without([lasts.span()])
    for match in written.TIME.finditer(passage.folded):
        first, second = _clock_of(match, "a"), _clock_of(match, "b")
        second = None if _are_two(match) else second
        if first is None or not _counts(match, first, second, asked):
            continue
        spans.append((match.start(), match.end()))
        before = _before(passage.folded, match, spans)
        if _is_ours(before, passage.folded):
            continue
        if not cued and (
            written.EVENT.search(before) or _after_mass(before, passage.folded[: match.start()])
        ):
            start, cued = None, True  # "mass at 11, party at 1": the party is the event
        if second:
            unsettled = start is None and _open_range(first, second)
            start, end = (start, end) if start else _range(first, second)
        elif end is None and written.END.search(before):
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
    if written.OPENS.search(before) and written.OPENING.search(text):
        return False
    celebrated = written.OF_EVENT.search(before) or written.ENDS.search(before)
    return bool(written.SETUP.search(before)) and not celebrated


def _after_mass(before: str, told: str) -> bool:
    """ "Mass at 11, lunch from 1 to 4": the lunch is what is decorated."""
    return bool(written.MEAL.search(before) and written.MASS.search(told))


def _are_two(match: re.Match[str]) -> bool:
    """ "Services at 5 and 7" are two beginnings; "between 5 and 7" is one event."""
    joined = re.search(r"\s(?:and|y)\s", match.group())
    return bool(joined) and not _leads((match["lead"] or "").strip(), written.FROM)


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
        return _Clock(written.NAMED_HOURS[named], 0, "named", True)
    hour_text = match[f"{side}hour"] or match[f"{side}word"]
    if hour_text is None:
        return None
    hour = NUMBER_WORDS[hour_text] if hour_text in NUMBER_WORDS else int(hour_text)
    spelt = written.SPELT_MINUTES.get(match[f"{side}spelt"] or "", 0)
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
            after_date
            or _leads(lead, written.RANGE_LEADS)
            or _names_event(match)
            or _stands_alone(match)
        )
        return 1 <= first.hour <= 12 and led
    spoken = _leads(lead, written.STRONG_LEADS) or (
        after_date and lead in ("around", "about", "like")
    )
    return spoken and 1 <= first.hour <= 12


def _names_event(match: re.Match[str]) -> bool:
    """ "Baby shower 2-5": a range right after the event's name."""
    return bool(written.EVENT_NAME.search(match.string[max(0, match.start() - 16) : match.start()]))


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
    elif first.half is None and second.half == "named" and first.hour <= (7 if second.hour else 11):
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
    late, early = written.LATE.search(text), written.EARLY.search(text)
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
