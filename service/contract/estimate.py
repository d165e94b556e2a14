"""The wire form of an estimate: the computed answer to a brief."""

from decimal import Decimal
from typing import Literal

from pydantic import Field

from service.contract.brief import SupportName, Wire


class BalloonCount(Wire):
    """Balloons of one size class and colour: `count` go into the piece, `spares` beside it."""

    size_class: int
    colour: str
    count: int
    spares: int


class PieceEstimate(Wire):
    """One kind of piece. Lengths are of one such piece; balloons and clusters of all `count`."""

    support: SupportName
    count: int
    path_length_m: float
    garland_length_m: float
    girth_m: float
    line_length_m: float
    attachment_points: int
    clusters: dict[str, int]
    balloons: list[BalloonCount]


class ShoppingLine(Wire):
    """Packs of one bag or kit to buy."""

    item: str
    supplier: str
    size_class: int | None
    colour: str | None
    pack_size: int
    packs: int
    unit_price: Decimal
    cost: Decimal


class StockLine(Wire):
    """Balloons that the shop already has and this job takes."""

    size_class: int
    colour: str
    count: int


class Shopping(Wire):
    """What to buy, at the least cost that covers every colour and size."""

    lines: list[ShoppingLine]
    from_stock: list[StockLine]
    cost: Decimal
    used_cost: Decimal = Field(description="The share of the packs that this job uses up.")
    proven_cheapest: bool


class Helium(Wire):
    """Helium for what must float. Air-filled pieces need none."""

    needed: bool
    volume_m3: float


class Load(Wire):
    """What it takes up on the road."""

    inflated_volume_m3: float
    bags: int
    car_loads: int


class Wind(Wire):
    """A caution about wind, never a certificate."""

    caution: str


class Travel(Wire):
    """The way to the site and back."""

    distance_m: float | None
    round_trip_m: float | None
    drive_hours: float
    in_area: bool


class Caution(Wire):
    """A safety text chosen by the brief."""

    code: str
    text: str


class CostLine(Wire):
    """quantity × rate = amount."""

    code: str
    label: str
    quantity: Decimal
    unit: str
    rate: Decimal
    amount: Decimal


class Price(Wire):
    """What to charge: P10, P50 and P90 of what the job will have to cost the client."""

    low: Decimal
    likely: Decimal
    high: Decimal
    currency: str
    tax_included: bool
    deposit: Decimal
    tax_rate: Decimal = Field(
        default=Decimal(0), description="Sales tax as a fraction; on top unless `tax_included`."
    )


class Reason(Wire):
    """Where a figure comes from."""

    figure: str
    value: str
    formula: str
    inputs: dict[str, str]
    source: str


class Assumption(Wire):
    """Something the brief left open, and what was taken instead."""

    field: str
    text: str


class Estimate(Wire):
    """The whole answer."""

    pieces: list[PieceEstimate]
    balloons_total: int
    shopping: Shopping
    hours: dict[str, float]
    helium: Helium
    load: Load
    wind: Wind | None
    travel: Travel
    cautions: list[Caution]
    cost_lines: list[CostLine]
    price: Price
    completeness: float = Field(ge=0, le=1, description="Share of the facts that matter known.")
    assumptions: list[Assumption]
    explanation: list[Reason]
    price_book_version: str


class FieldProblem(Wire):
    """One fault of a brief: which field, what is wrong, what is allowed."""

    field: str
    detail: str


class Problem(Wire):
    """RFC 9457 problem details."""

    type: str = "about:blank"
    title: str
    status: int
    detail: str | None = None
    instance: str | None = None
    errors: list[FieldProblem] | None = None


Channel = Literal["telegram", "webchat", "form", "api"]
