"""What is said to clients, in their language: wording by gettext, dates and money by babel.

Pure: the catalogues are read by whoever makes a `Phrasebook`.
"""

import unicodedata
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, time
from decimal import Decimal
from gettext import NullTranslations

from babel.core import Locale
from babel.dates import format_date, format_skeleton, format_time
from babel.numbers import format_currency, format_decimal

_METRES_PER_INCH = 0.0254
_OFF_THE_MARK = 0.1  # half inches
_EXACT_M = 0.0001  # sizes are kept as they were told: 4 m is not 13 ft 1 1/2 in
_UNBROKEN = str.maketrans({"\u00a0": " ", "\u202f": " "})


@dataclass(frozen=True, kw_only=True)
class Phrases:
    """Everything that can be said in one language.

    Texts are templates for `str.format`; what a client typed is only ever a value in them.
    """

    language: str
    locale: Locale
    translations: NullTranslations = field(repr=False, compare=False)

    def say(self, key: str, **values: object) -> str:
        """The text of `key` with its values. Raises KeyError for an unknown key."""
        return self._text(key).format(**values)

    def several(self, key: str, count: int, **values: object) -> str:
        """The text of `key` in the form that goes with `count`, which it may name too."""
        text = self.translations.ngettext(key, key, count)
        if text == key:
            raise KeyError(key)
        return text.format(count=count, **values)

    def known(self, key: str, **values: object) -> str | None:
        """Like `say`, None where nothing is to be said for `key`."""
        text = self.translations.gettext(key)
        return None if text == key else text.format(**values)

    def _text(self, key: str) -> str:
        text = self.translations.gettext(key)
        if text == key:
            raise KeyError(key)
        return text

    def listed(self, names: Sequence[str]) -> str:
        """Names as a sentence lists them: "sage, cream and gold"; "" for none."""
        if len(names) < 2:
            return "".join(names)
        # In Spanish "y" becomes "e" before the sound of i.
        return self._joined(names, "list.and.before.i" if _sound(names) == "i" else "list.and")

    def either(self, names: Sequence[str]) -> str:
        """Names to choose from: "sage, cream or gold"; "" for none."""
        if len(names) < 2:
            return "".join(names)
        return self._joined(names, "list.or.before.o" if _sound(names) == "o" else "list.or")

    def _joined(self, names: Sequence[str], key: str) -> str:
        return self.say(key, most=", ".join(names[:-1]), last=names[-1])

    def day(self, when: date) -> str:
        """A date with its weekday, which shows a mistaken date at a glance."""
        return format_date(when, "full", locale=self.locale)

    def month(self, when: date) -> str:
        """A month with its year: "June 2027"."""
        return format_skeleton("yMMMM", when, locale=self.locale)

    def month_name(self, when: date) -> str:
        """A month without its year: "June"."""
        return format_date(when, "LLLL", locale=self.locale)

    def clock(self, when: time) -> str:
        """A time of day as the quote writes it: "3:00 PM", but "noon", which no one mistakes."""
        if (when.hour, when.minute) in ((0, 0), (12, 0)):
            return self.say("clock.noon" if when.hour else "clock.midnight")
        return format_time(when, "short", locale=self.locale).translate(_UNBROKEN)

    def money(self, amount: Decimal, currency: str) -> str:
        """An amount in `currency` (ISO 4217), without cents where there are none: "$300"."""
        whole = amount == amount.to_integral_value()
        shown = format_currency(
            amount,
            currency,
            format="¤#,##0" if whole else None,
            locale=self.locale,
            currency_digits=not whole,
        )
        return shown.translate(_UNBROKEN)

    def length(self, metres: float) -> str:
        """Feet and inches: "6 ft 8 in", and half inches that were meant: "7 1/2 in"."""
        inches = metres / _METRES_PER_INCH
        halves = round(inches * 2)
        # A size told in meters falls between the marks: whole inches are near enough for it.
        if abs(inches * 2 - halves) > _OFF_THE_MARK:
            halves = round(inches) * 2
        feet, rest = divmod(halves, 24)
        parts = [self.several("length.feet", feet)] if feet else []
        if rest or not feet:
            parts.append(self._inches(rest))
        return " ".join(parts)

    def measure(self, metres: float) -> str:
        """A length as it was told: "8 ft", but "2.5 m (8 ft 2 in)" where that was in meters."""
        in_inches = _is_multiple(metres, _METRES_PER_INCH / 2)
        if in_inches or not _is_multiple(metres, 0.01):
            return self.length(metres)
        shown = format_decimal(round(metres, 2), locale=self.locale)
        # Whole inches are near enough beside the meters.
        length = self.length(round(metres / _METRES_PER_INCH) * _METRES_PER_INCH)
        return self.say("length.metres", metres=shown, length=length)

    def _inches(self, halves: int) -> str:
        whole, half = divmod(halves, 2)
        if not half:
            return self.several("length.inches", whole)
        mixed = f"{whole} 1/2" if whole else "1/2"
        return self.say("length.inches.mixed", value=mixed)


def _is_multiple(metres: float, unit_m: float) -> bool:
    return abs(metres - round(metres / unit_m) * unit_m) <= _EXACT_M


def _sound(names: Sequence[str]) -> str:
    """The letter that the last name begins with to the ear, without its accent."""
    return unicodedata.normalize("NFKD", names[-1].lower()).removeprefix("h")[:1]


@dataclass(frozen=True, kw_only=True)
class Phrasebook:
    """The phrases of every language that is spoken, by ISO 639-1 code; English at least."""

    languages: Mapping[str, Phrases]

    def in_language(self, language: str | None) -> Phrases:
        """The phrases of `language`, in English where it is not spoken."""
        return self.languages.get(language or "en", self.languages["en"])
