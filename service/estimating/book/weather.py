"""Air, helium and wind in the price book. Kelvins are left to the physics: degrees C here."""

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal

from service.estimating.brief import Ground


@dataclass(frozen=True, kw_only=True, slots=True)
class Workshop:
    """Where balloons are inflated: air [degrees C] and height above the sea [m].

    No balloon is to grow beyond `largest_share` of its nominal diameter at the site.
    """

    temperature_c: float
    elevation_m: float
    largest_share: float


@dataclass(frozen=True, kw_only=True, slots=True)
class Cylinder:
    """Helium on hire: contents at 15 C and one atmosphere [m3], gas and hire together."""

    label: str
    contents_m3: float
    price: Decimal


@dataclass(frozen=True, kw_only=True, slots=True)
class HeliumRates:
    """What floating takes: cylinders, gas lost in handling, a treatment, weights, time.

    `balloon_price` by nominal size [in] for latex, `foil_price` for a foil of any shape;
    `weight_factor` is how many times its lift a balloon's weight holds.
    """

    cylinders: tuple[Cylinder, ...]
    loss_share: float
    balloon_price: Mapping[int, Decimal]
    foil_price: Decimal
    treatment_price: Decimal
    weight_price: Decimal
    weight_factor: float
    seconds_each: float
    treatment_seconds: float


@dataclass(frozen=True, kw_only=True, slots=True)
class WindRules:
    """How wind is reckoned with.

    `gust_m_s` is taken where the client gives none, `gust_factor` turns a mean wind into a gust,
    `come_down_m_s` is the gust at which everything comes down whatever its ballast. `friction`
    by ground.
    """

    gust_m_s: float
    gust_factor: float
    safety_factor: float
    come_down_m_s: float
    friction: Mapping[Ground, float]
