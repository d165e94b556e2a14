"""Follow-up in the price book: what the shop writes unasked, when, and when it keeps quiet."""

import datetime as dt
from dataclasses import dataclass


@dataclass(frozen=True, kw_only=True, slots=True)
class Before:
    """A reminder that comes so long before something ends."""

    on: bool = True
    before: dt.timedelta


@dataclass(frozen=True, kw_only=True, slots=True)
class OnDay:
    """A reminder on a day, so many days before or after another, at this time at the shop."""

    on: bool = True
    days: int
    at: dt.time


@dataclass(frozen=True, kw_only=True, slots=True)
class FollowUp:
    """What is written unasked. From `quiet_from` until `quiet_until`, at the shop, nothing is.

    `nudge` goes by the end of a quote, `hold` by that of a hold; `balance` counts its days back
    from the day on which the balance is due, `day_before` from the set-up, `thanks` on from it.
    """

    quiet_from: dt.time = dt.time(20, 30)
    quiet_until: dt.time = dt.time(9, 0)
    nudge: Before = Before(before=dt.timedelta(days=3))
    hold: Before = Before(before=dt.timedelta(hours=24))
    balance: OnDay = OnDay(days=2, at=dt.time(10, 0))
    day_before: OnDay = OnDay(days=1, at=dt.time(16, 0))
    thanks: OnDay = OnDay(days=1, at=dt.time(11, 0))
