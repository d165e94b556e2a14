"""The wire form of balloons on hand."""

from datetime import datetime
from typing import Literal

from pydantic import Field, model_validator

from service.contract.brief import Wire


class OnHand(Wire):
    """Balloons of one size [in] and colour.

    `reserved` for booked jobs, `free` for new ones; `short` is what was promised beyond them.
    """

    size_class: int
    colour: str
    on_shelf: int
    reserved: int
    free: int
    short: int


class Reserved(Wire):
    """What a booked job was promised."""

    lead_id: str
    size_class: int
    colour: str
    count: int


class ToBuy(Wire):
    """Packs that make good what is short."""

    item: str
    supplier: str
    packs: int
    cost: str


class Stock(Wire):
    """What is on hand; `seen` is the newest move, which a change has to name."""

    seen: int
    on_hand: list[OnHand]
    reserved: list[Reserved]
    to_buy: list[ToBuy]


class Counted(Wire):
    """So many balloons of one size [in] and colour."""

    size_class: int
    colour: str = Field(min_length=1, max_length=80)
    count: int = Field(ge=0, le=100_000)


class StockChange(Wire):
    """Body of `POST /v1/stock`.

    `counted`: what lies on the shelf, promised balloons included, as often as you like. `bought`
    and `used`: so many more or fewer of one kind; they name the move that was `seen`.
    """

    why: Literal["counted", "bought", "used"]
    items: list[Counted] = Field(min_length=1, max_length=500)
    seen: int | None = Field(default=None, ge=0)

    @model_validator(mode="after")
    def _names_what_was_seen(self) -> "StockChange":
        if self.why == "counted":
            return self
        if self.seen is None or len(self.items) != 1:
            raise ValueError("give seen and one item where balloons were bought or used")
        return self


class Move(Wire):
    """Balloons that came in, or went out where `count` is below zero."""

    id: int
    size_class: int
    colour: str
    count: int
    why: Literal["counted", "bought", "booked", "returned", "unused", "used"]
    lead_id: str | None
    at: datetime
    who: str
