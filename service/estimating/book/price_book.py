"""The owner's own figures, as one frozen value. Metres, seconds, cubic metres, Decimal money.

The values are plain; `storage` reads them from the owner's file and checks each entry against its
line. What spans several entries is checked here, at birth.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import lru_cache

from service.estimating.book.balloons import (
    Bag,
    Colour,
    Holding,
    Kit,
    Recipe,
    SizeClass,
    Substitute,
    Supplier,
)
from service.estimating.book.booking import BookingRules
from service.estimating.book.fittings import Fittings
from service.estimating.book.follow_up import FollowUp
from service.estimating.book.money import Calendar, Policy, Spread
from service.estimating.book.privacy import Privacy
from service.estimating.book.review import Rule
from service.estimating.book.shelf import Key, Offer, Shelf
from service.estimating.book.weather import HeliumRates, WindRules, Workshop
from service.estimating.book.work import Car, Labour, TravelRates
from service.estimating.book.work_kit import USUAL_WORK_KIT, WorkKit
from service.estimating.brief import Fullness, Ground
from service.estimating.errors import BookError, Faults
from service.estimating.extras import AccentKind
from service.estimating.paths import Support, kind_of


@dataclass(frozen=True, kw_only=True, slots=True)
class Shop:
    """Who and where the shop is; latitude and longitude in degrees."""

    name: str
    owner: str
    town: str
    postal_code: str
    latitude: float
    longitude: float
    time_zone: str
    currency: str
    locale: str
    contact: tuple[str, ...]


@dataclass(frozen=True, kw_only=True, slots=True)
class PriceBook:
    """The whole book. Raises BookError with every fault that spans several entries.

    `answers` are the owner's own to what clients ask besides: by topic, then by language.
    """

    version: str
    shop: Shop
    sizes: tuple[SizeClass, ...]
    colours: tuple[Colour, ...]
    default_palette: tuple[str, ...]
    special_order_group: str
    recipe: Recipe
    suppliers: tuple[Supplier, ...]
    bags: tuple[Bag, ...]
    kits: tuple[Kit, ...]
    substitutes: tuple[Substitute, ...]
    stock: tuple[Holding, ...]
    fittings: Fittings
    labour: Labour
    workshop: Workshop
    helium: HeliumRates
    wind: WindRules
    car: Car
    travel: TravelRates
    policy: Policy
    spread: Spread
    review: tuple[Rule, ...]
    calendar: Calendar
    booking: BookingRules = field(default_factory=BookingRules)
    answers: Mapping[str, Mapping[str, str]] = field(default_factory=dict)
    follow_up: FollowUp = field(default_factory=FollowUp)
    privacy: Privacy = field(default_factory=Privacy)
    kit: WorkKit = USUAL_WORK_KIT
    _sizes: Mapping[int, SizeClass] = field(init=False, repr=False, compare=False)
    _colours: Mapping[str, Colour] = field(init=False, repr=False, compare=False)
    shelf: Shelf = field(init=False, repr=False, compare=False)
    stock_of: Mapping[Key, int] = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        names = {_plain(n): c for c in self.colours for n in (*c.aliases, c.name)}
        object.__setattr__(self, "_sizes", {s.size_class: s for s in self.sizes})
        object.__setattr__(self, "_colours", names)
        self._check()
        object.__setattr__(self, "shelf", self._shelf())
        object.__setattr__(self, "stock_of", self._held())

    def __hash__(self) -> int:
        # What is worked out of a book alone is kept by it: no figure has to be looked at for that.
        return hash(self.version)

    def size(self, size_class: int) -> SizeClass | None:
        """What is known of a size class."""
        return self._sizes.get(size_class)

    def colour(self, name: str) -> Colour | None:
        """The colour of that name or with that other name, None where it is not on sale."""
        # Whoever asks again asks by the book's own name.
        return self._colours.get(name) or self._colours.get(_plain(name))

    def offer(self, size_class: int, colour: str) -> Offer:
        """Bags that hold this colour; special-order bags where no ordinary bag does."""
        return _offer(self, size_class, colour)

    def _shelf(self) -> Shelf:
        return Shelf(
            bags=self.bags,
            kits=self.kits,
            suppliers=self.suppliers,
            substitutes=self.substitutes,
            colours=self.colours,
            names={said: colour.name for said, colour in self._colours.items()},
            leftovers_valued=self.policy.leftovers_valued,
        )

    def _held(self) -> Mapping[Key, int]:
        held: dict[Key, int] = {}
        for holding in self.stock:
            key = holding.size_class, self._colours[_plain(holding.colour)].name
            held[key] = held.get(key, 0) + holding.count
        return held

    def _check(self) -> None:
        faults = Faults()
        self._check_sizes(faults)
        self._check_colours(faults)
        self._check_suppliers(faults)
        self._check_fittings(faults)
        self._check_weather(faults)
        faults.raise_as(BookError)

    def _check_suppliers(self, faults: Faults) -> None:
        names = tuple(supplier.name for supplier in self.suppliers)
        sold = [(f"bags[{i}].supplier", bag.supplier) for i, bag in enumerate(self.bags)]
        sold += [(f"kits[{i}].supplier", kit.supplier) for i, kit in enumerate(self.kits)]
        for where, name in sold:
            faults.check(name in names, where, _one_of(names, name))
        for i, entry in enumerate(self.substitutes):
            for name in ("wanted", "instead"):
                size = getattr(entry, name)
                detail = f"no size {size} under sizes; add it there"
                faults.check(size in self._sizes, f"substitutes[{i}].{name}", detail)

    def _check_fittings(self, faults: Faults) -> None:
        fittings = self.fittings
        for support in Support:
            hired = any(entry.support is support for entry in fittings.hire)
            detail = f"add a price for a {support.words}"
            faults.check(hired or not kind_of(support).owned, "hire", detail)
        labels = [item.label for item in fittings.hardware]
        for i, cover in enumerate(fittings.covers):
            for label in cover.fits:
                detail = f"no {label!r} under hardware; use a label from there"
                faults.check(label in labels, f"covers[{i}].fits", detail)
        missing = [kind for kind in AccentKind if kind not in fittings.accents]
        faults.check(not missing, "accents", f"add {', '.join(missing)}")

    def _check_weather(self, faults: Faults) -> None:
        missing = [ground for ground in Ground if ground not in self.wind.friction]
        faults.check(not missing, "wind.friction", f"add {', '.join(missing)}")
        anywhere = any(not rule.postal_prefix for rule in self.policy.tax)
        detail = "add a rule without a postal_prefix, for any other place"
        faults.check(anywhere, "policy.tax", detail)

    def _check_sizes(self, faults: Faults) -> None:
        recipe = self.recipe
        for name in ("base_size", "large_size", "small_size", "quads_size"):
            size = getattr(recipe, name)
            known = size in self._sizes
            faults.check(known, f"recipe.{name}", f"no size {size} under sizes; add it there")
        for size in self._sizes:
            on_order = any(
                bag.group == self.special_order_group and bag.size_class == size
                for bag in self.bags
            )
            detail = f"size {size} has no bag in the group {self.special_order_group!r}; add one"
            faults.check(on_order, "bags", f"{detail}, so that any colour can be priced")
        missing = [look for look in Fullness if look not in recipe.looks]
        faults.check(not missing, "recipe.looks", f"add {', '.join(missing)}")

    def _check_colours(self, faults: Faults) -> None:
        named = [("default_palette", name) for name in self.default_palette]
        named += [(f"stock[{i}].colour", holding.colour) for i, holding in enumerate(self.stock)]
        for i, entry in enumerate(self.substitutes):
            each = (("colour", entry.colour), ("instead_colour", entry.instead_colour))
            named += [(f"substitutes[{i}].{key}", name) for key, name in each if name]
        for i, kit in enumerate(self.kits):
            at = f"kits[{i}].contents"
            named += [(f"{at}[{j}].colour", h.colour) for j, h in enumerate(kit.contents)]
        for where, name in named:
            faults.check(name in self._colours, where, f"no colour {name!r} under colours")
        faults.check(bool(self.default_palette), "default_palette", "name at least one colour")


@lru_cache(maxsize=1024)
def _offer(book: PriceBook, size_class: int, colour: str) -> Offer:
    known = book.colour(colour)
    ordinary = book.shelf.offer(known.group, size_class) if known else None
    found = ordinary or book.shelf.offer(book.special_order_group, size_class)
    if found is None:
        raise KeyError(f"no bag of {size_class} in balloons")
    return found


def _plain(name: str) -> str:
    return " ".join(name.lower().replace("-", " ").split())


def _one_of(allowed: tuple[str, ...], found: str) -> str:
    return f"{found!r} is not among the suppliers; use one of {', '.join(allowed)}"
