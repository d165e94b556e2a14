"""Days known by name, by rule: a library of all countries' holidays takes half a second to load.

The tests compare these rules with such a library. Names are folded.
"""

from calendar import monthrange
from collections.abc import Callable
from datetime import date, timedelta

Rule = Callable[[int], date]
_SUNDAY, _MONDAY, _THURSDAY = 6, 0, 3


def easter(year: int) -> date:
    """Western Easter Sunday by the anonymous Gregorian computus (Meeus, Astronomical Algorithms,
    chapter 8)."""
    a, (b, c) = year % 19, divmod(year, 100)
    d, e = divmod(b, 4)
    g = (b - (b + 8) // 25 + 1) // 3
    h = (19 * a + b - d - g + 15) % 30
    i, k = divmod(c, 4)
    ell = (32 + 2 * e + 2 * i - h - k) % 7
    m = (a + 11 * h + 22 * ell) // 451
    month, day = divmod(h + ell - 7 * m + 114, 31)
    return date(year, month, day + 1)


def nth_weekday(year: int, month: int, weekday: int, nth: int) -> date | None:
    """The nth such weekday of a month (1 is the first, -1 the last); None where there is none."""
    days = monthrange(year, month)[1]
    of_kind = [day for day in range(1, days + 1) if date(year, month, day).weekday() == weekday]
    position = nth if nth < 0 else nth - 1
    return date(year, month, of_kind[position]) if -1 <= position < len(of_kind) else None


def next_named(name: str, reference: date, locale: str) -> date:
    """The next day of that name on or after the reference date."""
    rule = _rule(name, locale)
    this_year = rule(reference.year)
    return this_year if this_year >= reference else rule(reference.year + 1)


def named_in(name: str, year: int, locale: str) -> date:
    return _rule(name, locale)(year)


def _rule(name: str, locale: str) -> Rule:
    if NAMES[name] == "mothers day" and locale.upper().endswith("MX"):
        return _fixed(5, 10)
    return _RULES[NAMES[name]]


def _fixed(month: int, day: int) -> Rule:
    return lambda year: date(year, month, day)


def _nth(month: int, weekday: int, nth: int) -> Rule:
    def rule(year: int) -> date:
        day = nth_weekday(year, month, weekday, nth)
        assert day is not None  # noqa: S101 - every rule below exists in every year
        return day

    return rule


def _from_easter(days: int) -> Rule:
    return lambda year: easter(year) + timedelta(days=days)


def _day_after_thanksgiving(year: int) -> date:
    return _nth(11, _THURSDAY, 4)(year) + timedelta(days=1)


_RULES: dict[str, Rule] = {
    "new years day": _fixed(1, 1),
    "epiphany": _fixed(1, 6),
    "valentines day": _fixed(2, 14),
    "st patricks day": _fixed(3, 17),
    "good friday": _from_easter(-2),
    "easter": _from_easter(0),
    "cinco de mayo": _fixed(5, 5),
    "mothers day": _nth(5, _SUNDAY, 2),
    "memorial day": _nth(5, _MONDAY, -1),
    "juneteenth": _fixed(6, 19),
    "fathers day": _nth(6, _SUNDAY, 3),
    "independence day": _fixed(7, 4),
    "labor day": _nth(9, _MONDAY, 1),
    "halloween": _fixed(10, 31),
    "day of the dead": _fixed(11, 2),
    "veterans day": _fixed(11, 11),
    "thanksgiving": _nth(11, _THURSDAY, 4),
    "black friday": _day_after_thanksgiving,
    "martin luther king day": _nth(1, _MONDAY, 3),
    "presidents day": _nth(2, _MONDAY, 3),
    "columbus day": _nth(10, _MONDAY, 2),
    "mardi gras": _from_easter(-47),
    "palm sunday": _from_easter(-7),
    "ash wednesday": _from_easter(-46),
    "holy thursday": _from_easter(-3),
    "easter monday": _from_easter(1),
    "super bowl": _nth(2, _SUNDAY, 2),
    "boxing day": _fixed(12, 26),
    "childrens day": _fixed(4, 30),
    "candlemas": _fixed(2, 2),
    "our lady of guadalupe": _fixed(12, 12),
    "christmas eve": _fixed(12, 24),
    "christmas": _fixed(12, 25),
    "new years eve": _fixed(12, 31),
}

NAMES = {
    **{name: name for name in _RULES},
    "thanksgiving day": "thanksgiving",
    "easter sunday": "easter",
    "christmas day": "christmas",
    "xmas": "christmas",
    "xmas day": "christmas",
    "xmas eve": "christmas eve",
    "nye": "new years eve",
    "new year eve": "new years eve",
    "valentines": "valentines day",
    "valentine day": "valentines day",
    "vday": "valentines day",
    "v day": "valentines day",
    "st patricks": "st patricks day",
    **{
        f"{saint} {name}": "st patricks day"
        for saint in ("st", "saint")
        for name in ("pattys day", "paddys day", "pattys", "paddys", "patrick day")
    },
    "super bowl sunday": "super bowl",
    "superbowl": "super bowl",
    "superbowl sunday": "super bowl",
    "lunes de pascua": "easter monday",
    "maundy thursday": "holy thursday",
    "jueves santo": "holy thursday",
    "miercoles de ceniza": "ash wednesday",
    "dia de la candelaria": "candlemas",
    "dia de la virgen de guadalupe": "our lady of guadalupe",
    "turkey day": "thanksgiving",
    "saint patricks day": "st patricks day",
    "fourth of july": "independence day",
    "4th of july": "independence day",
    "july fourth": "independence day",
    "labour day": "labor day",
    "mlk day": "martin luther king day",
    "mlk weekend": "martin luther king day",
    "president day": "presidents day",
    "indigenous peoples day": "columbus day",
    "fat tuesday": "mardi gras",
    "dia del nino": "childrens day",
    "domingo de ramos": "palm sunday",
    "domingo de resurreccion": "easter",
    "mother day": "mothers day",
    "father day": "fathers day",
    "dia de reyes": "epiphany",
    "san valentin": "valentines day",
    "dia de los enamorados": "valentines day",
    "dia del amor y la amistad": "valentines day",
    "viernes santo": "good friday",
    "domingo de pascua": "easter",
    "dia de las madres": "mothers day",
    "dia de la madre": "mothers day",
    "dia del padre": "fathers day",
    "dia de muertos": "day of the dead",
    "dia de los muertos": "day of the dead",
    "accion de gracias": "thanksgiving",
    "dia de accion de gracias": "thanksgiving",
    "nochebuena": "christmas eve",
    "navidad": "christmas",
    "nochevieja": "new years eve",
    "fin de ano": "new years eve",
    "ano nuevo": "new years eve",
}
