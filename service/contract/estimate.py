"""The wire form of an estimate: the computed answer to a brief."""

from decimal import Decimal
from typing import Literal

from pydantic import Field, StrictBool

from service.contract.bookings import Window
from service.contract.brief import SupportName, Wire
from service.contract.figure import Number, Whole


class Point(Wire):
    """A place on the path: `x` along it, `y` up from the floor, `z` towards the viewer [m]."""

    x: Number
    y: Number
    z: Number


class BalloonCount(Wire):
    """Balloons of one size class and colour: `count` go into the piece, `spares` beside it."""

    size_class: Whole
    colour: str
    count: Whole
    spares: Whole


class ClusterType(Wire):
    """Clusters that are tied alike, and how many there are in all pieces."""

    kind: str
    balloons: list[tuple[int, str, int]] = Field(
        description="What each holds: size class, color, number."
    )
    count: Whole
    filler: StrictBool | None = Field(
        default=None, description="Pushed in between those that are tied to the line."
    )


class PieceEstimate(Wire):
    """One kind of piece. Lengths are of one such piece; balloons and clusters of all `count`."""

    support: SupportName
    count: Whole
    path_length_m: Number
    start: Point
    end: Point
    runs: list[tuple[float, float]] = Field(
        description="Stretches of the path that carry garland: from and to, in metres along it."
    )
    garland_length_m: Number
    girth_m: Number
    line_length_m: Number
    line_joins: Whole
    attachment_points: Whole
    attachments_m: list[Number] = Field(
        description="Where along the path the garland is held, in metres."
    )
    clusters: dict[str, int]
    balloons: list[BalloonCount]
    pattern: str
    cluster_types: list[ClusterType]
    order: list[Whole] = Field(
        description="Cluster by cluster along the line of one piece: its index in `cluster_types`."
    )


class SpareLine(Wire):
    """How many of one size and colour are taken so that enough of them stay whole."""

    size_class: Whole
    colour: str
    placed: Whole
    taken: Whole
    breakage: Number = Field(description="The odds that one balloon breaks.")
    enough: Number = Field(description="The probability that `placed` of `taken` stay whole.")
    share: Number = Field(description="The flat percentage on top that this comes to.")


class ShoppingLine(Wire):
    """Packs of one bag or kit to buy."""

    item: str
    supplier: str
    size_class: Whole | None
    colour: str | None
    pack_size: Whole
    packs: Whole
    unit_price: Decimal
    cost: Decimal


class StockLine(Wire):
    """A number of balloons of one size class and colour."""

    size_class: Whole
    colour: str
    count: Whole


class Filled(Wire):
    """Balloons of another size or colour that stand in for the ones wanted."""

    size_class: Whole
    colour: str
    by_size_class: Whole
    by_colour: str
    count: Whole


class Order(Wire):
    """What one supplier gets: the goods, and the charge for bringing them."""

    supplier: str
    goods: Decimal
    delivery: Decimal


class Shopping(Wire):
    """What to buy, at the least cost that covers every colour and size."""

    lines: list[ShoppingLine]
    orders: list[Order]
    from_stock: list[StockLine]
    filled: list[Filled]
    left_over: list[StockLine]
    cost: Decimal = Field(description="All that is paid, delivery included.")
    used_cost: Decimal = Field(
        description="Every balloon of the job at the best rate that the price book knows for it."
    )
    leftover_value: Decimal
    proven_cheapest: StrictBool
    gap: Number = Field(description="How much cheaper it could be at most, as a share of the cost.")


class Fitting(Wire):
    """Something besides latex that a piece needs: bought, hired, or owned and worn."""

    code: str = Field(description="Of the cost line that it goes into.")
    label: str
    piece: Whole | None = Field(description="Index of its piece; null for the whole job.")
    count: Whole
    unit: str
    unit_cost: Decimal
    cost: Decimal
    seconds: Number
    place: str
    mount: str
    at_m: list[Number] = Field(
        default_factory=list,
        description="Where along the path of each such piece it goes, in metres.",
    )


class Plan(Wire):
    """How the work falls in time, for the crew as it is; hours by the clock."""

    crew: Whole
    bench_h: Number
    ahead_h: Number = Field(
        description="How long before the event the first balloon may be inflated."
    )
    helium_h: Number
    helium_ahead_h: Number | None = Field(
        description="How long before the event helium may be filled; null where nothing floats."
    )
    set_up_h: Number
    arrive_before_h: Number
    leave_before_h: Number
    strike_h: Number


