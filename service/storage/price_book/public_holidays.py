"""Public holidays of a country or a part of it, in any year."""

import datetime as dt
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import lru_cache

import holidays


@dataclass(frozen=True, slots=True)
class PublicHolidays(Mapping[dt.date, str]):
    """Names of the holidays by date. Countries and subdivisions by their ISO 3166 codes.

    The library's own mapping fills itself while it is read, and may be caught half filled by a
    second thread; here a year is worked out as a whole, on its own.
    """

    country: str
    subdivision: str | None = None

    def __getitem__(self, day: dt.date) -> str:
        return _of_year(self.country, self.subdivision, day.year)[day]

    def __iter__(self) -> Iterator[dt.date]:
        for year in range(dt.MINYEAR, dt.MAXYEAR + 1):
            yield from _of_year(self.country, self.subdivision, year)

    def __len__(self) -> int:
        return sum(1 for _ in self)


@lru_cache(maxsize=256)
def _of_year(country: str, subdivision: str | None, year: int) -> Mapping[dt.date, str]:
    found = holidays.country_holidays(country, subdiv=subdivision, years=year, expand=False)
    return {day: found[day] for day in sorted(found)}


def countries() -> frozenset[str]:
    """Codes of the countries whose holidays are known."""
    return frozenset(holidays.list_supported_countries(include_aliases=False))


def subdivisions(country: str) -> tuple[str, ...]:
    """Codes of the parts of a country that have holidays of their own."""
    return tuple(holidays.list_supported_countries(include_aliases=False)[country])
