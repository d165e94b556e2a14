"""A brief in people's units: feet and inches, weekdays, dollars."""

import re
from collections.abc import Callable, Iterator, Sequence
from datetime import date, time
from decimal import Decimal
from fractions import Fraction
from itertools import groupby

from bot.dialogue.phrases import en, say
from bot.dialogue.state import Draft, Piece
from bot.dialogue.supports import METRES_PER_INCH, USUAL_SAG_OF_SPAN, missing_measures, sized

_SIGNS = {"USD": "$", "CAD": "CA$", "AUD": "A$", "EUR": "€", "GBP": "£"}
_WAYS = {"width_m": "wide", "height_m": "tall", "length_m": "long"}


def read_back(draft: Draft, *, currency: str) -> str:
    """The whole brief, one line for each thing, what is unknown said to be so."""
    pieces = (f"• {described(piece)}" for piece in draft.pieces)
    rest = (f"• {line}" for line in _lines(draft, currency))
    return "\n".join([say("readback.head"), *pieces, *rest, say("readback.tail")])


def _lines(draft: Draft, currency: str) -> Iterator[str]:
    yield say("readback.colours", value=listed(draft.colours) or say("open"))
    yield say("readback.date", value=_day(draft))
    yield say("readback.time", value=_times(draft))
    yield say("readback.where", value=_where(draft))
    if draft.occasion and draft.occasion not in en.NO_OCCASION:
        yield say("readback.occasion", value=occasion(draft.occasion))
    if draft.fullness:
        yield say("readback.fullness", value=en.FULLNESS.get(draft.fullness, draft.fullness))
    if draft.foils:
        yield say("readback.foils", value=foils(draft.foils))
    if draft.guests is not None:
        yield say("readback.guests", value=draft.guests)
    if draft.budget_min is not None or draft.budget_max is not None:
        yield say("readback.budget", value=_budget(draft, currency))


def occasion(name: str) -> str:
    """An occasion in words."""
    return en.OCCASIONS.get(name, name)


def foils(names: Sequence[str]) -> str:
    """Foil balloons; the digits of one number stand together, "50"."""
    runs = groupby(names, key=lambda name: len(name) == 1 and name.isdecimal())
    shown = (["".join(run)] if digits else list(run) for digits, run in runs)
    return ", ".join(name for run in shown for name in run)


def celebrated(draft: Draft, text: str) -> str:
    """What a client celebrates, in their own words where they are few, such as "your rowing club's
    50th", or "a wedding"."""
    own = re.search(en.CELEBRATED, text.lower())
    if own is not None:
        return say("your", value=own["what"])
    name = occasion(draft.occasion or "")
    return say("an" if name[:1].lower() in "aeiou" else "a", value=name)


def news(before: Draft, after: Draft, currency: str) -> str:
    """What `after` says of the event that `before` did not; the pieces and the words aside."""
    facts: dict[str, Callable[[Draft], str]] = {
        "event_date": _day,
        "event_month": _day,
        "start_time": _times,
        "setting": _where,
        "place": _where,
        "postal_code": _where,
        "colours": lambda draft: listed(draft.colours),
        "occasion": lambda draft: occasion(draft.occasion or ""),
        "guests": lambda draft: say("guests", value=draft.guests),
        "foils": lambda draft: foils(draft.foils),
        "fullness": lambda draft: en.FULLNESS.get(draft.fullness or "", ""),
        "budget_min": lambda draft: _budget(draft, currency),
        "budget_max": lambda draft: _budget(draft, currency),
    }
    told = (
        show(after)
        for name, show in facts.items()
        if getattr(after, name) and getattr(after, name) != getattr(before, name)
    )
    return "; ".join(dict.fromkeys(filter(None, told)))


def described(piece: Piece) -> str:
    """One piece with its count and size, such as "2 columns, 6 ft tall (a usual size)"."""
    parts = [named(piece)]
    if not missing_measures(piece):
        parts.append(size_of(piece))
    if piece.support == "swag" and piece.length_m is not None:
        parts.append(say("usual_dip", value=length(piece.length_m * USUAL_SAG_OF_SPAN)))
    if piece.support == "staircase" and piece.length_m is not None and piece.height_m is None:
        parts.append(say("usual_slope"))
    text = ", ".join(part for part in parts if part)
    text = text[0].upper() + text[1:]
    return f"{text} ({say('assumed')})" if piece.assumed else text


