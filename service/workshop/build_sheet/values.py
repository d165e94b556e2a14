"""What a build sheet says, as frozen values. Metres and hours; texts are in English."""

from dataclasses import dataclass
from datetime import date, datetime

from service.workshop.build_sheet.diagram import Diagram

SMALLEST_PILE = 3
"""Clusters alike, on average, from which on piles by letter are worth the table they lie on."""


@dataclass(frozen=True, kw_only=True, slots=True)
class Sizing:
    """Where the sizing box is set for a size class [in]: in the workshop, and at the site [m]."""

    size_class: int
    box_m: float
    at_site_m: float


@dataclass(frozen=True, kw_only=True, slots=True)
class Held:
    """So many balloons of one size class [in] and colour."""

    size_class: int
    colour: str
    count: int


@dataclass(frozen=True, kw_only=True, slots=True)
class Total:
    """Balloons that are sized alike [m]: `count` go into pieces, `spares` lie ready beside them."""

    size_class: int
    box_m: float
    colour: str
    count: int
    spares: int


@dataclass(frozen=True, kw_only=True, slots=True)
class Letter:
    """Clusters that are tied alike: their letter, what each holds, and how many to tie.

    A `filler` is pushed in between those that are tied to the line. `each` are those of one such
    piece, `all` those of all.
    """

    letter: str
    name: str
    filler: bool
    holds: tuple[Held, ...]
    each: int
    all: int


@dataclass(frozen=True, kw_only=True, slots=True)
class Step:
    """Clusters `first` to `last` along the line: `letters`, `times` over."""

    first: int
    last: int
    letters: tuple[str, ...]
    times: int


@dataclass(frozen=True, kw_only=True, slots=True)
class Stretch:
    """One run of garland: where it begins and is held, by distance along the path [m].

    Under a ceiling every row is measured from its own beginning.
    """

    name: str
    start_m: float
    length_m: float
    held_at_m: tuple[float, ...]
    steps: tuple[Step, ...]


@dataclass(frozen=True, kw_only=True, slots=True)
class Attached:
    """Something that is fitted to a piece; `mark` is what the diagram calls it, if it is there."""

    mark: str
    text: str
    place: str
    mount: str


@dataclass(frozen=True, kw_only=True, slots=True)
class PieceSheet:
    """How one kind of piece is made. Lengths [m] are of one of its `count`; so is the recipe.

    `balloons` are those of all of them. `start` says where clusters and distances are counted
    from. Where the estimate knows no order, there are no letters and no steps.
    """

    name: str
    title: str
    count: int
    start: str
    garland_m: float
    line_m: float
    line_joins: int
    knots: int
    sizing: tuple[Sizing, ...]
    balloons: tuple[Total, ...]
    letters: tuple[Letter, ...]
    stretches: tuple[Stretch, ...]
    attached: tuple[Attached, ...]
    diagram: Diagram

    @property
    def by_piles(self) -> bool:
        """Whether piles of each letter pay; else every cluster is tied when its turn comes."""
        return sum(each.all for each in self.letters) >= SMALLEST_PILE * len(self.letters)


@dataclass(frozen=True, kw_only=True, slots=True)
class Part:
    """Clusters `first` to `last` of one piece: of the `copy`-th of `copies` that are alike."""

    piece: int
    name: str
    copy: int
    copies: int
    first: int
    last: int


@dataclass(frozen=True, kw_only=True, slots=True)
class Bag:
    """Bag `number` of `of`: which clusters go into it, and the balloons that they are made of."""

    number: int
    of: int
    parts: tuple[Part, ...]
    contents: tuple[Held, ...]

    @property
    def label(self) -> str:
        """ "column 1 of 2, clusters 1–8; round-top frame, clusters 1–14"."""
        return "; ".join(map(_said, self.parts))


def _said(part: Part) -> str:
    which = f"{part.name} {part.copy} of {part.copies}" if part.copies > 1 else part.name
    if part.first == part.last:
        return f"{which}, cluster {part.first}"
    return f"{which}, clusters {part.first}–{part.last}"


@dataclass(frozen=True, kw_only=True, slots=True)
class BuildSheet:
    """What the maker has on the bench. No price is in it, and nobody's name.

    Times are in the shop's zone. `fresh_h` is how long before the event the first balloon may be
    inflated [h], `inflate_from` when that is, where it is known. `making` is time at the bench by
    task, by the clock for the crew as it is [h].
    """

    number: str
    place: str
    day: date | None
    begins_at: datetime | None
    leaves_at: datetime | None
    inflate_from: datetime | None
    fresh_h: float
    crew: int
    making: tuple[tuple[str, float], ...]
    pieces: tuple[PieceSheet, ...]
    totals: tuple[Total, ...]
    bags: tuple[Bag, ...]
    floats: tuple[str, ...]
    extras: tuple[str, ...]
    cautions: tuple[str, ...]
