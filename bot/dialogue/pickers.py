"""Keyboards to pick a day, a size or an hour from: buttons in rows, at most seven side by side.

A cell that only shows something, such as a weekday's name, is "still": pressing it does nothing.
"""

from calendar import Calendar
from collections.abc import Iterable, Mapping
from dataclasses import replace
from datetime import date, time

from babel.dates import get_day_names, get_month_names

from bot.dialogue import values
from bot.dialogue.messages import Button
from bot.dialogue.phrases import Phrases
from bot.dialogue.supports import METRES_PER_INCH, SUPPORTS

MONTHS_AHEAD = 24
# Telegram takes no empty label.
_BLANK = "·"

_STEPS = (-12, -1, 1, 12)
# From the smallest to the largest that a button steps to, in inches; what the client typed may lie
# beyond. Common practice, no source.
_BOUNDS: Mapping[str, Mapping[str, tuple[int, int]]] = {
    "round_top_frame": {"width_m": (24, 120), "height_m": (48, 120)},
    "square_frame": {"width_m": (24, 192), "height_m": (36, 120)},
    "hoop": {"width_m": (24, 144)},
    "wall": {"length_m": (24, 600)},
    "doorway": {"width_m": (24, 240), "height_m": (60, 180)},
    "staircase": {"length_m": (36, 480)},
    "mantel": {"length_m": (24, 180)},
    "table": {"length_m": (24, 480)},
    "ceiling": {"length_m": (36, 720)},
    "freestanding_arch": {"width_m": (48, 360), "height_m": (60, 180)},
    "swag": {"length_m": (36, 600)},
    "column": {"height_m": (36, 144)},
}
_WAYS = {"width_m": "wide", "height_m": "tall", "length_m": "long"}

_HOURS = range(9, 21)
_HOURS_IN_ROW = 3


def calendar(number: int, month: date, *, today: date, phrases: Phrases) -> tuple[Button, ...]:
    """The weeks of `month` that are not over, with pages as far as two years ahead.

    A month outside of that is taken as the nearest one inside.
    """
    locale = phrases.locale
    shown = _month_at(min(max(_months(month), _months(today)), _months(today) + MONTHS_AHEAD))
    weeks = Calendar(locale.first_week_day).monthdatescalendar(shown.year, shown.month)
    names = get_day_names("short", "stand-alone", locale)
    heads = [_still(names[day.weekday()].capitalize()) for day in weeks[0]]
    rows = [[_day(number, day, shown, today) for day in week] for week in weeks]
    open_rows = [row for row in rows if any(button.value != values.STILL for button in row)]
    return _rows((_pages(number, shown, today, phrases), heads, *open_rows))


def _pages(number: int, shown: date, today: date, phrases: Phrases) -> tuple[Button, ...]:
    """The month before, the one that is shown, and the one after."""
    before, after = (_page(number, _months(shown) + step, today, phrases) for step in (-1, 1))
    return (
        _labelled(before, f"‹ {before.label}"),
        _still(_capital(phrases.month(shown))),
        _labelled(after, f"{after.label} ›"),
    )


def _page(number: int, months: int, today: date, phrases: Phrases) -> Button:
    if not 0 <= months - _months(today) <= MONTHS_AHEAD:
        return _still(_BLANK)
    month = _month_at(months)
    names = get_month_names("abbreviated", "stand-alone", phrases.locale)
    return Button(label=_capital(names[month.month]), value=values.month(number, month))


def _labelled(button: Button, label: str) -> Button:
    return button if button.value == values.STILL else replace(button, label=label)


def _day(number: int, day: date, shown: date, today: date) -> Button:
    if day < today or (day.year, day.month) != (shown.year, shown.month):
        return _still(_BLANK)
    return Button(label=str(day.day), value=values.day(number, day))


def _months(day: date) -> int:
    return day.year * 12 + day.month - 1


def _month_at(months: int) -> date:
    return date(months // 12, months % 12 + 1, 1)


def _capital(text: str) -> str:
    """Spanish writes months small, which looks wrong at the head of a page."""
    return text[:1].upper() + text[1:]


def stepper(
    number: int, piece: int, support: str, inches: tuple[int, ...], *, phrases: Phrases
) -> tuple[Button, ...]:
    """A size to step by feet and inches, and to take. `inches` follow the support's measures.

    Each measure has its size over its steps: beside them it would be cut off on a telephone.
    """
    measures = SUPPORTS[support].measures
    shown = [
        phrases.say(_way(support, name), value=phrases.length(size * METRES_PER_INCH))
        for name, size in zip(measures, inches, strict=True)
    ]
    take = Button(
        label=phrases.say("take_size", size=" × ".join(shown)),
        value=values.size(number, piece, support, inches),
    )
    rows: list[Iterable[Button]] = []
    for index, name in enumerate(measures):
        steps = [_stepped(inches, index, step, _BOUNDS[support][name]) for step in _STEPS]
        rows.append((_still(shown[index]),))
        rows.append(
            _step(number, piece, step, None if size == inches else size, phrases)
            for step, size in zip(_STEPS, steps, strict=True)
        )
    return _rows((*rows, (take,)))


def _way(support: str, measure: str) -> str:
    return "across" if support == "hoop" else _WAYS[measure]


def _stepped(
    inches: tuple[int, ...], index: int, step: int, bounds: tuple[int, int]
) -> tuple[int, ...]:
    """`inches` with one of them stepped, yet never further out of bounds than it is."""
    size = inches[index]
    low, high = min(bounds[0], size), max(bounds[1], size)
    return (*inches[:index], min(max(size + step, low), high), *inches[index + 1 :])


def _step(
    number: int, piece: int, step: int, size: tuple[int, ...] | None, phrases: Phrases
) -> Button:
    """A step to `size`; still where it leads nowhere."""
    sign = "−" if step < 0 else "+"
    label = f"{sign} {phrases.length(abs(step) * METRES_PER_INCH)}"
    return (
        _still(label)
        if size is None
        else Button(label=label, value=values.stepped(number, piece, size))
    )


def hours(number: int, *, phrases: Phrases) -> tuple[Button, ...]:
    """Usual hours for an event to begin."""
    buttons = [
        Button(label=phrases.clock(time(hour)), value=values.hour(number, time(hour)))
        for hour in _HOURS
    ]
    return _rows(
        buttons[start : start + _HOURS_IN_ROW] for start in range(0, len(buttons), _HOURS_IN_ROW)
    )


def _still(label: str) -> Button:
    return Button(label=label, value=values.STILL)


def _rows(rows: Iterable[Iterable[Button]]) -> tuple[Button, ...]:
    return tuple(replace(button, row=row) for row, buttons in enumerate(rows) for button in buttons)
