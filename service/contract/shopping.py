"""The wire form of shopping lists and purchases. Money is a decimal string."""

from datetime import date, datetime
from decimal import Decimal
from typing import Annotated, Literal

from pydantic import Field, StrictBool, StrictInt, model_validator

from service.contract.brief import Wire
from service.contract.figure import Whole
from service.contract.times import Day

Name = Annotated[str, Field(min_length=1, max_length=200)]
LeadId = Annotated[str, Field(min_length=1, max_length=32)]
Paid = Annotated[Decimal, Field(ge=0, le=100_000, decimal_places=2)]


class Held(Wire):
    """Balloons of one size [in] and colour."""

    size_class: Whole
    colour: str
    count: Whole


class WantedBy(Wire):
    """A job that something is for, how many of it, and when its first balloon is made."""

    lead_id: str
    number: str
    count: Whole
    making_on: date | None


class ShoppingPack(Wire):
    """Packs of one bag or mixed pack; `contents` is what one holds.

    `id` is that of the purchase that marking it as bought makes. `order_by` is the last day to
    order it on, so that it is there a day before the first of its jobs is made.
    """

    id: str
    supplier: str
    item: str
    size_class: Whole | None
    colour: str | None
    pack_size: Whole
    contents: list[Held]
    packs: Whole
    unit_price: Decimal
    cost: Decimal
    jobs: list[WantedBy]
    making_on: date | None
    order_by: date | None
    timing: Literal["undated", "in_time", "today", "just", "late"]


class GetSooner(Wire):
    """What faster suppliers have for the jobs that an order comes too late for."""

    numbers: list[str]
    lines: list[ShoppingPack]
    cost: Decimal
    in_time: StrictBool
    arrives_on: date | None
    missing: list[Held]


class ShoppingAt(Wire):
    """What to buy from one supplier; ordered today it is there on `arrives_on`."""

    name: str
    lead_days: Whole
    working_days: StrictBool
    lines: list[ShoppingPack]
    goods: Decimal
    delivery: Decimal
    total: Decimal
    arrives_on: date
    order_by: date | None
    timing: Literal["undated", "in_time", "today", "just", "late"]
    sooner: GetSooner | None


class OnShelf(Wire):
    """Balloons from the shop's own shelf: set `aside` for these jobs, or still `free`."""

    size_class: Whole
    colour: str
    aside: Whole
    free: Whole


class StandsIn(Wire):
    """So many balloons in place of those wanted."""

    wanted: Held
    by: Held


class BesidesBalloons(Wire):
    """What is bought, hired, or at hand as a rule; the cost is about right."""

    id: str
    sort: Literal["buy", "hire", "supplies"]
    item: str
    unit: str
    count: Whole
    unit_cost: Decimal
    cost: Decimal
    jobs: list[WantedBy]
    wanted_on: date | None


class ShoppingList(Wire):
    """Everything to get for some jobs, at the least cost.

    Where the search was cut short `proven` is false, and `could_save` is how much less it could
    cost at most. `unknown` are balloons that the price book no longer has.
    """

    numbers: list[str]
    currency: str
    goods: Decimal
    delivery: Decimal
    cost: Decimal
    whole: Decimal = Field(
        description="The cost of balloons, and about what else is to be bought or hired."
    )
    proven: StrictBool
    could_save: Decimal
    suppliers: list[ShoppingAt]
    shelf: list[OnShelf]
    stand_ins: list[StandsIn]
    left_over: list[Held]
    besides: list[BesidesBalloons]
    unknown: list[Held]


class BoughtBag(Wire):
    """A bag of the price book."""

    supplier: Name
    size_class: StrictInt = Field(ge=1, le=99)
    colour: Annotated[str, Field(min_length=1, max_length=80)]
    pack_size: StrictInt = Field(ge=1, le=10_000)


class BoughtMixedPack(Wire):
    """A mixed pack of the price book by its name."""

    supplier: Name
    item: Name


class BoughtThing(Wire):
    """Something besides balloons, as the list has it."""

    item: Name
    unit_cost: Paid


class BoughtItem(Wire):
    """So many of one thing; `id` as the list has it. Without `paid` it cost what the list says."""

    id: str = Field(pattern="^[0-9a-zA-Z_-]{1,32}$")
    bag: BoughtBag | None = None
    mixed_pack: BoughtMixedPack | None = None
    thing: BoughtThing | None = None
    packs: StrictInt = Field(ge=1, le=1000)
    paid: Paid | None = None

    @model_validator(mode="after")
    def _is_one_thing(self) -> "BoughtItem":
        if sum(each is not None for each in (self.bag, self.mixed_pack, self.thing)) != 1:
            raise ValueError("give one of bag, mixed_pack and thing")
        return self


class NewPurchases(Wire):
    """Body of `POST /v1/purchases`: what was bought for one job, or for those booked until a day.

    An id that is known already changes nothing.
    """

    lead_id: LeadId | None = None
    until: Day | None = None
    items: list[BoughtItem] = Field(min_length=1, max_length=500)


class SetAside(Wire):
    """Body of `POST /v1/shopping/set-aside`: for one job, or for those booked until a day."""

    lead_id: LeadId | None = None
    until: Day | None = None


class PurchaseChange(Wire):
    """Body of `PUT /v1/purchases/{id}`: so many after all, `seen` before; 0 undoes it."""

    packs: StrictInt = Field(ge=0, le=1000)
    seen: StrictInt = Field(ge=1, le=1000)
    paid: Paid | None = None


class Purchase(Wire):
    """A purchase that was written down; `leads` are the jobs that it was for."""

    id: str
    supplier: str
    item: str
    contents: list[Held]
    packs: Whole
    cost: Decimal
    currency: str
    bought_at: datetime
    who: str
    leads: list[str]
    undone_at: datetime | None
