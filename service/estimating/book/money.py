"""Policy in the price book: how costs become a price, tax, spread, the calendar."""

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum


class Charge(StrEnum):
    """How costs become a price."""

    MARKUP = "markup"
    HOURLY_TARGET = "hourly_target"


@dataclass(frozen=True, kw_only=True, slots=True)
class TaxRule:
    """Sales tax where the site's postal code begins with `postal_prefix` ("" anywhere).

    `when_kept` names the cost lines, by code, that are taxed where the client keeps the balloons;
    `when_taken_back` those that are taxed where the shop strikes and takes everything back.
    """

    postal_prefix: str
    rate: Decimal
    when_kept: frozenset[str]
    when_taken_back: frozenset[str]


@dataclass(frozen=True, kw_only=True, slots=True)
class Policy:
    """How costs become a price; shares as fractions of one.

    `holidays` names the days on which `holiday_share` is added. `leftovers_charged` is the share
    of what is left in the packs that the client pays; `leftovers_valued` the share of its price
    that is counted back when packs are chosen.
    """

    charge: Charge
    overhead: Decimal
    markup: Decimal
    hourly_target: Decimal
    minimum: Decimal
    rush_days: int
    rush_share: Decimal
    weekend_share: Decimal
    holiday_share: Decimal
    holidays: Mapping[dt.date, str]
    rounding: Decimal
    deposit_share: Decimal
    deposit_rounding: Decimal
    tax: tuple[TaxRule, ...]
    tax_included: bool
    leftovers_charged: Decimal
    leftovers_valued: Decimal
    service_level: float


@dataclass(frozen=True, kw_only=True, slots=True)
class Spread:
    """Standard deviations of the logarithm of what may come out differently."""

    packing: float
    breakage: float
    hours: float
    stairs: float
    prices: float
    travel: float
    measures_assumed: float
    palette_assumed: float
    setting_unknown: float
    date_unknown: float
    distance_unknown: float


@dataclass(frozen=True, kw_only=True, slots=True)
class OpenHours:
    """Local hours on one weekday during which a set-up may take place."""

    opens: dt.time
    closes: dt.time


@dataclass(frozen=True, kw_only=True, slots=True)
class Calendar:
    """When set-ups happen. `opening` is by weekday, Monday 0; a missing day is closed.

    `digest_at` is the local time at which the owner is told of the day.
    """

    opening: Mapping[int, OpenHours]
    buffer: dt.timedelta
    hold: dt.timedelta
    quote_valid: dt.timedelta
    notice: dt.timedelta
    jobs_at_once: int
    digest_at: dt.time = dt.time(7, 30)
