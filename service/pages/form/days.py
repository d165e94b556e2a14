"""Reading days and times of day as people here write them."""

import re
from datetime import date, datetime, time, timedelta

from service.leads.speech import msg
from service.pages.posted import Posted, Refusals

_FARTHEST = timedelta(days=3 * 366)
_YEARS = range(2000, 3000)


def read_day(text: str) -> date:
    """A day as browsers send it (2027-06-06) or as people here write it (6/6/2027)."""
    if re.fullmatch(r"[0-9]{4}-[0-9]{2}-[0-9]{2}", text):
        return date.fromisoformat(text)
    written = re.fullmatch(r"([0-9]{1,2})[/.-]([0-9]{1,2})[/.-]([0-9]{4})", text)
    if written is None:
        raise ValueError(text)
    month, day, year = (int(part) for part in written.groups())
    return date(year, month, day)


def day_in(text: str) -> date | None:
    """The day that `read_day` finds; None for any other text, and for the ends of the calendar.

    Those cannot be moved between zones.
    """
    try:
        day = read_day(text)
    except ValueError:
        return None
    return day if day.year in _YEARS else None


def moment_in(text: str) -> datetime | None:
    """The moment of an ISO time with its zone, as our own pages write it; otherwise as `day_in`."""
    try:
        moment = datetime.fromisoformat(text)
    except ValueError:
        return None
    return moment if moment.tzinfo is not None and moment.year in _YEARS else None


def day_of_event(sent: Posted, refusals: Refusals, today: date) -> date | None:
    """The day from the field `date`, None where it is empty or refused."""
    text = sent.text("date")
    if not text:
        return None
    try:
        day = read_day(text)
    except ValueError:
        example = today + timedelta(days=60)
        hint = msg("Write the day as month/day/year, such as %(example)s.")
        refusals.refuse("date", hint, example=f"{example:%m/%d/%Y}")
        return None
    said = refusals.words.day(day)
    if day < today:
        refusals.refuse("date", msg("%(day)s has already gone by. Which day is it?"), day=said)
    elif day > today + _FARTHEST:
        text = msg("%(day)s is further ahead than we plan. Please check the year.")
        refusals.refuse("date", text, day=said)
    return day


def start_of_event(sent: Posted, refusals: Refusals) -> time | None:
    """The time from the field `time`, None where it is empty or refused."""
    return time_of_day(sent, "time", refusals)


def time_of_day(sent: Posted, field: str, refusals: Refusals) -> time | None:
    """The time of day from a field, None where it is empty or refused."""
    text = sent.text(field)
    try:
        return read_time(text) if text else None
    except ValueError:
        refusals.refuse(field, msg("Write the time like %(example)s."), example=_example(refusals))
        return None


def read_time(text: str) -> time:
    """A time of day as people here write it: "3 pm", "3:30 p.m.", "15:30". Raises ValueError."""
    plain = " ".join(text.lower().replace(".", "").replace("\u00a0", " ").split())
    plain = re.sub(r"\b([ap]) m\b", r"\1m", plain)
    for pattern in ("%H:%M", "%H:%M:%S", "%I:%M %p", "%I:%M%p", "%I %p", "%I%p"):
        try:
            # Only the time of day is wanted, which has no zone of its own.
            return datetime.strptime(plain, pattern).time()  # noqa: DTZ007
        except ValueError:
            continue
    raise ValueError(text)


def _example(refusals: Refusals) -> str:
    return refusals.words.clock(time(15))
