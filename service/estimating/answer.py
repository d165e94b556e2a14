"""The computed answer to a brief, as frozen values. Metres, hours and Decimal money."""

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal

from service.estimating.paths import Point, Support


@dataclass(frozen=True, kw_only=True, slots=True)
class BalloonCount:
    """Balloons of one size class and colour: `count` go into the piece, `spares` beside it."""

    size_class: int
    colour: str
    count: int
    spares: int


@dataclass(frozen=True, kw_only=True, slots=True)
class ClusterType:
    """Clusters that are tied alike: what each holds, and how many there are in all pieces.

    A `filler` is pushed in between those tied to the line; an older estimate does not say.
    """

    kind: str
    balloons: tuple[tuple[int, str, int], ...]
    count: int
    filler: bool | None = None


@dataclass(frozen=True, kw_only=True, slots=True)
class PieceEstimate:
    """One kind of piece. Lengths are of one such piece; balloons and clusters of all `count`.

    `runs` are the stretches of the path that carry garland, from and to [m] along it;
    `attachments_m` the places along it where the garland is held. `order` names, cluster by
    cluster along the line, the index of its type in `cluster_types`; every such piece is alike.
    """

    support: Support
    count: int
    path_length_m: float
    start: Point
    end: Point
    runs: tuple[tuple[float, float], ...]
    garland_length_m: float
    girth_m: float
    line_length_m: float
    line_joins: int
    attachment_points: int
    attachments_m: tuple[float, ...]
    clusters: Mapping[str, int]
    balloons: tuple[BalloonCount, ...]
    pattern: str
    cluster_types: tuple[ClusterType, ...]
    order: tuple[int, ...]


@dataclass(frozen=True, kw_only=True, slots=True)
class SpareLine:
    """How many of one size and colour the job takes so that enough of them stay whole.

    Of `taken` balloons each breaks with the odds `breakage`; `enough` is the probability that at
    least as many stay whole as the garland takes: `placed`, or more where the shop is known to pack
    tighter than its recipe. `share` is what a flat percentage on top would have to be.
    """

    size_class: int
    colour: str
    placed: int
    taken: int
    breakage: float
    enough: float
    share: float


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
class Filled:
    """Balloons of another size or colour that stand in for the ones wanted."""

    size_class: int
    colour: str
    by_size_class: int
    by_colour: str
    count: int


@dataclass(frozen=True, kw_only=True, slots=True)
class Order:
    """What one supplier gets: the goods, and the charge for bringing them."""

    supplier: str
    goods: Decimal
    delivery: Decimal


@dataclass(frozen=True, kw_only=True, slots=True)
class Shopping:
    """What to buy, at the least cost that covers every colour and size.

    `cost` is all that is paid, delivery included. `used_cost` values every balloon of the job,
    from a pack or from stock, at the best rate that the price book knows for it.
    `leftover_value` is what the policy counts back for what is left in the packs. Where the
    search was cut short `proven_cheapest` is False and `gap` is how much cheaper, as a share of
    the cost, it could be at most.
    """

    lines: tuple[ShoppingLine, ...]
    orders: tuple[Order, ...]
    from_stock: tuple[StockLine, ...]
    filled: tuple[Filled, ...]
    left_over: tuple[StockLine, ...]
    cost: Decimal
    used_cost: Decimal
    leftover_value: Decimal
    proven_cheapest: bool
    gap: float


@dataclass(frozen=True, kw_only=True, slots=True)
class FloatLine:
    """Helium balloons of one kind: gas for all [m3], each one's lift and weight [kg], hours up.

    `colours` are the latex ones by colour, with spares; nothing of foils, and of estimates from
    before it was kept.
    """

    kind: str
    size_class: int
    count: int
    gas_m3: float
    net_lift_kg: float
    weight_kg: float
    float_low_h: float
    float_high_h: float
    colours: tuple[SpareLine, ...] = ()

    @property
    def label(self) -> str:
        """What fittings and cost lines call them."""
        return f"{self.size_class} in {self.kind.replace('_', ' ')} for helium"


@dataclass(frozen=True, kw_only=True, slots=True)
class CylinderLine:
    """Cylinders of helium to get."""

    label: str
    count: int
    contents_m3: float


@dataclass(frozen=True, kw_only=True, slots=True)
class Helium:
    """Helium for what must float. Air-filled pieces need none."""

    needed: bool
    volume_m3: float
    balloons: tuple[FloatLine, ...] = ()
    cylinders: tuple[CylinderLine, ...] = ()

    @property
    def latex(self) -> tuple[SpareLine, ...]:
        """The latex that floats by size and colour, as far as its colours are known."""
        return tuple(each for line in self.balloons for each in line.colours)


@dataclass(frozen=True, kw_only=True, slots=True)
class SizedFor:
    """The diameter to blow to in the workshop so that it is right at the site [m]."""

    size_class: int
    in_workshop_m: float
    at_site_m: float


