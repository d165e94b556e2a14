"""What was typed into the desk's form, beside what the form showed of the stored brief.

A field that still says what it showed keeps its stored value: feet and inches to a tenth would
round a measure that came in metres.
"""

import re
from collections.abc import Callable, Mapping
from datetime import time
from enum import StrEnum
from typing import TypeVar

from service.pages.form.days import time_of_day
from service.pages.form.sizes import metres_in
from service.pages.posted import Fault, Posted, Refusals, too_long

_Value = TypeVar("_Value")
_Member = TypeVar("_Member", bound=StrEnum)

_NUMBER = re.compile(r"-?[0-9]{1,7}(?:[.,][0-9]{1,4})?")


class Typed:
    """Fields by name, and by name what has to be corrected in them."""

    def __init__(self, sent: Posted, shown: Mapping[str, str], refusals: Refusals) -> None:
        self.sent = sent
        self.refusals = refusals
        self._shown = Posted({name: (text,) for name, text in shown.items()})

    def text(self, name: str, longest: int, before: str | None = None) -> str | None:
        """A short text, None where it is empty."""
        text = self.sent.text(name)
        if self.same(name):
            return before
        if fault := too_long(text, longest):
            self.refuse(name, fault)
        return text or None

    def same(self, *names: str) -> bool:
        """Whether these fields say what they showed."""
        return all(self.sent.text(name) == self._shown.text(name) for name in names)

    def number(
        self,
        name: str,
        before: _Value,
        least: float,
        most: float,
        turned: Callable[[float], _Value],
    ) -> _Value | None:
        """A number within bounds, turned into what is stored; None where it is empty."""
        text = self.sent.text(name).removesuffix("%").strip()
        if self.same(name):
            return before
        if not text:
            return None
        if _NUMBER.fullmatch(text):
            value = float(text.replace(",", "."))
            if least <= value <= most:
                return turned(value)
        self.refuse(name, f"Give a number from {least:g} to {most:g}, or leave it empty.")
        return None

    def whole(self, name: str, before: int | None, least: int, most: int) -> int | None:
        """A whole number within bounds, None where it is empty."""
        text = self.sent.text(name).replace(",", "")
        if self.same(name):
            return before
        if not text:
            return None
        if re.fullmatch(r"[0-9]{1,7}", text) and least <= int(text) <= most:
            return int(text)
        self.refuse(name, f"Give a whole number from {least:,} to {most:,}.")
        return None

    def size(self, name: str, before: float | None) -> float | None:
        """A measure in feet and inches [m], None where both are empty."""
        feet, inches = f"{name}-ft", f"{name}-in"
        if self.same(feet, inches):
            return before
        if not self.sent.text(feet) and not self.sent.text(inches):
            return None
        try:
            return metres_in(self.sent.text(feet), self.sent.text(inches))
        except ValueError:
            self.refuse(name, "Write the size in numbers, such as 7 feet and 6 inches, or 2.3 m.")
            return None

    def clock(self, name: str, before: time | None) -> time | None:
        """A time of day, None where it is empty."""
        return before if self.same(name) else time_of_day(self.sent, name, self.refusals)

    def one_of(self, name: str, kind: type[_Member], before: _Member | None) -> _Member | None:
        """One of the choices; what no list offers is as if nothing had been chosen."""
        value = self.sent.text(name)
        if self.same(name):
            return before
        return kind(value) if value in set(kind) else None

    def refuse(self, name: str, text: str) -> None:
        """Ask for a correction of a field."""
        self.refusals.faults.append(Fault(field=name, text=text))

    def counted(self, pattern: str) -> tuple[int, ...]:
        """The numbers n for which a field such as "c{n}-colour" has something in it, in order."""
        found = re.compile(re.escape(pattern).replace(r"\{n\}", "([0-9]{1,2})"))
        numbers = (found.fullmatch(name) for name, values in self.sent.items() if values)
        return tuple(sorted(int(number[1]) for number in numbers if number))
