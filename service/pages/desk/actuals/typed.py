"""What is typed with a thumb: time, distance, numbers; and how it is written back in a field."""

import re

_MILE_M = 1609.344
_KM_M = 1000.0
_HOUR_MIN = 60

HOURS_HINT = "Write it like 1:30, 1.5 or 90 min."

# Bare numbers beyond it are meant as minutes by most, and would be hours.
_BARE_HOURS = 24

_NUMBER = r"[0-9]{1,4}(?:[.,][0-9]{1,2})?"
_TIMES = re.compile(r"([1-9][0-9]?)\s*[x×*]\s*(.+)")
_CLOCK = re.compile(r"([0-9]{1,3}):([0-5][0-9])")
_BARE = re.compile(rf"({_NUMBER})")
_WITH_UNIT = re.compile(
    rf"(?:({_NUMBER})\s*(?:h|hrs?|hours?))?\s*(?:({_NUMBER})\s*(?:m|mins?|minutes?)?)?"
)
_DISTANCE = re.compile(r"([0-9]{1,3}(?:,[0-9]{3})+|[0-9]{1,6})(\.[0-9]{1,2})?\s*([a-z]*)")
_UNITS_M = {"": _MILE_M, "mi": _MILE_M, "mile": _MILE_M, "miles": _MILE_M, "km": _KM_M}


class Unclear(Exception):
    """It could mean several things, or nothing; the text says how to write it."""


def read_hours(text: str) -> float:
    """Hours from "1:30", "1.5", "90 min", "1 h 30", "2 x 1:30" (two people), to the minute.

    Raises Unclear.
    """
    said = text.lower().strip()
    people = _TIMES.fullmatch(said)
    each = _hours(people[2].strip() if people else said)
    return (int(people[1]) if people else 1) * round(each * _HOUR_MIN) / _HOUR_MIN


def _hours(said: str) -> float:
    clock = _CLOCK.fullmatch(said)
    if clock:
        return int(clock[1]) + int(clock[2]) / _HOUR_MIN
    bare = _BARE.fullmatch(said)
    if bare:
        return _bare(said, _float(bare[1]))
    parts = _WITH_UNIT.fullmatch(said)
    if parts is None or not (parts[1] or parts[2]):
        raise Unclear(HOURS_HINT)
    return _float(parts[1] or "0") + _float(parts[2] or "0") / _HOUR_MIN


def _bare(said: str, hours: float) -> float:
    if hours > _BARE_HOURS:
        raise Unclear(f"Hours or minutes? Write {said} min, or {said} h.")
    return hours


def read_distance(text: str) -> float:
    """Metres from "24", "24.5 mi" or "38 km", to a hundredth of a mile; a bare number is miles.

    Raises Unclear.
    """
    found = _DISTANCE.fullmatch(text.lower().strip())
    if found is None or found[3] not in _UNITS_M:
        raise Unclear("Write the miles as a number, like 24 or 24.5.")
    metres = float(found[1].replace(",", "") + (found[2] or "")) * _UNITS_M[found[3]]
    return round(metres / _MILE_M, 2) * _MILE_M


def read_count(text: str) -> int:
    """A whole number such as 312 or 1,312. Raises Unclear."""
    if not re.fullmatch(r"[0-9]{1,3}(?:,[0-9]{3})+|[0-9]{1,9}", text):
        raise Unclear("Give a whole number.")
    return int(text.replace(",", ""))


def hours_typed(hours: float) -> str:
    """Hours as they would be typed: 1.5 is "1:30"."""
    whole, minutes = divmod(round(hours * _HOUR_MIN), _HOUR_MIN)
    return f"{whole}:{minutes:02d}"


def miles_typed(metres: float) -> str:
    """Miles as they would be typed: "24.5"."""
    return f"{metres / _MILE_M:.2f}".rstrip("0").rstrip(".")


def _float(digits: str) -> float:
    return float(digits.replace(",", "."))