@dataclass(frozen=True, kw_only=True, slots=True)
class Expansion:
    """How air-filled balloons change on the way to a site that is warmer, colder or higher.

    Volume and diameter at the site over those in the workshop.
    """

    volume_ratio: float
    diameter_ratio: float
    sized: tuple[SizedFor, ...]


@dataclass(frozen=True, kw_only=True, slots=True)
class Load:
    """What it takes up on the road; `trips` there and back, the one to take it down included."""

    inflated_volume_m3: float
    bags: int
    car_loads: int
    trips: int


@dataclass(frozen=True, kw_only=True, slots=True)
class WindOnPiece:
    """Wind on one piece that stands outdoors, at the gust reckoned with.

    Area facing it [m2], force [N] and the height at which it acts [m]; ballast [kg] against
    tipping and against sliding with the safety factor in; with `ballast_kg` on it, the gust [m/s]
    at which it comes down.
    """

    piece: int
    area_m2: float
    force_n: float
    acts_at_m: float
    against_tipping_kg: float
    against_sliding_kg: float
    ballast_kg: float
    comes_down_at_m_s: float


@dataclass(frozen=True, kw_only=True, slots=True)
class Wind:
    """A caution about wind, never a certificate."""

    caution: str
    gust_m_s: float
    watch_at_m_s: float
    act_at_m_s: float
    pieces: tuple[WindOnPiece, ...]


@dataclass(frozen=True, kw_only=True, slots=True)
class Plan:
    """How the work falls in time, for the crew as it is; hours by the clock.

    `ahead_h` is how long before the event the first balloon may be inflated, by the shortest
    life among the sizes and the setting; `set_up_h` what the crew needs at the site, and
    `arrive_before_h` and `leave_before_h` how long before the event it is there and leaves.
    Helium is filled on the day, `helium_ahead_h` before the event at the earliest; None where
    nothing floats.
    """

    crew: int
    bench_h: float
    ahead_h: float
    helium_h: float
    helium_ahead_h: float | None
    set_up_h: float
    arrive_before_h: float
    leave_before_h: float
    strike_h: float


@dataclass(frozen=True, kw_only=True, slots=True)
class Fitting:
    """Something besides latex that a piece needs: bought, hired, or owned and worn.

    `piece` is the index of the piece it belongs to, None for the whole job; `place` says where
    on the piece and `mount` how it is held, both for people. Time [s] is for all `count`. `at_m`
    is where along the path of each such piece it goes [m], where it has places of its own.
    """

    code: str
    label: str
    piece: int | None
    count: int
    unit: str
    unit_cost: Decimal
    cost: Decimal
    seconds: float
    place: str
    mount: str
    at_m: tuple[float, ...] = ()


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
    """quantity × rate = amount, exactly; `taxable` by the tax rules of the place."""

    code: str
    label: str
    quantity: Decimal
    unit: str
    rate: Decimal
    amount: Decimal
    taxable: bool = False


@dataclass(frozen=True, kw_only=True, slots=True)
class Cost:
    """What the job costs the shop, overhead left out: P10, P50 and P90."""

    low: Decimal
    likely: Decimal
    high: Decimal


@dataclass(frozen=True, kw_only=True, slots=True)
class Driver:
    """One thing that may come out differently, by its share of the whole spread."""

    name: str
    share: float


@dataclass(frozen=True, kw_only=True, slots=True)
class Price:
    """What to charge: P10, P50 and P90 of what the job will have to cost the client.

    `tax_rate` is the sales tax as a fraction, charged on `taxable_share` of the price; it is in
    the figures where `tax_included`, and comes on top of them otherwise. `tax` is its amount on
    the likely price.
    """

    low: Decimal
    likely: Decimal
    high: Decimal
    currency: str
    tax_included: bool
    deposit: Decimal
    tax_rate: Decimal = Decimal(0)
    taxable_share: Decimal = Decimal(1)
    tax: Decimal = Decimal(0)


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
    """The whole answer: same brief, same price book, same calibration, same day, same estimate.

    `calibration_version` names what the shop's finished jobs have moved it by, None for nothing.
    """

    pieces: tuple[PieceEstimate, ...]
    balloons_total: int
    spares: tuple[SpareLine, ...]
    shopping: Shopping
    fittings: tuple[Fitting, ...]
    hours: Mapping[str, float]
    plan: Plan
    helium: Helium
    expansion: Expansion | None
    load: Load
    wind: Wind | None
    travel: Travel
    cautions: tuple[Caution, ...]
    cost_lines: tuple[CostLine, ...]
    cost: Cost
    price: Price
    drivers: tuple[Driver, ...]
    completeness: float
    known_as: str
    assumptions: tuple[Assumption, ...]
    explanation: tuple[Reason, ...]
    price_book_version: str
    calibration_version: str | None = None
