"""The line that clusters are tied to, and the clips and bands that hold it."""

import math
from collections.abc import Iterator
from decimal import Decimal

from service.estimating.answer import Fitting
from service.estimating.book import LineAndFixings, LineKind
from service.estimating.brief import Piece
from service.estimating.fitting.garland import Garland
from service.estimating.fitting.words import feet, sentence
from service.estimating.paths import Support, kind_of


def line_and_fixings(
    index: int, piece: Piece, garland: Garland, book: LineAndFixings
) -> Iterator[Fitting]:
    """Line for one kind of piece, then what holds it at each point."""
    if book.kind is LineKind.CORD:
        # A hair less, so that a whole number of metres is not given one more.
        metres = math.ceil(piece.count * garland.line_m - 1e-9)
        yield _line(index, "cord", metres, "m", book.price_per_m, garland, book, piece.count)
    else:
        each = book.price_per_m * Decimal(repr(round(book.length_m, 4)))
        longs = piece.count * garland.line_lengths
        label = "long 260 balloons"
        yield _line(index, label, longs, "balloon", each, garland, book, piece.count)
    clip = ("clip", book.clips_per_point, book.price_per_clip)
    band = ("elastic band", book.bands_per_point, book.price_per_band)
    # Round a wall nothing can be stretched: what is the place's own, and not a stand, takes hooks.
    held = _ON_A_STAND if piece.support in _ROUND else _AT_THE_PLACE
    for (unit, each_point, price), mount in zip((clip, band), held, strict=True):
        if each_point:
            count = piece.count * garland.points * each_point
            place = f"{each_point} at each of the {garland.points} points that hold the garland."
            yield _fitting("fixings", f"{unit}s", index, count, unit, price, place, mount)


_ROUND = frozenset({support for support in Support if kind_of(support).owned} | {Support.STAIRCASE})
"""A band goes round these: the shop's own frames and stands, and a railing."""

_ON_A_STAND = (
    "Fix each to the support and lay the line in.",
    "Stretch each round the line and the support.",
)
_AT_THE_PLACE = (
    "Fix each on a removable hook or dot, as agreed with the place, and lay the line in.",
    "Stretch each over the line and its clip or hook, so that the line cannot slip out.",
)


def _line(
    index: int,
    label: str,
    count: int,
    unit: str,
    price: Decimal,
    garland: Garland,
    book: LineAndFixings,
    pieces: int,
) -> Fitting:
    stretches = len(garland.runs)
    through = "the garland" if stretches == 1 else f"each of the {stretches} stretches"
    place = f"All through {through}, with {feet(book.tail_m)} over at each end."
    mount = _knotted(garland, book, pieces)
    return _fitting("line", label, index, count, unit, price, place, mount)


def _knotted(garland: Garland, book: LineAndFixings, pieces: int) -> str:
    stretches, joins = len(garland.runs), garland.line_joins
    each = f"For each of the {pieces}: " if pieces > 1 else ""
    if not joins:
        cut = "one length" if stretches == 1 else f"{stretches} lengths, one for each stretch"
        return sentence(f"{each}{cut}, no joins")
    counted = "1 join" if joins == 1 else f"{joins} joins"
    how = f"each knotted twice over an overlap of {feet(book.join_m)}"
    return sentence(f"{each}knot {garland.line_lengths} lengths end to end: {counted}, {how}")


def _fitting(
    code: str,
    label: str,
    index: int,
    count: int,
    unit: str,
    price: Decimal,
    place: str,
    mount: str,
) -> Fitting:
    return Fitting(
        code=code,
        label=label,
        piece=index,
        count=count,
        unit=unit,
        unit_cost=price,
        cost=count * price,
        seconds=0.0,
        place=place,
        mount=mount,
    )
