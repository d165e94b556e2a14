"""Entries about air, helium and wind."""

from typing import Annotated

from pydantic import AfterValidator, Field

from service.estimating import Ground
from service.estimating import book as core
from service.storage.price_book.fields import (
    CUBIC_FOOT,
    FOOT,
    MILE_PER_HOUR,
    Entry,
    Money,
    Name,
    NotNegative,
    Positive,
    SizeClass,
    Step,
    one_of,
)

HIGHEST_COME_DOWN_MPH = 24
"""EN 14960, for inflatables people play on: 38 km/h, the top of Beaufort 5, gusts included."""


def _floats(size_class: int) -> int:
    if size_class < 10:
        raise ValueError("too small to float; use sizes from 10 in on")
    return size_class


class WorkshopEntry(Entry):
    """Where balloons are inflated: air [degrees F], height above the sea [ft]."""

    temperature_f: float = Field(ge=20, le=120)
    elevation_ft: float = Field(ge=-1400, le=15000)
    largest_percent: float = Field(ge=50, le=100)

    def value(self) -> core.Workshop:
        """As the core has it."""
        return core.Workshop(
            temperature_c=(self.temperature_f - 32) / 1.8,
            elevation_m=self.elevation_ft * FOOT,
            largest_share=self.largest_percent / 100,
        )


class CylinderEntry(Entry):
    """Helium on hire: contents [ft3]."""

    label: Name
    contents_ft3: Positive
    price: Step

    def value(self) -> core.Cylinder:
        """As the core has it."""
        return core.Cylinder(
            label=self.label, contents_m3=self.contents_ft3 * CUBIC_FOOT, price=self.price
        )


class HeliumEntry(Entry):
    """What floating takes."""

    cylinders: Annotated[list[CylinderEntry], Field(min_length=1)]
    loss_percent: float = Field(ge=0, le=50)
    balloon_prices: dict[Annotated[SizeClass, AfterValidator(_floats)], Money]
    foil_price: Money
    treatment_price: Money
    weight_price: Money
    weight_factor: float = Field(ge=1, le=10)
    minutes_each: NotNegative
    treatment_minutes: NotNegative

    def value(self) -> core.HeliumRates:
        """As the core has it, the cylinders from small to large."""
        cylinders = sorted((each.value() for each in self.cylinders), key=lambda c: c.contents_m3)
        return core.HeliumRates(
            cylinders=tuple(cylinders),
            loss_share=self.loss_percent / 100,
            balloon_price=self.balloon_prices,
            foil_price=self.foil_price,
            treatment_price=self.treatment_price,
            weight_price=self.weight_price,
            weight_factor=self.weight_factor,
            seconds_each=self.minutes_each * 60,
            treatment_seconds=self.treatment_minutes * 60,
        )


class WindEntry(Entry):
    """How wind is reckoned with: gusts [mph], friction by ground."""

    gust_mph: Positive
    gust_factor: float = Field(ge=1, le=3)
    safety_factor: float = Field(ge=1, le=10)
    come_down_mph: float = Field(gt=0, le=HIGHEST_COME_DOWN_MPH)
    friction: dict[Annotated[Ground, one_of(Ground)], Annotated[float, Field(gt=0, le=1)]]

    def value(self) -> core.WindRules:
        """As the core has it."""
        return core.WindRules(
            gust_m_s=self.gust_mph * MILE_PER_HOUR,
            gust_factor=self.gust_factor,
            safety_factor=self.safety_factor,
            come_down_m_s=self.come_down_mph * MILE_PER_HOUR,
            friction=self.friction,
        )