def named(piece: Piece) -> str:
    """What it is called, with its number where there are several."""
    one, many = en.SUPPORTS[piece.support or ""]
    if piece.uncounted:
        return many
    return one if piece.count == 1 else f"{piece.count} {many}"


def called(piece: Piece) -> str:
    """What it is called in a question about its size, where several are one kind of thing."""
    one, many = en.SUPPORTS[piece.support or ""]
    return many if piece.uncounted or piece.count > 1 else one


def size_of(piece: Piece) -> str:
    """The measures that are known, such as "4 ft wide × 7 ft tall"; a hoop's is across."""
    if piece.support == "staircase" and piece.width_m is not None and piece.height_m is not None:
        run, rise = length(piece.width_m), length(piece.height_m)
        return f"{say('along', value=run)} × {say('high', value=rise)}"
    known = [(n, getattr(piece, n)) for n in _WAYS if getattr(piece, n) is not None]
    ways = {**_WAYS, "width_m": "across"} if piece.support == "hoop" else _WAYS
    return " × ".join(say(ways[name], value=length(metres)) for name, metres in known)


def size_label(support: str, inches: Sequence[int]) -> str:
    """A size to choose, in the words of `size_of`."""
    return size_of(sized(Piece(support=support), tuple(inches)))


def length(metres: float) -> str:
    """Feet and inches to the nearest half inch, such as "6 ft 8 in" or "7 1/2 in"."""
    halves = round(metres / METRES_PER_INCH * 2)
    feet, rest = divmod(halves, 24)
    inches, half = divmod(rest, 2)
    parts = [f"{feet} ft"] if feet else []
    if rest or not feet:
        parts.append(f"{_mixed(inches, half)} in")
    return " ".join(parts)


def _mixed(whole: int, half: int) -> str:
    if not half:
        return str(whole)
    return f"{whole} {Fraction(1, 2)}" if whole else str(Fraction(1, 2))


def listed(names: Sequence[str]) -> str:
    """Names as a sentence lists them: "sage, cream and gold"; "" for none."""
    if len(names) < 2:
        return "".join(names)
    return f"{', '.join(names[:-1])} {en.AND} {names[-1]}"


def day(when: date) -> str:
    """A date with its weekday, which shows a mistaken date at a glance."""
    return en.DATE.format(
        weekday=en.WEEKDAYS[when.weekday()],
        month=en.MONTHS[when.month - 1],
        day=when.day,
        year=when.year,
    )


def _day(draft: Draft) -> str:
    if draft.event_date is not None:
        return day(draft.event_date)
    month = draft.event_month
    if month is None:
        return say("open")
    return say("month_open", month=en.MONTHS[month.month - 1], year=month.year)


def _times(draft: Draft) -> str:
    if draft.start_time is None:
        return say("open")
    if draft.end_time is None:
        return _clock(draft.start_time)
    return say("time_range", start=_clock(draft.start_time), end=_clock(draft.end_time))


def _clock(when: time) -> str:
    return en.clock(when.hour, when.minute)


def _where(draft: Draft) -> str:
    parts = [draft.place, draft.postal_code, say(draft.setting).lower() if draft.setting else None]
    return ", ".join(part for part in parts if part) or say("open")


def _budget(draft: Draft, currency: str) -> str:
    low, high = draft.budget_min, draft.budget_max
    if low is None or high is None:
        name = "budget.max" if low is None else "budget.min"
        return say(name, min=_money(low, currency), max=_money(high, currency))
    return say("budget.range", min=_money(low, currency), max=_money(high, currency))


def _money(amount: Decimal | None, currency: str) -> str:
    if amount is None:
        return ""
    places = 0 if amount == amount.to_integral_value() else 2
    return f"{_SIGNS.get(currency, currency + ' ')}{amount:,.{places}f}"
