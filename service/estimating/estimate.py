"""The pipeline from a brief to its estimate."""

import datetime as dt
import math
from collections import Counter
from collections.abc import Mapping, Sequence
from decimal import Decimal

from service.estimating.answer import BalloonCount, Estimate, PieceEstimate, Travel
from service.estimating.assumptions import Known, assumptions
from service.estimating.book import PriceBook
from service.estimating.brief import Brief, Piece, Setting
from service.estimating.cautions import cautions_for
from service.estimating.errors import BriefError, FieldProblem
from service.estimating.explanation import Workings, explain
from service.estimating.foils import FoilCount, count_foils
from service.estimating.hardware import Use, uses
from service.estimating.hours import Work, hours
from service.estimating.line import attachment_points, line_length
from service.estimating.logistics import AIR_ONLY, load, travel
from service.estimating.palette import shares
from service.estimating.price import (
    Costs,
    asked,
    balloon_lines,
    driving_lines,
    fixing_lines,
    foil_lines,
    labour_lines,
    overhead_line,
    price_range,
    support_lines,
    surcharge,
    total,
)
from service.estimating.recipe import Make, make, spread
from service.estimating.shopping import Key, Purchase, shop_for
from service.estimating.spares import enough_of
from service.estimating.uncertainty import Outcome, outcome
from service.estimating.wind import wind_caution

STRIKE_TRIPS = 1
"""The way back after the event, to take everything down."""


def estimate(brief: Brief, book: PriceBook, *, today: dt.date) -> Estimate:
    """The estimate of `brief` by `book`, as seen on `today`.

    Deterministic: equal arguments give equal estimates. Raises BriefError for a date that has
    passed and for a size class that the price book does not know.
    """
    _refuse(brief, book, today)
    outdoors = brief.site.setting is Setting.OUTDOOR
    makes = tuple(make(piece, book, outdoors=outdoors) for piece in brief.pieces)
    placed = _by_colour(brief, makes, book)
    wanted = _pooled(placed)
    taken = _with_spares(wanted, book)
    purchase = shop_for(taken, book)
    foils = count_foils(brief.foils, book.foils)
    hardware = uses(brief.pieces, book)
    cargo = load(_air(brief.pieces, makes), book.car)
    trips = cargo.car_loads + STRIKE_TRIPS
    way = travel(brief.site, book.shop, book.travel, trips)
    spent = hours(_works(brief.pieces, makes), foils, cargo, way, book.labour)
    pieces = _pieces(brief.pieces, makes, placed, taken, book)
    costs = _costs(pieces, purchase, foils, hardware, spent, way, trips, book)
    known = Known.of(brief)
    chances = _chances(costs, known, book)
    factor = surcharge(brief.event.date, today, book.policy)
    full = asked(costs, spent, book.policy) * factor
    low, likely, high = (full * _exact(q) for q in (chances.low, chances.likely, chances.high))
    price = price_range((low, likely, high), book.policy, book.shop.currency)
    workings = Workings(
        pieces=brief.pieces,
        makes=makes,
        placed=wanted,
        purchase=purchase,
        hours=spent,
        travel=way,
        trips=trips,
        costs=costs,
        surcharge=factor,
        outcome=chances,
        price=price,
        completeness=known.completeness,
    )
    return Estimate(
        pieces=pieces,
        balloons_total=sum(wanted.values()),
        shopping=purchase.shopping,
        hours=spent,
        helium=AIR_ONLY,
        load=cargo,
        wind=wind_caution(brief.pieces, brief.site),
        travel=way,
        cautions=cautions_for(brief),
        cost_lines=(*costs.lines, overhead_line(costs, book.policy)),
        price=price,
        completeness=known.completeness,
        assumptions=assumptions(brief, book, hardware, way),
        explanation=explain(workings, book),
        price_book_version=book.version,
    )


def _refuse(brief: Brief, book: PriceBook, today: dt.date) -> None:
    problems = [
        FieldProblem(
            field=f"pieces[{index}].size_class",
            detail=f"the shop does not stock {piece.size_class} in balloons",
        )
        for index, piece in enumerate(brief.pieces)
        if piece.size_class is not None and book.size(piece.size_class) is None
    ]
    date = brief.event.date
    if date is not None and date < today:
        detail = f"{date.isoformat()} has passed; give a day from {today.isoformat()} on"
        problems.append(FieldProblem(field="event.date", detail=detail))
    if problems:
        raise BriefError(tuple(problems))


