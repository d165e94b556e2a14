"""Entries about everything but latex: stands, covers, foils, line, accents, consumables."""

from typing import Annotated

from pydantic import Field

from service.estimating import AccentKind
from service.estimating import book as core
from service.storage.price_book.fields import (
    FOOT,
    INCH,
    MOST,
    POUND,
    Entry,
    Money,
    Name,
    NotNegative,
    Positive,
    Quantity,
    Rate,
    SupportName,
    Whole,
    one_of,
    per_metre,
)


class HardwareEntry(Entry):
    """A frame, stand or arch kit: measures [ft], mass [lb], depth of its base [in]."""

    label: Name
    support: SupportName
    width_ft: Positive | None = None
    height_ft: Positive | None = None
    count: Whole
    wear: Money
    mass_lb: Positive
    base_in: Positive
    panel: bool = False

    def value(self) -> core.Hardware:
        """As the core has it."""
        return core.Hardware(
            label=self.label,
            support=self.support,
            width_m=self.width_ft and self.width_ft * FOOT,
            height_m=self.height_ft and self.height_ft * FOOT,
            count=self.count,
            wear=self.wear,
            mass_kg=self.mass_lb * POUND,
            base_m=self.base_in * INCH,
            panel=self.panel,
        )


class HireEntry(Entry):
    """What hiring one support costs."""

    support: SupportName
    price: Money

    def value(self) -> core.Hire:
        """As the core has it."""
        return core.Hire(support=self.support, price=self.price)


class CoverEntry(Entry):
    """A fabric cover, and the frames, by label, that it fits."""

    label: Name
    fits: Annotated[list[Name], Field(min_length=1)]
    count: Whole
    wear: Money
    minutes: NotNegative

    def value(self) -> core.Cover:
        """As the core has it."""
        return core.Cover(
            label=self.label,
            fits=tuple(self.fits),
            count=self.count,
            wear=self.wear,
            seconds=self.minutes * 60,
        )


class FoilKindEntry(Entry):
    """One sort of foil, and how it is mounted."""

    price: Money
    minutes: NotNegative
    mount: Name
    mount_price: Rate

    def value(self) -> core.FoilKind:
        """As the core has it."""
        return core.FoilKind(
            price=self.price,
            seconds=self.minutes * 60,
            mount=self.mount,
            mount_price=self.mount_price,
        )


class FoilsEntry(Entry):
    """Foils, and the names that are shapes."""

    digit: FoilKindEntry
    letter: FoilKindEntry
    shape: FoilKindEntry
    shape_names: list[Name]

    def value(self) -> core.Foils:
        """As the core has it."""
        return core.Foils(
            digit=self.digit.value(),
            letter=self.letter.value(),
            shape=self.shape.value(),
            shape_names=tuple(name.lower() for name in self.shape_names),
        )


class LineEntry(Entry):
    """The line and what holds it. A spool is longer than its join, or no line would be made."""

    kind: Annotated[core.LineKind, one_of(core.LineKind)]
    tail_ft: NotNegative
    knots_percent: float = Field(ge=0, le=100)
    price_per_ft: Rate
    spool_ft: float = Field(ge=3, le=MOST)
    join_in: float = Field(ge=0, le=24)
    spacing_in: float = Field(ge=2, le=MOST)
    clips_per_point: int = Field(ge=0, le=20)
    price_per_clip: Rate
    bands_per_point: int = Field(ge=0, le=20)
    price_per_band: Rate

    def value(self) -> core.LineAndFixings:
        """As the core has it."""
        return core.LineAndFixings(
            kind=self.kind,
            tail_m=self.tail_ft * FOOT,
            knots_share=self.knots_percent / 100,
            price_per_m=per_metre(self.price_per_ft, FOOT),
            length_m=self.spool_ft * FOOT,
            join_m=self.join_in * INCH,
            spacing_m=self.spacing_in * INCH,
            clips_per_point=self.clips_per_point,
            price_per_clip=self.price_per_clip,
            bands_per_point=self.bands_per_point,
            price_per_band=self.price_per_band,
        )


class AccentEntry(Entry):
    """One accent: price, time and fastening of each; how many where no number is given."""

    price: Money
    minutes: NotNegative
    usual: Whole
    mount: Name
    mount_price: Rate

    def value(self, kind: AccentKind) -> core.AccentRate:
        """As the core has it."""
        return core.AccentRate(
            kind=kind,
            price=self.price,
            seconds=self.minutes * 60,
            usual=self.usual,
            mount=self.mount,
            mount_price=self.mount_price,
        )


class WeightEntry(Entry):
    """Weights for feet and bases: mass of each [lb]."""

    label: Name
    mass_lb: Positive
    count: Whole
    wear: Money

    def value(self) -> core.Weight:
        """As the core has it."""
        return core.Weight(
            label=self.label, mass_kg=self.mass_lb * POUND, count=self.count, wear=self.wear
        )


class ConsumableEntry(Entry):
    """Something used up, or a tool's wear."""

    label: Name
    per: Annotated[core.Per, one_of(core.Per)]
    quantity: Quantity
    unit: Name
    price: Rate

    def value(self) -> core.Consumable:
        """As the core has it."""
        return core.Consumable(**self.model_dump())


AccentName = Annotated[AccentKind, one_of(AccentKind)]
