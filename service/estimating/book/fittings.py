"""Everything but latex in the price book: stands, covers, foils, line, accents, consumables."""

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum

from service.estimating.extras import AccentKind
from service.estimating.paths import Support


@dataclass(frozen=True, kw_only=True, slots=True)
class Hardware:
    """A frame, stand or arch kit that the shop owns; a measure is None where it adjusts.

    `wear` is what one use costs in the long run. `mass_kg` and the depth of its base `base_m`
    [m] count against wind; `panel` says that it holds a solid panel or a fabric.
    """

    label: str
    support: Support
    width_m: float | None
    height_m: float | None
    count: int
    wear: Decimal
    mass_kg: float
    base_m: float
    panel: bool = False


@dataclass(frozen=True, kw_only=True, slots=True)
class Hire:
    """What it costs to get a support that the shop does not own."""

    support: Support
    price: Decimal


@dataclass(frozen=True, kw_only=True, slots=True)
class Cover:
    """A fabric cover that the shop owns, and the frames, by label, that it fits."""

    label: str
    fits: tuple[str, ...]
    count: int
    wear: Decimal
    seconds: float


@dataclass(frozen=True, kw_only=True, slots=True)
class FoilKind:
    """A foil, air-filled with a hand pump and mounted: price, hands-on time [s], and its mount."""

    price: Decimal
    seconds: float
    mount: str
    mount_price: Decimal


@dataclass(frozen=True, kw_only=True, slots=True)
class Foils:
    """Foil prices: a digit, a letter, a shape, and the names that are shapes and not words."""

    digit: FoilKind
    letter: FoilKind
    shape: FoilKind
    shape_names: tuple[str, ...]


class LineKind(StrEnum):
    """What clusters are tied to."""

    CORD = "cord"
    LONG_260 = "260"


@dataclass(frozen=True, kw_only=True, slots=True)
class LineAndFixings:
    """Line that clusters are tied to, and what holds it: lengths [m], prices each and per metre.

    One length on the spool, or one long balloon, is `length_m`; a join takes `join_m` more.
    """

    kind: LineKind
    tail_m: float
    knots_share: float
    price_per_m: Decimal
    length_m: float
    join_m: float
    spacing_m: float
    clips_per_point: int
    price_per_clip: Decimal
    bands_per_point: int
    price_per_band: Decimal


@dataclass(frozen=True, kw_only=True, slots=True)
class AccentRate:
    """One accent: price, time and fastening of each; how many where the client gave no number."""

    kind: AccentKind
    price: Decimal
    seconds: float
    usual: int
    mount: str
    mount_price: Decimal


@dataclass(frozen=True, kw_only=True, slots=True)
class Weight:
    """Weights that the shop owns, for feet and bases."""

    label: str
    mass_kg: float
    count: int
    wear: Decimal


class Per(StrEnum):
    """What a consumable is counted by."""

    JOB = "job"
    PIECE = "piece"
    HUNDRED_BALLOONS = "hundred_balloons"


@dataclass(frozen=True, kw_only=True, slots=True)
class Consumable:
    """Something used up, or a tool's wear: `quantity` of it for each job, piece or hundred."""

    label: str
    per: Per
    quantity: Decimal
    unit: str
    price: Decimal


@dataclass(frozen=True, kw_only=True, slots=True)
class Fittings:
    """All of it."""

    hardware: tuple[Hardware, ...]
    hire: tuple[Hire, ...]
    covers: tuple[Cover, ...]
    foils: Foils
    line: LineAndFixings
    accents: Mapping[AccentKind, AccentRate]
    weights: tuple[Weight, ...]
    consumables: tuple[Consumable, ...]

    def hire_of(self, support: Support) -> Decimal:
        """What hiring one such support costs."""
        return next(entry.price for entry in self.hire if entry.support is support)
