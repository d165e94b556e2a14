"""Entries about a booked date: paying, cancelling, moving, the weather, the terms."""

from collections.abc import Mapping
from decimal import Decimal
from typing import Annotated

from pydantic import AfterValidator, Field

from service.estimating import book as core
from service.storage.price_book.answers import Language
from service.storage.price_book.fields import Entry, Money, Percent

_LONGEST_LINE = 300
_LONGEST_CLAUSE = 1000
_LONGEST_TERMS = 6000

_Days = Annotated[int, Field(ge=0, le=366)]


def _one_a_day(steps: list["CancelEntry"]) -> list["CancelEntry"]:
    days = [step.days_before for step in steps]
    if len(set(days)) < len(days):
        raise ValueError("two steps have the same days_before; keep one of them")
    ordered = sorted(steps, key=lambda step: -step.days_before)
    shares = [step.percent for step in ordered]
    if shares != sorted(shares, reverse=True):
        raise ValueError("a later cancellation must not return more than an earlier one")
    return ordered


class CancelEntry(Entry):
    """Canceled at least so many days before the event, this part of the deposit goes back."""

    days_before: _Days
    percent: Percent

    def value(self) -> core.CancelStep:
        """As the core has it."""
        return core.CancelStep(days_before=self.days_before, share=self.percent / 100)


class MovingEntry(Entry):
    """What another date costs."""

    free_until_days: _Days = 0
    fee: Money = Decimal(0)


Line = Annotated[str, Field(max_length=_LONGEST_LINE)]
Clause = Annotated[str, Field(max_length=_LONGEST_CLAUSE)]
Terms = Annotated[str, Field(max_length=_LONGEST_TERMS)]


class BookingEntry(Entry):
    """The rules of a booked date."""

    pay_to: dict[Language, Line] = Field(default_factory=dict)
    balance_days_before: _Days = 0
    cancelling: Annotated[list[CancelEntry], AfterValidator(_one_a_day)] = Field(
        default_factory=list
    )
    moving: MovingEntry = Field(default_factory=MovingEntry)
    weather: dict[Language, Clause] = Field(default_factory=dict)
    terms: dict[Language, Terms] = Field(default_factory=dict)

    def value(self) -> core.BookingRules:
        """As the core has it."""
        return core.BookingRules(
            pay_to=_said(self.pay_to),
            balance_days_before=self.balance_days_before,
            cancelling=tuple(step.value() for step in self.cancelling),
            moving_free_days=self.moving.free_until_days,
            moving_fee=self.moving.fee,
            weather=_said(self.weather),
            terms=_said(self.terms),
        )


def _said(texts: Mapping[Language, str]) -> Mapping[str, str]:
    return {language: text.strip() for language, text in texts.items() if text.strip()}
