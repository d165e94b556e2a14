"""The owner's own figures, as frozen values. Metres, seconds, cubic metres, Decimal money.

The values are plain; `storage.price_book_file` reads them from the owner's file and checks each
entry against its line. What spans several entries is checked here, at birth.
"""

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass, field
from decimal import Decimal
from enum import StrEnum

from service.estimating.brief import Fullness
from service.estimating.errors import BookError, Faults
from service.estimating.paths import Support, kind_of


class Cluster(StrEnum):
    """The trade's clusters."""

    DUPLET = "duplet"
    QUAD = "quad"
    MINI_QUAD = "mini_quad"
    SIX = "cluster_of_six"


class Task(StrEnum):
    """What hours are spent on."""

    SIZING_AND_INFLATING = "sizing_and_inflating"
    TYING = "tying"
    CLUSTERING = "clustering"
    LINE_BUILD = "line_build"
    FOILS = "foils"
    LOAD = "load"
    DRIVE = "drive"
    INSTALL = "install"
    FINISH = "finish"
    STRIKE = "strike"


class Charge(StrEnum):
    """How costs become a price."""

    MARKUP = "markup"
    HOURLY_TARGET = "hourly_target"


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
class SizeClass:
    """A balloon by nominal diameter [in]: sized diameters [m] and the odds that one breaks."""

    size_class: int
    sized_indoors_m: float
    sized_outdoors_m: float
    breakage: float


@dataclass(frozen=True, kw_only=True, slots=True)
class Colour:
    """A colour that can be bought: its plain name, hex value, price group and other names."""

    name: str
    hex: str
    group: str
    aliases: tuple[str, ...] = ()


@dataclass(frozen=True, kw_only=True, slots=True)
class Look:
    """What a fullness means.

    `girth_m` is the thickness aimed at; `base_step` the distance between base clusters in pitches
    of the nested quad; `large_share` the share of base clusters that carry a large balloon; `fill`
    the proportion in which filler clusters bring the garland up to its girth.
    """

    girth_m: float
    base_step: float
    large_share: float
    fill: Mapping[Cluster, int]


@dataclass(frozen=True, kw_only=True, slots=True)
class Recipe:
    """How an organic garland and a column are made."""

    base_size: int
    large_size: int
    small_size: int
    solid_fraction: float
    looks: Mapping[Fullness, Look]
    quads_size: int
    quads_sized_m: float


@dataclass(frozen=True, kw_only=True, slots=True)
class Bag:
    """A bag on sale in every colour of a group."""

    supplier: str
    group: str
    size_class: int
    pack_size: int
    unit_price: Decimal


@dataclass(frozen=True, kw_only=True, slots=True)
class Holding:
    """A number of balloons of one size class and colour."""

    size_class: int
    colour: str
    count: int


@dataclass(frozen=True, kw_only=True, slots=True)
class Kit:
    """A mixed pack."""

    item: str
    supplier: str
    unit_price: Decimal
    contents: tuple[Holding, ...]


@dataclass(frozen=True, kw_only=True, slots=True)
class Hardware:
    """A frame, stand or arch kit that the shop owns; None where it adjusts to any measure."""

    label: str
    support: Support
    width_m: float | None
    height_m: float | None
    count: int
    wear: Decimal


@dataclass(frozen=True, kw_only=True, slots=True)
class Hire:
    """What it costs to get a support that the shop does not own."""

    support: Support
    price: Decimal


@dataclass(frozen=True, kw_only=True, slots=True)
class FoilKind:
    """A foil, air-filled with a hand pump and mounted: price and hands-on time [s]."""

    price: Decimal
    seconds: float


@dataclass(frozen=True, kw_only=True, slots=True)
class Foils:
    """Foil prices: a digit, a letter, a shape, and the names that are shapes and not words."""

    digit: FoilKind
    letter: FoilKind
    shape: FoilKind
    shape_names: tuple[str, ...]


