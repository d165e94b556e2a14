"""The wire form of what else could be had: briefs near the one that was asked for."""

from pydantic import Field, StrictBool

from service.contract.brief import Brief, Wire
from service.contract.estimate import Estimate, Price
from service.contract.figure import Whole


class Option(Wire):
    """A brief that could be built instead, with its price."""

    changes: list[str] = Field(description="What differs from the brief asked for, in words.")
    fits: StrictBool | None = Field(
        description="Whether its likely price, tax and all, is within the budget; null without one."
    )
    brief: Brief
    price: Price
    balloons_total: Whole
    estimate: Estimate | None = Field(
        default=None, description="The whole estimate, where it was asked for."
    )
