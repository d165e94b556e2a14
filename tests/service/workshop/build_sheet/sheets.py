"""Build sheets of real estimates, each brief estimated once."""

import datetime as dt
from collections import Counter
from collections.abc import Iterable, Iterator
from functools import cache
from typing import Any

from service.estimating import (
    Accent,
    AccentKind,
    Brief,
    ColourShare,
    Estimate,
    Event,
    Floating,
    FloatKind,
    Piece,
    Setting,
    Site,
    Support,
    estimate,
)
from service.storage.price_book import PriceBookFile
from service.workshop.build_sheet import BuildSheet, Held, PieceSheet, build_sheet, saying
from tests.service.building import PRICE_BOOK, a_brief

BOOK = PriceBookFile(PRICE_BOOK).current()
TODAY = dt.date(2027, 1, 10)
FOOT = 0.3048
Key = tuple[int, str]

ARCH = Piece(
    support=Support.FREESTANDING_ARCH,
    width_m=10 * FOOT,
    height_m=8 * FOOT,
    accents=(Accent(kind=AccentKind.FLOWERS, count=9), Accent(kind=AccentKind.RIBBON)),
)
COLUMNS = Piece(support=Support.COLUMN, height_m=6 * FOOT, count=2)
ROWS = Piece(support=Support.CEILING, length_m=4, width_m=2.4)


def of(*names: str) -> tuple[ColourShare, ...]:
    return tuple(ColourShare(colour=name) for name in names)


LAWN = a_brief(
    pieces=(ARCH, COLUMNS),
    palette=of("navy", "white", "gold"),
    event=Event(occasion="anniversary", date=dt.date(2027, 6, 6), start_time=dt.time(15)),
    site=Site(
        setting=Setting.OUTDOOR,
        place="Alder Mills Rowing Club, Boathouse Lane 4",
        temperature_c=35,
    ),
    foils=("5", "0"),
    floating=(Floating(kind=FloatKind.LATEX, size_class=11, count=12),),
)


@cache
def estimated(brief: Brief) -> Estimate:
    return estimate(brief, BOOK, today=TODAY)


def sheet_for(brief: Brief, **known: Any) -> BuildSheet:
    return build_sheet(brief, estimated(brief), BOOK, number="G1042", **known)


def in_it(piece: PieceSheet) -> Iterator[Held]:
    """What one goes through from the first to the last cluster of one such piece."""
    for stretch in piece.stretches:
        for _, letter in saying.one_by_one(piece, stretch):
            yield from letter.holds


def counted(held: Iterable[Held], times: int = 1) -> Counter[Key]:
    found: Counter[Key] = Counter()
    for each in held:
        found[each.size_class, each.colour] += each.count * times
    return found