@dataclass(frozen=True, kw_only=True, slots=True)
class LineAndFixings:
    """Line that clusters are tied to, and what holds it: lengths [m], prices each and per metre."""

    tail_m: float
    knots_share: float
    price_per_m: Decimal
    spacing_m: float
    price_per_fixing: Decimal


@dataclass(frozen=True, kw_only=True, slots=True)
class Labour:
    """Rates of work: balloons an hour, seconds per cluster, metre, piece and load; wage an hour."""

    wage: Decimal
    inflated_per_hour: float
    tied_per_hour: float
    seconds_per_cluster: Mapping[Cluster, float]
    line_seconds_per_m: float
    load_seconds: float
    install_seconds_per_piece: float
    install_seconds_per_m: float
    ladder_factor: float
    ladder_above_m: float
    finish_seconds_per_piece: float
    strike_seconds_per_piece: float
    strike_seconds_per_m: float


@dataclass(frozen=True, kw_only=True, slots=True)
class Car:
    """What travels: usable space [m3], space of one bag of balloons [m3], share of it filled."""

    usable_m3: float
    bag_m3: float
    packing_fraction: float


@dataclass(frozen=True, kw_only=True, slots=True)
class Zone:
    """A flat fee up to a road distance [m] one way."""

    up_to_m: float
    fee: Decimal


@dataclass(frozen=True, kw_only=True, slots=True)
class TravelRates:
    """Roads and what driving costs. `zones` empty: every kilometre is charged instead."""

    road_factor: float
    speed_m_s: float
    price_per_km: Decimal
    zones: tuple[Zone, ...]
    area_m: float
    unknown_distance_m: float


@dataclass(frozen=True, kw_only=True, slots=True)
class Policy:
    """How costs become a price; shares as fractions of one."""

    charge: Charge
    overhead: Decimal
    markup: Decimal
    hourly_target: Decimal
    minimum: Decimal
    rush_days: int
    rush_share: Decimal
    weekend_share: Decimal
    rounding: Decimal
    deposit_share: Decimal
    deposit_rounding: Decimal
    tax_rate: Decimal
    tax_included: bool
    leftovers_charged: Decimal
    service_level: float


@dataclass(frozen=True, kw_only=True, slots=True)
class Spread:
    """Standard deviations of the logarithm of what may come out differently."""

    packing: float
    hours: float
    prices: float
    travel: float
    measures_assumed: float
    palette_assumed: float
    setting_unknown: float
    date_unknown: float
    distance_unknown: float


@dataclass(frozen=True, kw_only=True, slots=True)
class Review:
    """When the owner looks before a ballpark goes out."""

    likely_above: Decimal
    notice_below_days: int
    distance_above_m: float
    outdoors: bool
    assumptions_above: int


@dataclass(frozen=True, kw_only=True, slots=True)
class OpenHours:
    """Local hours on one weekday during which a set-up may take place."""

    opens: dt.time
    closes: dt.time


@dataclass(frozen=True, kw_only=True, slots=True)
class Calendar:
    """When set-ups happen. `opening` is by weekday, Monday 0; a missing day is closed."""

    opening: Mapping[int, OpenHours]
    buffer: dt.timedelta
    hold: dt.timedelta
    quote_valid: dt.timedelta
    notice: dt.timedelta
    jobs_at_once: int