class FloatLine(Wire):
    """Helium balloons of one kind: gas for all, each one's lift and weight, hours up."""

    kind: str
    size_class: Whole
    count: Whole
    gas_m3: Number
    net_lift_kg: Number
    weight_kg: Number
    float_low_h: Number
    float_high_h: Number
    colours: list[SpareLine] = Field(
        default_factory=list, description="Latex by color, with spares; none for foils."
    )


class CylinderLine(Wire):
    """Cylinders of helium to get."""

    label: str
    count: Whole
    contents_m3: Number


class Helium(Wire):
    """Helium for what must float. Air-filled pieces need none."""

    needed: StrictBool
    volume_m3: Number
    balloons: list[FloatLine]
    cylinders: list[CylinderLine]


class SizedFor(Wire):
    """The diameter to blow to in the workshop so that it is right at the site."""

    size_class: Whole
    in_workshop_m: Number
    at_site_m: Number


class Expansion(Wire):
    """Volume and diameter at the site over those in the workshop, and how to size for it."""

    volume_ratio: Number
    diameter_ratio: Number
    sized: list[SizedFor]


class Load(Wire):
    """What it takes up on the road; `trips` there and back, the one to take it down included."""

    inflated_volume_m3: Number
    bags: Whole
    car_loads: Whole
    trips: Whole


class WindOnPiece(Wire):
    """Wind on one piece that stands outdoors, at the gust reckoned with."""

    piece: Whole
    area_m2: Number
    force_n: Number
    acts_at_m: Number
    against_tipping_kg: Number
    against_sliding_kg: Number
    ballast_kg: Number
    comes_down_at_m_s: Number


class Wind(Wire):
    """A caution about wind, never a certificate."""

    caution: str
    gust_m_s: Number
    watch_at_m_s: Number
    act_at_m_s: Number
    pieces: list[WindOnPiece]


class Travel(Wire):
    """The way to the site and back."""

    distance_m: Number | None
    round_trip_m: Number | None
    drive_hours: Number
    in_area: StrictBool


class Caution(Wire):
    """A safety text chosen by the brief."""

    code: str
    text: str


class CostLine(Wire):
    """quantity × rate = amount; `taxable` by the tax rules of the place."""

    code: str
    label: str
    quantity: Decimal
    unit: str
    rate: Decimal
    amount: Decimal
    taxable: StrictBool


class Cost(Wire):
    """What the job costs the shop, overhead left out: P10, P50 and P90."""

    low: Decimal
    likely: Decimal
    high: Decimal


class Price(Wire):
    """What to charge: P10, P50 and P90 of what the job will have to cost the client."""

    low: Decimal
    likely: Decimal
    high: Decimal
    currency: str
    tax_included: StrictBool
    deposit: Decimal
    tax_rate: Decimal = Field(
        default=Decimal(0), description="Sales tax as a fraction; on top unless `tax_included`."
    )
    taxable_share: Decimal = Field(
        default=Decimal(1), description="The part of the price on which it is charged."
    )
    tax: Decimal = Field(default=Decimal(0), description="Its amount on the likely price.")


class Driver(Wire):
    """One thing that may come out differently, by its share of the whole spread."""

    name: str
    share: Number


class Reason(Wire):
    """Where a figure comes from."""

    figure: str
    value: str
    formula: str
    inputs: dict[str, str]
    source: str


class Assumption(Wire):
    """Something the brief left open or the price does not go by, and what was taken instead."""

    field: str
    text: str


class Estimate(Wire):
    """The whole answer."""

    pieces: list[PieceEstimate]
    balloons_total: Whole
    spares: list[SpareLine]
    shopping: Shopping
    fittings: list[Fitting]
    hours: dict[str, float]
    plan: Plan
    helium: Helium
    expansion: Expansion | None
    load: Load
    wind: Wind | None
    travel: Travel
    cautions: list[Caution]
    cost_lines: list[CostLine]
    cost: Cost
    price: Price
    drivers: list[Driver]
    completeness: Number = Field(ge=0, le=1, description="Share of the facts that matter known.")
    known_as: str = Field(description="The same in words.")
    assumptions: list[Assumption]
    explanation: list[Reason]
    price_book_version: str
    calibration_version: str | None = Field(
        default=None,
        max_length=12,
        description="What the shop's finished jobs moved it by; null where the book's word stands.",
    )


class FieldProblem(Wire):
    """One fault of a brief: which field, what is wrong, what is allowed."""

    field: str
    detail: str


class Problem(Wire):
    """RFC 9457 problem details."""

    type: str = "about:blank"
    title: str
    status: Whole
    detail: str | None = None
    instance: str | None = None
    errors: list[FieldProblem] | None = None
    next_free: list[Window] | None = Field(
        default=None, description="Where a set-up time was taken: the next ones that are free."
    )


Channel = Literal["telegram", "webchat", "form", "api"]
