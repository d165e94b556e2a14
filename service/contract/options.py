"""The wire form of what else could be had: briefs near the one that was asked for."""

from pydantic import Field

from service.contract.brief import Brief, Wire
from service.contract.estimate import Estimate, Price


class Option(Wire):
    """A brief that could be built instead, with its price."""

    changes: list[str] = Field(description="What differs from the brief asked for, in words.")
    fits: bool | None = Field(
        description="Whether its likely price, tax and all, is within the budget; null without one."
    )
    brief: Brief
    price: Price
    balloons_total: int
    estimate: Estimate | None = Field(
        default=None, description="The whole estimate, where it was asked for."
    )
