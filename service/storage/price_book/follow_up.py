"""Entries about follow-up: what the shop writes unasked, and when."""

import datetime as dt

from pydantic import Field

from service.estimating import book as core
from service.storage.price_book.fields import Clock, Entry


class HoursBeforeEntry(Entry):
    """A reminder so many hours before something ends."""

    on: bool = True
    hours_before: float = Field(gt=0, le=24 * 60)

    def value(self) -> core.Before:
        """As the core has it."""
        return core.Before(on=self.on, before=dt.timedelta(hours=self.hours_before))


class DaysBeforeEntry(Entry):
    """A reminder so many days before a day, at a time."""

    on: bool = True
    days_before: int = Field(ge=0, le=60)
    at: Clock

    def value(self) -> core.OnDay:
        """As the core has it."""
        return core.OnDay(on=self.on, days=self.days_before, at=self.at)


class DayBeforeEntry(Entry):
    """The message of the day before."""

    on: bool = True
    at: Clock

    def value(self) -> core.OnDay:
        """As the core has it."""
        return core.OnDay(on=self.on, days=1, at=self.at)


class DaysAfterEntry(Entry):
    """A message so many days after a day, at a time."""

    on: bool = True
    days_after: int = Field(ge=1, le=30)
    at: Clock

    def value(self) -> core.OnDay:
        """As the core has it."""
        return core.OnDay(on=self.on, days=self.days_after, at=self.at)


_USUAL = core.FollowUp()


class FollowUpEntry(Entry):
    """What the shop writes unasked; what is left out is as usual."""

    quiet_from: Clock = _USUAL.quiet_from
    quiet_until: Clock = _USUAL.quiet_until
    nudge: HoursBeforeEntry | None = None
    hold: HoursBeforeEntry | None = None
    balance: DaysBeforeEntry | None = None
    day_before: DayBeforeEntry | None = None
    thanks: DaysAfterEntry | None = None

    def value(self) -> core.FollowUp:
        """As the core has it."""
        return core.FollowUp(
            quiet_from=self.quiet_from,
            quiet_until=self.quiet_until,
            nudge=self.nudge.value() if self.nudge else _USUAL.nudge,
            hold=self.hold.value() if self.hold else _USUAL.hold,
            balance=self.balance.value() if self.balance else _USUAL.balance,
            day_before=self.day_before.value() if self.day_before else _USUAL.day_before,
            thanks=self.thanks.value() if self.thanks else _USUAL.thanks,
        )
