"""The line that clusters are tied to, and the clips and bands that hold it."""

import math
from collections.abc import Iterator
from decimal import Decimal

from service.estimating.answer import Fitting
from service.estimating.book import LineAndFixings, LineKind
from service.estimating.brief import Piece
from service.estimating.fitting.garland import Garland
from service.estimating.fitting.words import feet


def line_and_fixings(
    index: int, piece: Piece, garland: Garland, book: LineAndFixings
) -> Iterator[Fitting]:
    """Line for one kind of piece, then what holds it at each point."""
    if book.kind is LineKind.CORD:
        # A hair less, so that a whole number of metres is not given one more.
        metres = math.ceil(piece.count * garland.line_m - 1e-9)
        yield _line(index, "cord", metres, "m", book.price_per_m, garland, book)
    else:
        each = book.price_per_m * Decimal(repr(round(book.length_m, 4)))
        longs = piece.count * garland.line_lengths
        yield _line(index, "long 260 balloons", longs, "balloon", each, garland, book)
    clip = ("clip", book.clips_per_point, book.price_per_clip)
    band = ("elastic band", book.bands_per_point, book.price_per_band)
    for (unit, each_point, price), mount in ((clip, _CLIPPED), (band, _BANDED)):
        if each_point:
            count = piece.count * garland.points * each_point
            place = f"{each_point} at each of the {garland.points} points that hold the garland."
            yield _fitting("fixings", f"{unit}s", index, count, unit, price, place, mount)


_CLIPPED = "Fix each to the support and lay the line in."
_BANDED = "Stretch each round the line and the support."


def _line(
    index: int,
    label: str,
    count: int,
    unit: str,
    price: Decimal,
    garland: Garland,
    book: LineAndFixings,
) -> Fitting:
    stretches = len(garland.runs)
    through = "the garland" if stretches == 1 else f"each of the {stretches} stretches"
    place = f"All through {through}, with {feet(book.tail_m)} over at each end."
    return _fitting("line", label, index, count, unit, price, place, _knotted(garland, book))


def _knotted(garland: Garland, book: LineAndFixings) -> str:
    stretches, joins = len(garland.runs), garland.line_joins
    if not joins:
        cut = "One length" if stretches == 1 else f"{stretches} lengths, one for each stretch"
        return f"{cut}, no joins."
    counted = "1 join" if joins == 1 else f"{joins} joins"
    how = f"each knotted twice over an overlap of {feet(book.join_m)}"
    return f"Knot {garland.line_lengths} lengths end to end: {counted}, {how}."


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
