"""The computed answer to a brief, as frozen values. Metres, hours and Decimal money."""

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal

from service.estimating.paths import Support


@dataclass(frozen=True, kw_only=True, slots=True)
class BalloonCount:
    """Balloons of one size class and colour: `count` go into the piece, `spares` beside it."""

    size_class: int
    colour: str
    count: int
    spares: int


@dataclass(frozen=True, kw_only=True, slots=True)
class PieceEstimate:
    """One kind of piece. Lengths are of one such piece; balloons and clusters of all `count`."""

    support: Support
    count: int
    path_length_m: float
    garland_length_m: float
    girth_m: float
    line_length_m: float
    attachment_points: int
    clusters: Mapping[str, int]
    balloons: tuple[BalloonCount, ...]


@dataclass(frozen=True, kw_only=True, slots=True)
class ShoppingLine:
    """Packs of one bag or kit to buy."""

    item: str
    supplier: str
    size_class: int | None
    colour: str | None
    pack_size: int
    packs: int
    unit_price: Decimal
    cost: Decimal


@dataclass(frozen=True, kw_only=True, slots=True)
class StockLine:
    """Balloons that the shop already has and this job takes."""

    size_class: int
    colour: str
    count: int


@dataclass(frozen=True, kw_only=True, slots=True)
class Shopping:
    """What to buy, at the least cost that covers every colour and size.

    `used_cost` values every balloon of the job, from a pack or from stock, at the best
    rate that the price book knows for it.
    """

    lines: tuple[ShoppingLine, ...]
    from_stock: tuple[StockLine, ...]
    cost: Decimal
    used_cost: Decimal
    proven_cheapest: bool


@dataclass(frozen=True, kw_only=True, slots=True)
class Helium:
    """Helium for what must float. Air-filled pieces need none."""

    needed: bool
    volume_m3: float


@dataclass(frozen=True, kw_only=True, slots=True)
class Load:
    """What it takes up on the road."""

    inflated_volume_m3: float
    bags: int
    car_loads: int


@dataclass(frozen=True, kw_only=True, slots=True)
class Wind:
    """A caution about wind, never a certificate."""

    caution: str


@dataclass(frozen=True, kw_only=True, slots=True)
class Travel:
    """The way to the site and back; None where the site is not known."""

    distance_m: float | None
    round_trip_m: float | None
    drive_hours: float
    in_area: bool


@dataclass(frozen=True, kw_only=True, slots=True)
class Caution:
    """A safety text chosen by the brief."""

    code: str
    text: str


@dataclass(frozen=True, kw_only=True, slots=True)
class CostLine:
    """quantity × rate = amount, exactly."""

    code: str
    label: str
    quantity: Decimal
    unit: str
    rate: Decimal
    amount: Decimal


@dataclass(frozen=True, kw_only=True, slots=True)
class Price:
    """What to charge: P10, P50 and P90 of what the job will have to cost the client.

    `tax_rate` is the sales tax as a fraction; it is in the figures where `tax_included`, and
    comes on top of them otherwise.
    """

    low: Decimal
    likely: Decimal
    high: Decimal
    currency: str
    tax_included: bool
    deposit: Decimal
    tax_rate: Decimal = Decimal(0)


@dataclass(frozen=True, kw_only=True, slots=True)
class Reason:
    """Where a figure comes from."""

    figure: str
    value: str
    formula: str
    inputs: Mapping[str, str]
    source: str


@dataclass(frozen=True, kw_only=True, slots=True)
class Assumption:
    """Something the brief left open or the price does not go by, and what was taken instead."""

    field: str
    text: str


@dataclass(frozen=True, kw_only=True, slots=True)
class Estimate:
    """The whole answer: same brief, same price book, same day, same estimate."""

    pieces: tuple[PieceEstimate, ...]
    balloons_total: int
    shopping: Shopping
    hours: Mapping[str, float]
    helium: Helium
    load: Load
    wind: Wind | None
    travel: Travel
    cautions: tuple[Caution, ...]
    cost_lines: tuple[CostLine, ...]
    price: Price
    completeness: float
    assumptions: tuple[Assumption, ...]
    explanation: tuple[Reason, ...]
    price_book_version: str
