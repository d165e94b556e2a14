"""What an estimate was computed from and by way of."""

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal

from service.estimating.answer import (
    Assumption,
    Cost,
    CostLine,
    Expansion,
    Fitting,
    Helium,
    Load,
    PieceEstimate,
    Plan,
    Price,
    SpareLine,
    Travel,
    Wind,
)
from service.estimating.brief import Brief
from service.estimating.building import Built
from service.estimating.calibration import Calibration
from service.estimating.price import Tax
from service.estimating.risk import Known, Risk
from service.estimating.shopping import Purchase
from service.estimating.uncertainty import Outcome


@dataclass(frozen=True, kw_only=True, slots=True)
class Workings:
    """What was computed on the way and the figures are explained from.

    `cost_lines` are all of the answer's, overhead the last; `hours` as the shop works, by the
    record that `calibration` holds.
    """

    brief: Brief
    built: tuple[Built, ...]
    pieces: tuple[PieceEstimate, ...]
    spares: tuple[SpareLine, ...]
    purchase: Purchase
    fittings: tuple[Fitting, ...]
    notes: tuple[Assumption, ...]
    hours: Mapping[str, float]
    plan: Plan
    helium: Helium
    expansion: Expansion | None
    load: Load
    wind: Wind | None
    travel: Travel
    cost_lines: tuple[CostLine, ...]
    cost: Cost
    surcharges: Mapping[str, Decimal]
    tax: Tax
    risk: Risk
    outcome: Outcome
    price: Price
    known: Known
    calibration: Calibration
