"""Balloons in the price book: sizes, colours, the recipe, and where they are bought."""

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum

from service.estimating.brief import Fullness


class Cluster(StrEnum):
    """The trade's clusters."""

    DUPLET = "duplet"
    QUAD = "quad"
    MINI_QUAD = "mini_quad"
    SIX = "cluster_of_six"


@dataclass(frozen=True, kw_only=True, slots=True)
class SizeClass:
    """A balloon by nominal diameter [in].

    Sized diameters [m]; `breakage` the odds that one bursts or fails; `by_hand` says that a hand
    pump fills it; how long before the event it may be inflated [s], indoors and outdoors.
    """

    size_class: int
    sized_indoors_m: float
    sized_outdoors_m: float
    breakage: float
    by_hand: bool
    keeps_indoors_s: float
    keeps_outdoors_s: float


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
class Supplier:
    """Where bags are bought.

    `delivery` is charged for each order, but not from `free_from` on; None where it always is.
    Nothing is sold below `minimum`. `lead_days` pass until the goods are there; with `working_days`
    only those count that are neither on a weekend nor public holidays.
    """

    name: str
    delivery: Decimal = Decimal(0)
    free_from: Decimal | None = None
    minimum: Decimal = Decimal(0)
    lead_days: int = 0
    working_days: bool = False


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
class Substitute:
    """The owner allows `instead` where `wanted` is asked for: sizes [in], sized alike.

    `colour` narrows it to one colour and `instead_colour` names another; None means each colour
    by itself.
    """

    wanted: int
    instead: int
    colour: str | None = None
    instead_colour: str | None = None
