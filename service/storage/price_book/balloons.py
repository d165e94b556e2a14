"""Entries about balloons: sizes, colours, the recipe, and where they are bought."""

from decimal import Decimal
from typing import Annotated, Self

from pydantic import Field, model_validator

from service.estimating import Fullness
from service.estimating import book as core
from service.storage.price_book.fields import (
    INCH,
    MOST,
    ClusterName,
    Entry,
    Money,
    Name,
    Positive,
    SizeClass,
    Step,
    Whole,
    one_of,
)

# A garland of much smaller ones would take millions.
Sized = Annotated[float, Field(ge=2, le=MOST)]


class SizeEntry(Entry):
    """A balloon by nominal size [in]: sized diameters [in], how long it may wait [h]."""

    size_class: SizeClass
    sized_in: Sized
    sized_outdoors_in: Sized
    breakage_percent: float = Field(ge=0, le=50)
    by_hand: bool = False
    keeps_indoors_hours: Positive
    keeps_outdoors_hours: Positive

    @model_validator(mode="after")
    def _within_nominal(self) -> Self:
        if max(self.sized_in, self.sized_outdoors_in) > self.size_class:
            raise ValueError(f"a balloon of {self.size_class} in is sized to that at most")
        return self

    def value(self) -> core.SizeClass:
        """As the core has it."""
        return core.SizeClass(
            size_class=self.size_class,
            sized_indoors_m=self.sized_in * INCH,
            sized_outdoors_m=self.sized_outdoors_in * INCH,
            breakage=self.breakage_percent / 100,
            by_hand=self.by_hand,
            keeps_indoors_s=self.keeps_indoors_hours * 3600,
            keeps_outdoors_s=self.keeps_outdoors_hours * 3600,
        )


class LookEntry(Entry):
    """What a fullness means: girth [in]."""

    girth_in: float = Field(ge=5, le=120)
    base_step: float = Field(ge=0.5, le=10)
    large_percent: float = Field(ge=0, le=100)
    fill: dict[ClusterName, Whole]

    def value(self) -> core.Look:
        """As the core has it."""
        return core.Look(
            girth_m=self.girth_in * INCH,
            base_step=self.base_step,
            large_share=self.large_percent / 100,
            fill=self.fill,
        )


class RecipeEntry(Entry):
    """How a garland and a column are made."""

    base_size: int
    large_size: int
    small_size: int
    solid_fraction: float = Field(ge=0.2, le=0.74)
    quads_size: int
    quads_sized_in: Sized
    looks: dict[Annotated[Fullness, one_of(Fullness)], LookEntry]

    def value(self) -> core.Recipe:
        """As the core has it."""
        return core.Recipe(
            base_size=self.base_size,
            large_size=self.large_size,
            small_size=self.small_size,
            solid_fraction=self.solid_fraction,
            quads_size=self.quads_size,
            quads_sized_m=self.quads_sized_in * INCH,
            looks={fullness: look.value() for fullness, look in self.looks.items()},
        )


class ColourEntry(Entry):
    """A colour by its plain name."""

    name: Name
    hex: str = Field(pattern="^#[0-9A-Fa-f]{6}$")
    group: Name
    aliases: list[Name] = Field(default_factory=list)

    def value(self) -> core.Colour:
        """As the core has it."""
        return core.Colour(
            name=self.name, hex=self.hex, group=self.group, aliases=tuple(self.aliases)
        )


class SupplierEntry(Entry):
    """Where bags are bought, and on what terms."""

    name: Name
    delivery: Money = Decimal("0.00")
    free_from: Step | None = None
    minimum: Money = Decimal("0.00")
    lead_days: int = Field(ge=0, le=365)
    working_days: bool = False

    def value(self) -> core.Supplier:
        """As the core has it."""
        return core.Supplier(**self.model_dump())


class BagEntry(Entry):
    """A bag on sale in every colour of a group."""

    supplier: Name
    group: Name
    size_class: SizeClass
    pack_size: Whole
    price: Step

    def value(self) -> core.Bag:
        """As the core has it."""
        return core.Bag(**self.model_dump(exclude={"price"}), unit_price=self.price)


class HoldingEntry(Entry):
    """Balloons of one size and colour."""

    size_class: SizeClass
    colour: Name
    count: Whole

    def value(self) -> core.Holding:
        """As the core has it."""
        return core.Holding(**self.model_dump())


class KitEntry(Entry):
    """A mixed pack."""

    item: Name
    supplier: Name
    price: Step
    contents: Annotated[list[HoldingEntry], Field(min_length=1)]

    def value(self) -> core.Kit:
        """As the core has it."""
        return core.Kit(
            item=self.item,
            supplier=self.supplier,
            unit_price=self.price,
            contents=tuple(holding.value() for holding in self.contents),
        )


class SubstituteEntry(Entry):
    """What may stand in for what, by size [in] and, where named, by colour."""

    wanted: SizeClass
    instead: SizeClass
    colour: Name | None = None
    instead_colour: Name | None = None

    @model_validator(mode="after")
    def _of_something_else(self) -> Self:
        if self.instead_colour and not self.colour:
            raise ValueError("name the color that is wanted beside instead_colour")
        if self.wanted == self.instead and self.colour == (self.instead_colour or self.colour):
            raise ValueError("this stands in for itself; name another size or another color")
        return self

    def value(self) -> core.Substitute:
        """As the core has it."""
        return core.Substitute(**self.model_dump())