def _by_colour(
    brief: Brief, makes: Sequence[Make], book: PriceBook
) -> tuple[Mapping[Key, int], ...]:
    palette = shares(brief, book)
    return tuple(
        {
            (size, colour): number
            for size, each in made.sizes.items()
            for colour, number in spread(each * piece.count, palette).items()
            if number
        }
        for piece, made in zip(brief.pieces, makes, strict=True)
    )


def _pooled(placed: Sequence[Mapping[Key, int]]) -> Mapping[Key, int]:
    pool: Counter[Key] = Counter()
    for counts in placed:
        pool.update(counts)
    return dict(sorted(pool.items()))


def _with_spares(wanted: Mapping[Key, int], book: PriceBook) -> Mapping[Key, int]:
    breakage = {size.size_class: size.breakage for size in book.sizes}
    level = book.policy.service_level
    return {key: enough_of(n, breakage[key[0]], level) for key, n in wanted.items()}


def _air(pieces: Sequence[Piece], makes: Sequence[Make]) -> float:
    each = zip(pieces, makes, strict=True)
    return math.fsum(piece.count * made.volume_m3 for piece, made in each)


def _works(pieces: Sequence[Piece], makes: Sequence[Make]) -> tuple[Work, ...]:
    return tuple(
        Work(
            count=piece.count,
            garland_m=made.garland_length_m,
            top_m=made.top_m,
            balloons=sum(made.sizes.values()),
            clusters=made.clusters,
        )
        for piece, made in zip(pieces, makes, strict=True)
    )


def _pieces(
    pieces: Sequence[Piece],
    makes: Sequence[Make],
    placed: Sequence[Mapping[Key, int]],
    taken: Mapping[Key, int],
    book: PriceBook,
) -> tuple[PieceEstimate, ...]:
    spares = _spares_by_piece(placed, taken)
    return tuple(
        PieceEstimate(
            support=piece.support,
            count=piece.count,
            path_length_m=made.path_length_m,
            garland_length_m=made.garland_length_m,
            girth_m=made.girth_m,
            line_length_m=line_length(made.garland_length_m, book.line),
            attachment_points=attachment_points(
                made.garland_length_m, book.line, closed=made.closed
            ),
            clusters={kind.value: n * piece.count for kind, n in made.clusters.items()},
            balloons=tuple(
                BalloonCount(size_class=key[0], colour=key[1], count=n, spares=spare[key])
                for key, n in counts.items()
            ),
        )
        for piece, made, counts, spare in zip(pieces, makes, placed, spares, strict=True)
    )


def _spares_by_piece(
    placed: Sequence[Mapping[Key, int]], taken: Mapping[Key, int]
) -> Sequence[Mapping[Key, int]]:
    # Spares are pooled over the job: together they guard every piece with fewer than apart.
    shared: list[dict[Key, int]] = [{} for _ in placed]
    for key, number in taken.items():
        weights = {str(i): float(counts[key]) for i, counts in enumerate(placed) if key in counts}
        extra = number - sum(counts.get(key, 0) for counts in placed)
        for index, part in spread(extra, weights).items():
            shared[int(index)][key] = part
    return shared


def _costs(
    pieces: Sequence[PieceEstimate],
    purchase: Purchase,
    foils: Sequence[FoilCount],
    hardware: Sequence[Use],
    spent: Mapping[str, float],
    way: Travel,
    trips: int,
    book: PriceBook,
) -> Costs:
    line_m = math.fsum(piece.count * piece.line_length_m for piece in pieces)
    points = sum(piece.count * piece.attachment_points for piece in pieces)
    driven = book.travel.unknown_distance_m if way.distance_m is None else way.distance_m
    return Costs(
        materials=(
            *balloon_lines(purchase, book.policy),
            *fixing_lines(line_m, points, book),
            *foil_lines(foils),
        ),
        support=tuple(support_lines(hardware, book)),
        labour=tuple(labour_lines(spent, book)),
        driving=tuple(driving_lines(driven, trips, book)),
    )


def _chances(costs: Costs, known: Known, book: PriceBook) -> Outcome:
    spread_of = book.spread
    doubts = known.doubts(spread_of)
    distance = 0.0 if known.site else spread_of.distance_unknown
    weights = {
        "materials": {"packing": spread_of.packing, "prices": spread_of.prices, **doubts},
        "support": {"prices": spread_of.prices, **doubts},
        "labour": {"packing": spread_of.packing, "pace of work": spread_of.hours, **doubts},
        "driving": {"traffic": spread_of.travel, "distance not known": distance, **doubts},
    }
    amounts = {name: float(total(lines)) for name, lines in costs.groups.items()}
    return outcome(amounts, weights)


def _exact(quantile: float) -> Decimal:
    return Decimal(repr(round(quantile, 6)))
