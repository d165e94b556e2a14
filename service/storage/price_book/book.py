"""The whole file."""

from dataclasses import replace
from typing import Annotated
from zoneinfo import available_timezones

from babel import Locale, UnknownLocaleError
from pydantic import AfterValidator, Field

from service.estimating import PriceBook
from service.estimating import book as core
from service.storage.price_book.answers import ABOUT_ANSWERS, Answers, filled_in
from service.storage.price_book.balloons import (
    BagEntry,
    ColourEntry,
    HoldingEntry,
    KitEntry,
    RecipeEntry,
    SizeEntry,
    SubstituteEntry,
    SupplierEntry,
)
from service.storage.price_book.booking import BookingEntry
from service.storage.price_book.fields import Entry, Name
from service.storage.price_book.fittings import (
    AccentEntry,
    AccentName,
    ConsumableEntry,
    CoverEntry,
    FoilsEntry,
    HardwareEntry,
    HireEntry,
    LineEntry,
    WeightEntry,
)
from service.storage.price_book.follow_up import FollowUpEntry
from service.storage.price_book.kit import WorkKitEntry
from service.storage.price_book.money import CalendarEntry, PolicyEntry, SpreadEntry
from service.storage.price_book.privacy import PrivacyEntry
from service.storage.price_book.review import Rules
from service.storage.price_book.weather import HeliumEntry, WindEntry, WorkshopEntry
from service.storage.price_book.work import CarEntry, LabourEntry, TravelEntry


def _a_zone(name: str) -> str:
    if name not in available_timezones():
        raise ValueError("no such time zone; write one such as America/New_York")
    return name


def _a_locale(name: str) -> str:
    try:
        Locale.parse(name, sep="-")
    except (ValueError, UnknownLocaleError):
        raise ValueError("no such language and country; write one such as en-US") from None
    return name


class ShopEntry(Entry):
    """Who and where the shop is."""

    name: Name
    owner: Name
    town: Name
    postal_code: Name
    latitude: float = Field(ge=-90, le=90)
    longitude: float = Field(ge=-180, le=180)
    time_zone: Annotated[str, AfterValidator(_a_zone)]
    currency: str = Field(pattern="^[A-Z]{3}$")
    locale: Annotated[str, AfterValidator(_a_locale)]
    contact: list[Name]

    def value(self) -> core.Shop:
        """As the core has it."""
        return core.Shop(**self.model_dump(exclude={"contact"}), contact=tuple(self.contact))


class BookEntry(Entry):
    """Every entry of the file, by the name it has there."""

    shop: ShopEntry
    sizes: Annotated[list[SizeEntry], Field(min_length=1)]
    recipe: RecipeEntry
    colours: Annotated[list[ColourEntry], Field(min_length=1)]
    default_palette: list[Name]
    special_order_group: Name
    suppliers: list[SupplierEntry]
    bags: list[BagEntry]
    kits: list[KitEntry]
    substitutes: list[SubstituteEntry]
    stock: list[HoldingEntry]
    hardware: list[HardwareEntry]
    hire: list[HireEntry]
    covers: list[CoverEntry]
    foils: FoilsEntry
    line: LineEntry
    accents: dict[AccentName, AccentEntry]
    weights: list[WeightEntry]
    consumables: list[ConsumableEntry]
    labour: LabourEntry
    workshop: WorkshopEntry
    helium: HeliumEntry
    wind: WindEntry
    car: CarEntry
    travel: TravelEntry
    policy: PolicyEntry
    spread: SpreadEntry
    review: Rules
    calendar: CalendarEntry
    booking: BookingEntry = Field(default_factory=BookingEntry)
    answers: Answers = Field(default_factory=dict, description=ABOUT_ANSWERS)
    follow_up: FollowUpEntry = Field(default_factory=FollowUpEntry)
    privacy: PrivacyEntry = Field(default_factory=PrivacyEntry)
    kit: WorkKitEntry = Field(default_factory=WorkKitEntry)

    def value(self, version: str) -> PriceBook:
        """As the core has it. Raises BookError for what does not fit together."""
        book = PriceBook(
            version=version,
            shop=self.shop.value(),
            sizes=tuple(size.value() for size in self.sizes),
            recipe=self.recipe.value(),
            colours=tuple(colour.value() for colour in self.colours),
            default_palette=tuple(self.default_palette),
            special_order_group=self.special_order_group,
            suppliers=tuple(supplier.value() for supplier in self.suppliers),
            bags=tuple(bag.value() for bag in self.bags),
            kits=tuple(kit.value() for kit in self.kits),
            substitutes=tuple(entry.value() for entry in self.substitutes),
            stock=tuple(holding.value() for holding in self.stock),
            fittings=self._fittings(),
            labour=self.labour.value(),
            workshop=self.workshop.value(),
            helium=self.helium.value(),
            wind=self.wind.value(),
            car=self.car.value(),
            travel=self.travel.value(),
            policy=self.policy.value(),
            spread=self.spread.value(),
            review=tuple(rule.value() for rule in self.review),
            calendar=self.calendar.value(),
            follow_up=self.follow_up.value(),
            privacy=self.privacy.value(),
            kit=self.kit.value(),
            booking=self.booking.value(),
        )
        return replace(book, answers=filled_in(self.answers, book))

    def _fittings(self) -> core.Fittings:
        return core.Fittings(
            hardware=tuple(item.value() for item in self.hardware),
            hire=tuple(entry.value() for entry in self.hire),
            covers=tuple(cover.value() for cover in self.covers),
            foils=self.foils.value(),
            line=self.line.value(),
            accents={kind: entry.value(kind) for kind, entry in self.accents.items()},
            weights=tuple(weight.value() for weight in self.weights),
            consumables=tuple(entry.value() for entry in self.consumables),
        )
