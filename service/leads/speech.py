"""How figures and sentences are said in one language: money, days, times, lists, lengths."""

from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import date, datetime, time, timedelta
from decimal import Decimal
from gettext import NullTranslations
from typing import Any
from zoneinfo import ZoneInfo

from babel.dates import format_date, format_time, format_timedelta
from babel.numbers import format_currency, format_decimal, format_percent

from service.leads.euphony import euphonic

_INCH_M = 0.0254
_YEAR_H = 365 * 24
# A size is kept as it was told, to a tenth of a millimetre: that tells 4 m from 13 ft 1 1/2 in.
_EXACT_M = 0.0001
# From this many on, a count is rounded to tens.
_MANY = 50

# Between an hour and its "PM" no line breaks.
_UNBROKEN = str.maketrans(" \u202f", "\u00a0\u00a0")
_MILE_AN_HOUR_M_S = 0.44704


def msg(text: str) -> str:
    """Marks a text that is looked up in the catalogue later, where it is said."""
    return text


def msgs(one: str, many: str) -> tuple[str, str]:
    """Marks a text for one and for several, as `msg` does."""
    return one, many


_BOTH_UNITS = msg("%(metres)s m (%(feet)s)")


@dataclass(frozen=True, kw_only=True, slots=True)
class Speech:
    """One language, as `locale` writes figures. Texts are named by their English."""

    language: str = "en"
    locale: str = "en_US"
    translations: NullTranslations = field(default_factory=NullTranslations, compare=False)

    def say(self, text: str, **values: Any) -> str:
        """The text in this language, with `%(name)s` replaced by the values."""
        return self.translations.gettext(text) % values

    def text(self, text: str) -> str:
        """A text without values; one that the catalogue does not have stays as it is."""
        return self.translations.gettext(text) if text else text

    def several(self, one: str, many: str, count: int, **values: Any) -> str:
        """The text for so many; `%(count)s` is the number."""
        said = self.translations.ngettext(one, many, count)
        return said % {"count": self.number(count), **values}

    def number(self, value: int) -> str:
        """ "3,000"."""
        return format_decimal(value, locale=self.locale)

    def percent(self, share: float) -> str:
        """ "70%", of a fraction."""
        return format_percent(share, locale=self.locale)

    def money(self, amount: Decimal, currency: str) -> str:
        """The amount in its currency; whole amounts without cents."""
        whole = amount == amount.to_integral_value()
        pattern = "¤#,##0" if whole else None
        return format_currency(
            amount, currency, pattern, locale=self.locale, currency_digits=not whole
        )

    def day(self, value: date) -> str:
        """ "Sunday, June 6, 2027": the weekday helps to catch a wrong date."""
        return format_date(value, "full", locale=self.locale)

    def weekday(self, value: date) -> str:
        """ "Sunday"."""
        return format_date(value, "EEEE", locale=self.locale)

    def clock(self, value: time | datetime, zone: ZoneInfo | None = None) -> str:
        """ "3:00 PM", which no line breaks within."""
        if isinstance(value, datetime) and zone is not None:
            value = value.astimezone(zone).time()
        return format_time(value, "short", locale=self.locale).translate(_UNBROKEN)

    def moment(self, value: datetime) -> str:
        """ "Sunday, June 6, 2027, 3:00 PM", in the zone that the value carries."""
        return f"{self.day(value.date())}, {self.clock(value.time())}"

    def lasting(self, value: timedelta) -> str:
        """ "3 years", "2 days", "36 hours", "20 minutes"."""
        hours = value.total_seconds() / 3600
        if hours and hours % _YEAR_H == 0:
            return format_timedelta(value, "year", threshold=10_000, locale=self.locale)
        if hours >= 24 and hours % 24 == 0:
            return format_timedelta(value, "day", threshold=10_000, locale=self.locale)
        if hours >= 1:
            return format_timedelta(value, "hour", threshold=10_000, locale=self.locale)
        return format_timedelta(value, "minute", threshold=10_000, locale=self.locale)

    def listed(self, names: Iterable[str]) -> str:
        """ "sage, cream and gold"."""
        return self._joined(msg("%(most)s and %(last)s"), names)

    def either(self, names: Iterable[str]) -> str:
        """ "sage, cream or gold"."""
        return self._joined(msg("%(most)s or %(last)s"), names)

    def feet(self, metres: float) -> str:
        """Feet and inches, to the inch: 2.1336 is "7 ft", 1.9812 is "6 ft 6 in"."""
        whole, rest = divmod(round(metres / _INCH_M), 12)
        said = []
        if whole:
            said.append(self.several("%(count)s ft", "%(count)s ft", whole))
        if rest or not whole:
            said.append(self.several("%(count)s in", "%(count)s in", rest))
        return " ".join(said)

    def measure(self, metres: float) -> str:
        """A length as it was told: "7 ft", but "4 m (13 ft 1 in)" where that was in metres."""
        if not told_in_metres(metres):
            return self.feet(metres)
        shown = format_decimal(round(metres, 2), locale=self.locale)
        return self.say(_BOTH_UNITS, metres=shown, feet=self.feet(metres))

    def on_a_drawing(self, metres: float) -> str:
        """As `measure`, short enough for a dimension line: "7′ 6″", but "1.80 m"."""
        if told_in_metres(metres):
            return f"{format_decimal(metres, '0.00', locale=self.locale)} m"
        whole, rest = divmod(round(metres / _INCH_M), 12)
        inches = [f"{rest}″"] if rest or not whole else []
        return " ".join([f"{whole}′"] * bool(whole) + inches)

    def about(self, count: int) -> str:
        """A count that depends on how the balloons lie, which nobody says to the piece: "260"."""
        return self.number(round(count, -1) if count >= _MANY else count)

    def mph(self, metres_per_second: float) -> str:
        """Miles an hour: 8.175 is "18 mph"."""
        return self.say("%(speed)s mph", speed=f"{metres_per_second / _MILE_AN_HOUR_M_S:.0f}")

    def fahrenheit(self, celsius: float) -> str:
        """Degrees Fahrenheit: 29 is "84 °F"."""
        return f"{celsius * 9 / 5 + 32:.0f} °F"

    def _joined(self, pattern: str, names: Iterable[str]) -> str:
        *most, last = names
        said = self.say(pattern, most=", ".join(most), last=last) if most else last
        return euphonic(said) if self.language == "es" else said


def told_in_metres(metres: float) -> bool:
    """Was this length said in metres or centimetres, rather than in feet and inches?"""
    return _is_multiple(metres, 0.01) and not _is_multiple(metres, _INCH_M / 2)


def _is_multiple(metres: float, unit_m: float) -> bool:
    return abs(metres - round(metres / unit_m) * unit_m) <= _EXACT_M
