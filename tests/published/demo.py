"""The demo shop's answers, which rows of several subjects ask for."""

import datetime as dt
from functools import cache
from pathlib import Path

from service.estimating import (
    Brief,
    Build,
    ColourShare,
    Estimate,
    Event,
    Fullness,
    Piece,
    PriceBook,
    Setting,
    Site,
    Support,
    estimate,
)
from service.storage.price_book import read_price_book
from tests.published.row import FOOT, INCH

TODAY = dt.date(2027, 1, 10)

FRAME = Piece(support=Support.ROUND_TOP_FRAME, width_m=4 * FOOT, height_m=7 * FOOT)
"""The round-top frame of 4 by 7 ft."""


@cache
def book() -> PriceBook:
    """The demo shop's price book."""
    path = Path(__file__).parents[2] / "deploy" / "price_book.yaml"
    return read_price_book(path.read_text(encoding="utf-8"), path.name)


@cache
def answer_to(piece: Piece) -> Estimate:
    """The estimate of one piece in three colours, every fact known."""
    brief = Brief(
        pieces=(piece,),
        palette=tuple(ColourShare(colour=name) for name in ("sage", "cream", "gold")),
        event=Event(date=dt.date(2027, 6, 8), start_time=dt.time(15)),
        site=Site(setting=Setting.INDOOR, latitude=42.3637, longitude=-71.1034),
    )
    return estimate(brief, book(), today=TODAY)


def frame() -> Estimate:
    """The estimate of that frame."""
    return answer_to(FRAME)


def along_wall(length_ft: float, fullness: Fullness) -> Piece:
    """An organic garland along a wall."""
    return Piece(support=Support.WALL, length_m=length_ft * FOOT, fullness=fullness)


def quads_along(length_ft: float, size_class: int, sized_in: float) -> Piece:
    """Nested quads of one sized diameter along a wall."""
    return Piece(
        support=Support.WALL,
        build=Build.QUADS,
        length_m=length_ft * FOOT,
        size_class=size_class,
        sized_m=sized_in * INCH,
    )


def of_size(answer: Estimate, size_class: int) -> float:
    """Balloons of one size class over all pieces and colours."""
    counts = (b for piece in answer.pieces for b in piece.balloons)
    return sum(b.count for b in counts if b.size_class == size_class)
