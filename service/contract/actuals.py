"""The wire form of what a finished job really took, and of how that compares with its estimate."""

import datetime as dt
from decimal import Decimal
from typing import Literal

from pydantic import Field, StrictBool, StrictInt

from service.contract.brief import Wire
from service.contract.figure import Number, Whole


class UsedBalloons(Wire):
    """Balloons of one size [in] and colour that were used up, burst ones among them."""

    size_class: Whole
    colour: str = Field(min_length=1, max_length=80)
    count: StrictInt = Field(ge=0, le=100_000)


class Extra(Wire):
    """Something that was bought besides what was planned."""

    what: str = Field(min_length=1, max_length=80)
    amount: Decimal = Field(gt=0, le=100_000, decimal_places=2)


class Told(Wire):
    """What was told of a job. What is left out went as planned, and nothing is learnt from it."""

    hours: dict[str, float] = Field(
        default={}, description="Of all hands together, by task, without the drive."
    )
    drive_h: Number | None = Field(default=None, description="By the clock, on every trip.")
    driven_m: Number | None = Field(default=None, description="Metres there and back, every trip.")
    used: Whole | None = Field(default=None, description="Balloons in all, burst ones among them.")
    used_by: list[UsedBalloons] = Field(default=[], max_length=500)
    burst: dict[int, int] = Field(default={}, description="By size class in inches.")
    extras: list[Extra] = Field(default=[], max_length=10)
    went_wrong: str = Field(default="", max_length=300)
    back: StrictBool = Field(default=False, description="What was not used goes back to stock.")
    as_planned: StrictBool = Field(
        default=False, description="The owner's word for it; nothing was measured or is learnt."
    )


class ActualsRequest(Told):
    """Body of `PUT /v1/leads/{lead_id}/actuals`: all of it, in place of what was told before.

    Without anything in it, it is as if nothing had been told.
    """

    basis: str = Field(max_length=24, description="The quote's number, as it was read.")
    revision: StrictInt = Field(ge=0, description="As it was read; 0 where nothing was told yet.")
    sure: list[str] = Field(
        default=[],
        max_length=500,
        description="Fields that were refused for being far off their plan, and that are so.",
    )


class Figure(Wire):
    """Planned and real; `told` is false where nothing was told and the plan stands for both."""

    name: str
    planned: Number
    real: Number
    told: StrictBool


class CostLine(Wire):
    """A line of cost, planned and real."""

    label: str
    planned: Decimal
    real: Decimal
    told: StrictBool


class Comparison(Wire):
    """The job against its estimate; costs and margins are before overhead, `price` before tax."""

    hours: list[Figure] = Field(description="By task.")
    balloons: list[Figure] = Field(description="Used, by size class.")
    shared_out: StrictBool = Field(description="Of them only the number in all is known.")
    burst: list[Figure] = Field(description="By size class; planned is what was reckoned with.")
    driven_m: Figure
    lines: list[CostLine]
    planned_cost: Decimal
    real_cost: Decimal
    low: Decimal = Field(description="P10 of the cost as it was estimated.")
    likely: Decimal = Field(description="P50: with what usually goes wrong.")
    high: Decimal = Field(description="P90.")
    overhead: Decimal = Field(description="The price book's share of the planned cost.")
    place: Literal["below", "within", "above"]
    price: Decimal
    planned_margin: Decimal
    real_margin: Decimal
    currency: str


class Actuals(Wire):
    """How a finished job went; `told` is null while nothing was told."""

    lead_id: str
    number: str
    basis: str
    revision: Whole
    told: Told | None
    done_on: dt.date | None
    changed_at: dt.datetime | None
    who: str | None
    photos: list[str] = Field(description="Their names, the oldest first.")
    comparison: Comparison
