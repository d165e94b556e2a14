"""What dates are read against: today, the order of numeric dates, the event that is known."""

from calendar import monthrange
from dataclasses import dataclass
from datetime import date, timedelta


@dataclass(frozen=True, slots=True)
class Calendar:
    """What dates are read against."""

    reference: date
    day_first: bool
    locale: str
    known: date | None = None

    def next_day(self, month: int, day: int) -> date | None:
        """The next such day on or after the reference; None where no year has one."""
        for year in range(self.reference.year, self.reference.year + 9):
            found = day_of(year, month, day)
            if found and found >= self.reference:
                return found
        return None

    def next_of_month(self, day: int, weekday: int | None = None) -> date | None:
        """The next month's day of that number, from the month of the known event on if there is
        one; of that weekday if one is said."""
        first = self.known or self.reference
        for ahead in range(13):
            found = self.day_in(first, ahead, day)
            if not found or found < self.reference:
                continue
            if weekday is None or found.weekday() == weekday:
                return found
        return None

    def in_next_month(self, day: int) -> date | None:
        """That day of the month after the present one."""
        return self.day_in(self.reference, 1, day)

    def day_in(self, first: date, months: int, day: int) -> date | None:
        """That day of the month so many months after the month of `first`."""
        year, month = divmod(first.year * 12 + first.month - 1 + months, 12)
        return day_of(year, month + 1, day)

    def next_month(self, month: int) -> date:
        """The first day of the next such month; of the present one where it is that."""
        year = self.reference.year + (month < self.reference.month)
        return date(year, month, 1)

    def next_weekday(self, weekday: int) -> date:
        return self.reference + timedelta(days=(weekday - self.reference.weekday()) % 7)

    def weekday_of_next_week(self, weekday: int) -> date:
        return self.reference + timedelta(days=7 - self.reference.weekday() + weekday)


def day_of(year: int, month: int, day: int) -> date | None:
    """The date, None where there is none such."""
    if not (1 <= month <= 12 and 1 <= year <= 9998):
        return None
    return date(year, month, day) if 1 <= day <= monthrange(year, month)[1] else None