@dataclass(frozen=True, kw_only=True, slots=True)
class PriceBook:
    """The whole book. Raises BookError with every fault that spans several entries."""

    version: str
    shop: Shop
    sizes: tuple[SizeClass, ...]
    colours: tuple[Colour, ...]
    default_palette: tuple[str, ...]
    special_order_group: str
    recipe: Recipe
    suppliers: tuple[str, ...]
    bags: tuple[Bag, ...]
    kits: tuple[Kit, ...]
    stock: tuple[Holding, ...]
    hardware: tuple[Hardware, ...]
    hire: tuple[Hire, ...]
    foils: Foils
    line: LineAndFixings
    labour: Labour
    car: Car
    travel: TravelRates
    policy: Policy
    spread: Spread
    review: Review
    calendar: Calendar
    _sizes: Mapping[int, SizeClass] = field(init=False, repr=False, compare=False)
    _colours: Mapping[str, Colour] = field(init=False, repr=False, compare=False)
    _bags: Mapping[tuple[str, int], tuple[Bag, ...]] = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        bags: dict[tuple[str, int], tuple[Bag, ...]] = {}
        for bag in self.bags:
            key = bag.group, bag.size_class
            bags[key] = (*bags.get(key, ()), bag)
        names = {_plain(n): c for c in self.colours for n in (*c.aliases, c.name)}
        object.__setattr__(self, "_sizes", {s.size_class: s for s in self.sizes})
        object.__setattr__(self, "_colours", names)
        object.__setattr__(self, "_bags", bags)
        self._check()

    def size(self, size_class: int) -> SizeClass | None:
        """What is known of a size class."""
        return self._sizes.get(size_class)

    def colour(self, name: str) -> Colour | None:
        """The colour of that name or with that other name, None where it is not on sale."""
        return self._colours.get(_plain(name))

    def bags_for(self, size_class: int, colour: str) -> tuple[Bag, ...]:
        """Bags that hold this colour; special-order bags where no ordinary bag does."""
        known = self.colour(colour)
        ordinary = self._bags.get((known.group, size_class), ()) if known else ()
        return ordinary or self._bags.get((self.special_order_group, size_class), ())

    def hire_of(self, support: Support) -> Decimal:
        """What hiring one such support costs."""
        return next(entry.price for entry in self.hire if entry.support is support)

    def _check(self) -> None:
        faults = Faults()
        self._check_sizes(faults)
        self._check_colours(faults)
        for support in Support:
            hired = any(entry.support is support for entry in self.hire)
            detail = f"add a price for a {support.words}"
            faults.check(hired or not kind_of(support).owned, "hire", detail)
        for index, bag in enumerate(self.bags):
            known = bag.supplier in self.suppliers
            faults.check(known, f"bags[{index}].supplier", _one_of(self.suppliers, bag.supplier))
        for index, kit in enumerate(self.kits):
            known = kit.supplier in self.suppliers
            faults.check(known, f"kits[{index}].supplier", _one_of(self.suppliers, kit.supplier))
        faults.raise_as(BookError)

    def _check_sizes(self, faults: Faults) -> None:
        recipe = self.recipe
        for name in ("base_size", "large_size", "small_size", "quads_size"):
            size = getattr(recipe, name)
            known = size in self._sizes
            faults.check(known, f"recipe.{name}", f"no size {size} under sizes; add it there")
        for size in self._sizes:
            on_order = (self.special_order_group, size) in self._bags
            detail = f"size {size} has no bag in the group {self.special_order_group!r}; add one"
            faults.check(on_order, "bags", f"{detail}, so that any colour can be priced")
        missing = [look for look in Fullness if look not in recipe.looks]
        faults.check(not missing, "recipe.looks", f"add {', '.join(missing)}")

    def _check_colours(self, faults: Faults) -> None:
        named = [("default_palette", name) for name in self.default_palette]
        named += [(f"stock[{i}].colour", holding.colour) for i, holding in enumerate(self.stock)]
        for i, kit in enumerate(self.kits):
            at = f"kits[{i}].contents"
            named += [(f"{at}[{j}].colour", h.colour) for j, h in enumerate(kit.contents)]
        for where, name in named:
            faults.check(name in self._colours, where, f"no colour {name!r} under colours")
        faults.check(bool(self.default_palette), "default_palette", "name at least one colour")


def _plain(name: str) -> str:
    return " ".join(name.lower().replace("-", " ").split())


def _one_of(allowed: tuple[str, ...], found: str) -> str:
    return f"{found!r} is not among the suppliers; use one of {', '.join(allowed)}"
