"""The wire form of balloons on hand."""

from datetime import datetime
from typing import Literal

from pydantic import Field, StrictInt, model_validator

from service.contract.brief import Wire
from service.contract.figure import Whole


class OnHand(Wire):
    """Balloons of one size [in] and colour.

    `reserved` for booked jobs, `free` for new ones; `short` is what was promised beyond them.
    """

    size_class: Whole
    colour: str
    on_shelf: Whole
    reserved: Whole
    free: Whole
    short: Whole


class Reserved(Wire):
    """What a booked job was promised."""

    lead_id: str
    size_class: Whole
    colour: str
    count: Whole


class ToBuy(Wire):
    """Packs that make good what is short."""

    item: str
    supplier: str
    packs: Whole
    cost: str


class Stock(Wire):
    """What is on hand; `seen` is the newest move, which a change has to name."""

    seen: Whole
    on_hand: list[OnHand]
    reserved: list[Reserved]
    to_buy: list[ToBuy]


class Counted(Wire):
    """So many balloons of one size [in] and colour."""

    size_class: Whole
    colour: str = Field(min_length=1, max_length=80)
    count: StrictInt = Field(ge=0, le=100_000)


class StockChange(Wire):
    """Body of `POST /v1/stock`.

    `counted`: what lies on the shelf, promised balloons included, as often as you like. `bought`
    and `used`: so many more or fewer of one kind; they name the move that was `seen`.
    """

    why: Literal["counted", "bought", "used"]
    items: list[Counted] = Field(min_length=1, max_length=500)
    seen: StrictInt | None = Field(default=None, ge=0)

    @model_validator(mode="after")
    def _names_what_was_seen(self) -> "StockChange":
        if self.why == "counted":
            return self
        if self.seen is None or len(self.items) != 1:
            raise ValueError("give seen and one item where balloons were bought or used")
        return self


class Move(Wire):
    """Balloons that came in, or went out where `count` is below zero."""

    id: Whole
    size_class: Whole
    colour: str
    count: Whole
    why: Literal["counted", "bought", "booked", "returned", "unused", "used"]
    lead_id: str | None
    at: datetime
    who: str
