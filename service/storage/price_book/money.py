"""Entries about policy: how costs become a price, tax, spread, the calendar."""

import datetime as dt
from collections import Counter
from typing import Annotated, Any, Literal

from pydantic import AfterValidator, Field, ValidationInfo, field_validator

from service.estimating import OpenHours
from service.estimating import book as core
from service.storage.price_book.fields import (
    Among,
    AnyPercent,
    Clock,
    Entry,
    Money,
    Percent,
    Step,
    minutes,
    one_of,
)
from service.storage.price_book.public_holidays import PublicHolidays, countries, subdivisions

COST_CODES = (
    "balloons",
    "leftovers",
    "line",
    "fixings",
    "foils",
    "covers",
    "accents",
    "consumables",
    "helium",
    "wear",
    "hire",
    "weights",
    "labour",
    "vehicle",
    "delivery",
    *(f"labour.{task.value}" for task in core.Task),
)
"""Cost lines of an estimate, by the code that a tax rule names them by."""

_DAYS = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")


def _a_cost_line(code: str) -> str:
    if code not in COST_CODES:
        raise ValueError(f"no such cost line; use any of {', '.join(COST_CODES)}")
    return code


_Codes = list[Annotated[str, AfterValidator(_a_cost_line), Among(COST_CODES)]]


class TaxEntry(Entry):
    """Sales tax where the site's postal code begins with `postal_prefix`."""

    postal_prefix: str = ""
    percent: Percent
    when_kept: _Codes
    when_taken_back: _Codes

    def value(self) -> core.TaxRule:
        """As the core has it."""
        return core.TaxRule(
            postal_prefix=self.postal_prefix,
            rate=self.percent / 100,
            when_kept=frozenset(self.when_kept),
            when_taken_back=frozenset(self.when_taken_back),
        )


def _one_each(rules: list[TaxEntry]) -> list[TaxEntry]:
    twice = [
        f'"{prefix}"'
        for prefix, count in Counter(rule.postal_prefix for rule in rules).items()
        if count > 1
    ]
    if twice:
        raise ValueError(f"more than one rule for the postal_prefix {', '.join(twice)}; keep one")
    return rules


class HolidaysEntry(Entry):
    """Whose public holidays, by ISO 3166 code."""

    country: str
    subdivision: str | None = None

    @field_validator("country")
    @classmethod
    def _known(cls, country: str) -> str:
        if country not in countries():
            raise ValueError('no holidays are known for it; use a code such as "US" (ISO 3166-1)')
        return country

    @field_validator("subdivision")
    @classmethod
    def _part_of(cls, subdivision: str | None, info: ValidationInfo) -> str | None:
        country = info.data.get("country")
        if subdivision is None or country is None:
            return subdivision
        parts = subdivisions(country)
        if subdivision not in parts:
            allowed = f"use one of {', '.join(parts)}" if parts else "leave it out"
            raise ValueError(f"no such part of {country}; {allowed}")
        return subdivision

    def value(self) -> PublicHolidays:
        """As the core has it."""
        return PublicHolidays(self.country, self.subdivision)


class PolicyEntry(Entry):
    """How costs become a price."""

    charge: Annotated[core.Charge, one_of(core.Charge)]
    overhead_percent: AnyPercent
    markup_percent: AnyPercent
    hourly_target: Money
    minimum: Money
    rush_days: int = Field(ge=0, le=366)
    rush_percent: AnyPercent
    weekend_percent: AnyPercent
    holiday_percent: AnyPercent
    holidays: HolidaysEntry
    rounding: Step
    deposit_percent: Percent
    deposit_rounding: Step
    tax: Annotated[list[TaxEntry], AfterValidator(_one_each)]
    tax_included: bool
    leftovers_charged_percent: Percent
    leftovers_valued_percent: Percent
    service_percent: float = Field(ge=50, lt=100)

    def value(self) -> core.Policy:
        """As the core has it."""
        return core.Policy(
            charge=self.charge,
            overhead=self.overhead_percent / 100,
            markup=self.markup_percent / 100,
            hourly_target=self.hourly_target,
            minimum=self.minimum,
            rush_days=self.rush_days,
            rush_share=self.rush_percent / 100,
            weekend_share=self.weekend_percent / 100,
            holiday_share=self.holiday_percent / 100,
            holidays=self.holidays.value(),
            rounding=self.rounding,
            deposit_share=self.deposit_percent / 100,
            deposit_rounding=self.deposit_rounding,
            tax=tuple(rule.value() for rule in self.tax),
            tax_included=self.tax_included,
            leftovers_charged=self.leftovers_charged_percent / 100,
            leftovers_valued=self.leftovers_valued_percent / 100,
            service_level=self.service_percent / 100,
        )


Deviation = Annotated[float, Field(ge=0, le=100)]
# A range of no width would promise a certainty that no estimate has.
CertainDeviation = Annotated[float, Field(gt=0, le=100)]


class SpreadEntry(Entry):
    """How far things come out from their estimate."""

    packing_percent: CertainDeviation
    breakage_percent: Deviation
    hours_percent: CertainDeviation
    stairs_percent: Deviation
    prices_percent: Deviation
    travel_percent: Deviation
    measures_assumed_percent: Deviation
    palette_assumed_percent: Deviation
    setting_unknown_percent: Deviation
    date_unknown_percent: Deviation
    distance_unknown_percent: Deviation

    def value(self) -> core.Spread:
        """As the core has it."""
        shares = {name.removesuffix("_percent"): value / 100 for name, value in self}
        return core.Spread(**shares)


class HoursEntry(Entry):
    """Hours of one weekday."""

    opens: Clock
    closes: Clock

    @field_validator("closes")
    @classmethod
    def _after_opening(cls, closes: dt.time, info: ValidationInfo) -> dt.time:
        opens = info.data.get("opens")
        if opens is not None and closes <= opens:
            raise ValueError("it closes before it opens; write a later time")
        return closes


class CalendarEntry(Entry):
    """When set-ups happen."""

    opening: dict[Literal[_DAYS], HoursEntry]  # type: ignore[valid-type]  # the days are a constant
    buffer_minutes: float = Field(ge=0, le=24 * 60)
    hold_hours: float = Field(gt=0, le=90 * 24)
    quote_valid_days: float = Field(gt=0, le=366)
    notice_days: float = Field(ge=0, le=366)
    jobs_at_once: int = Field(ge=1, le=20)
    digest_at: Clock = dt.time(7, 30)

    def value(self) -> core.Calendar:
        """As the core has it."""
        opening: dict[Any, HoursEntry] = self.opening
        return core.Calendar(
            opening={
                _DAYS.index(day): OpenHours(opens=hours.opens, closes=hours.closes)
                for day, hours in opening.items()
            },
            buffer=minutes(self.buffer_minutes),
            hold=dt.timedelta(hours=self.hold_hours),
            quote_valid=dt.timedelta(days=self.quote_valid_days),
            notice=dt.timedelta(days=self.notice_days),
            jobs_at_once=self.jobs_at_once,
            digest_at=self.digest_at,
        )
