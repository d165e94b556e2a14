"""Jobs of estimates, and the shopping lists that they come to; no database."""

import datetime as dt
import math
from collections import Counter
from collections.abc import Mapping, Sequence
from functools import cache

from service.estimating import (
    Brief,
    ColourShare,
    Estimate,
    Fullness,
    Piece,
    PriceBook,
    SpareLine,
    Support,
    estimate,
)
from service.estimating.book import Key
from service.storage.price_book import read_price_book
from service.workshop.shopping_list import Job, Question, ShoppingList, solve
from tests.service.building import PRICE_BOOK

TODAY = dt.date(2027, 6, 1)  # a Tuesday
COLOURS = ("white", "sage", "cream", "gold", "navy", "moonlit teal")


@cache
def demo() -> PriceBook:
    return read_price_book(PRICE_BOOK.read_text(encoding="utf-8"), PRICE_BOOK.name)


def brief_of(length: float, *colours: str, fullness: Fullness = Fullness.FULL) -> Brief:
    piece = Piece(support=Support.WALL, length_m=length, fullness=fullness)
    return Brief(pieces=(piece,), palette=tuple(ColourShare(colour=name) for name in colours))


@cache
def made(length: float, *colours: str, fullness: Fullness = Fullness.FULL) -> Estimate:
    return estimate(brief_of(length, *colours, fullness=fullness), demo(), today=TODAY)


def job(
    spares: Sequence[SpareLine],
    number: str = "G1001",
    *,
    making_on: dt.date | None = None,
    has: Mapping[Key, int] | None = None,
) -> Job:
    return Job(
        lead_id=number,
        number=number,
        booked=True,
        takes=tuple(spares),
        alone={(line.size_class, line.colour): line.taken for line in spares},
        has=has or {},
        making_on=making_on,
    )


def listed(
    *jobs: Job, free: Mapping[Key, int] | None = None, book: PriceBook | None = None
) -> ShoppingList:
    return solve(Question(jobs=jobs, free=free or {}, today=TODAY), book or demo())


def there(found: ShoppingList) -> Counter[Key]:
    """What can be put to use by the list: bought, from the shelf, in place of something else."""
    held: Counter[Key] = Counter()
    for line in (line for supplier in found.suppliers for line in supplier.lines):
        for holding in line.contents:
            held[holding.size_class, holding.colour] += line.packs * holding.count
    for each in found.shelf:
        held[each.size_class, each.colour] += each.aside + each.free
    for fill in found.stand_ins:
        held[fill.wanted] += fill.count
        held[fill.source] -= fill.count
    return held


def fewest(placed: int, breakage: float, level: float) -> int:
    """The fewest balloons of which so many stay whole at that level, by adding up the binomial."""
    taken = placed
    while (
        sum(
            math.comb(taken, lost) * breakage**lost * (1 - breakage) ** (taken - lost)
            for lost in range(taken - placed + 1)
        )
        < level
    ):
        taken += 1
    return taken


def taking(size: int, placed: int, level: float) -> SpareLine:
    return SpareLine(
        size_class=size,
        colour="white",
        placed=placed,
        taken=fewest(placed, 0.05, level),
        breakage=0.05,
        enough=level,
        share=0.0,
    )
