"""What is typed with a thumb: time, distance, numbers; and how it is written back in a field."""

import re

_MILE_M = 1609.344
_KM_M = 1000.0
_HOUR_MIN = 60

HOURS_HINT = "Write it like 1:30, 1.5, ½ h or 90 min."

# A bare whole number from here on is meant as minutes by many, and would be hours.
_BARE_HOURS = 10

_MOST_BARE = 24

_NUMBER = r"[0-9]{1,4}(?:[.,][0-9]{1,2})?"
_TIMES = re.compile(r"([1-9][0-9]?)\s*[x×*]\s*(.+)")
_CLOCK = re.compile(r"([0-9]{1,3}):([0-5][0-9])\s*(?:h|hrs?|hours?)?\.?")
_BARE = re.compile(rf"({_NUMBER})")
# 1.30 is 1:30 to some and 1.3 to others.
_PERHAPS_CLOCK = re.compile(r"([0-9]{1,3})[.,](1[05]|[234]0|45)")
_WITH_UNIT = re.compile(
    rf"(?:({_NUMBER})\s*(?:h|hrs?|hours?)\.?)?"
    rf"\s*(?:({_NUMBER}(?=\s*m)|[0-9]{{1,3}}(?![.,]))\s*(?:m|mins?|minutes?)?\.?)?"
)

_IN_WORDS = (
    (r"\bthree[ -]quarters of an hour\b", "0.75 h"),
    (r"\ba? ?quarter (?:of an )?hour\b", "0.25 h"),
    (r"\bhalf an? hour\b|\b(?:an? )?half[ -]hour\b", "0.5 h"),
    (r"\b(?:an|one) hour and a half\b|\b(?:an|one) and a half hours\b", "1.5 h"),
    (r"\b(?:an|one) hour\b", "1 h"),
    (r"\band\b", " "),
)
_PARTS = {"½": "1/2", "¼": "1/4", "¾": "3/4", "⁄": "/"}
_FRACTION = re.compile(r"(?:([0-9]{1,3})\s+)?\b([1-9])/([2-9])(?![0-9/])")
_DISTANCE = re.compile(r"([0-9]{1,3}(?:,[0-9]{3})+|[0-9]{1,6})(\.[0-9]{1,2})?\s*([a-z]*)")
_UNITS_M = {"": _MILE_M, "mi": _MILE_M, "mile": _MILE_M, "miles": _MILE_M, "km": _KM_M}


class Unclear(Exception):
    """It could mean several things, or nothing; the text says how to write it."""


def read_hours(text: str) -> float:
    """Hours from "1:30", "1.5", "½ h", "90 min", "2 x 1:30" (two people), to the minute.

    Raises Unclear.
    """
    said = _plain(text.lower().strip())
    people = _TIMES.fullmatch(said)
    times = f"{people[1]} × " if people else ""
    each = _hours(people[2].strip() if people else said, times)
    return (int(people[1]) if people else 1) * round(each * _HOUR_MIN) / _HOUR_MIN


def _plain(said: str) -> str:
    """With words, fractions and a missing zero written out: "1½ h" is "1.5 h"."""
    for part, written in _PARTS.items():
        said = said.replace(part, f" {written}" if part != "⁄" else written)
    for words, number in _IN_WORDS:
        said = re.sub(words, number, said)
    said = _FRACTION.sub(_decimal, said)
    return re.sub(r"(?<![0-9])(?=[.,][0-9])", "0", said).strip()


def _decimal(found: re.Match[str]) -> str:
    return f"{int(found[1] or 0) + int(found[2]) / int(found[3]):.2f}"


def _hours(said: str, times: str) -> float:
    clock = _CLOCK.fullmatch(said)
    if clock:
        return int(clock[1]) + int(clock[2]) / _HOUR_MIN
    bare = _BARE.fullmatch(said)
    if bare:
        return _bare(said, _float(bare[1]), times)
    parts = _WITH_UNIT.fullmatch(said)
    if parts is None or not (parts[1] or parts[2]):
        raise Unclear(HOURS_HINT)
    return _float(parts[1] or "0") + _float(parts[2] or "0") / _HOUR_MIN


def _bare(said: str, hours: float, times: str) -> float:
    either = _PERHAPS_CLOCK.fullmatch(said)
    if either:
        clock = f"{times}{either[1]}:{either[2]}"
        raise Unclear(f"By the clock or in parts of an hour? Write {clock}, or {times}{said} h.")
    if hours > _MOST_BARE or (hours >= _BARE_HOURS and said.isdigit()):
        raise Unclear(f"Hours or minutes? Write {times}{said} min, or {times}{said} h.")
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
