"""The wire form of a build sheet: how the pieces of a quote are made. Metres and hours."""

import datetime as dt

from pydantic import Field, StrictBool

from service.contract.brief import Wire
from service.contract.figure import Number, Whole


class Sizing(Wire):
    """Where the sizing box is set for a size class [in]: in the workshop, and at the site."""

    size_class: Whole
    box_m: Number
    at_site_m: Number


class Held(Wire):
    """So many balloons of one size class and color."""

    size_class: Whole
    colour: str
    count: Whole


class Total(Wire):
    """Balloons that are sized alike: `count` go into pieces, `spares` lie ready beside them."""

    size_class: Whole
    box_m: Number
    colour: str
    count: Whole
    spares: Whole


class Letter(Wire):
    """Clusters that are tied alike."""

    letter: str
    name: str
    filler: StrictBool = Field(description="Pushed in between those that are tied to the line.")
    holds: list[Held]
    each: Whole = Field(description="How many one such piece has.")
    all: Whole = Field(description="How many all such pieces have.")


class Step(Wire):
    """Clusters `first` to `last` along the line: `letters`, `times` over."""

    first: Whole
    last: Whole
    letters: list[str]
    times: Whole


class Stretch(Wire):
    """One run of garland, by distance along the path; under a ceiling, along its row."""

    name: str
    start_m: Number
    length_m: Number
    held_at_m: list[Number]
    steps: list[Step]


class Attached(Wire):
    """Something that is fitted to a piece."""

    mark: str = Field(description="What the diagram calls it; empty where it is not there.")
    text: str
    place: str
    mount: str


class PieceSheet(Wire):
    """How one kind of piece is made: the recipe and lengths of one, the balloons of all `count`."""

    name: str
    title: str
    count: Whole
    start: str = Field(description="Where clusters and distances are counted from.")
    garland_m: Number
    line_m: Number
    line_joins: Whole
    knots: Whole
    sizing: list[Sizing]
    balloons: list[Total]
    letters: list[Letter]
    stretches: list[Stretch]
    attached: list[Attached]


class Part(Wire):
    """Clusters of one piece, of the `copy`-th of `copies` that are alike; `piece` is its index."""

    piece: Whole
    name: str
    copy_: Whole = Field(alias="copy")
    copies: Whole
    first: Whole
    last: Whole


class Bag(Wire):
    """Which clusters go into a bag, and the balloons that they are made of."""

    number: Whole
    of: Whole
    label: str
    parts: list[Part]
    contents: list[Held]


class BuildSheet(Wire):
    """What the maker has on the bench, without prices and names. Times are in the shop's zone."""

    number: str
    place: str
    day: dt.date | None
    begins_at: dt.datetime | None
    leaves_at: dt.datetime | None
    inflate_from: dt.datetime | None = Field(
        description="When the first balloon may be inflated, where the event's time is known."
    )
    fresh_h: Number = Field(description="How long before the event that is.")
    crew: Whole
    making: list[tuple[str, float]] = Field(
        description="Time at the bench by task, by the clock for the crew as it is."
    )
    pieces: list[PieceSheet]
    totals: list[Total]
    bags: list[Bag]
    floats: list[str]
    extras: list[str] = Field(description="What is used up on the job as a whole.")
    cautions: list[str]
