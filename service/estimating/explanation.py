"""Where every main figure comes from: formula, inputs, source."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from decimal import Decimal

from service.estimating.answer import Price, Reason, Travel
from service.estimating.book import Charge, Cluster, PriceBook
from service.estimating.brief import Build, Piece
from service.estimating.paths import Shape, kind_of
from service.estimating.price import Costs, total
from service.estimating.recipe import (
    Make,
    base_clusters_per_metre,
    fill_units_per_metre,
    look_of,
)
from service.estimating.shopping import Key, Purchase
from service.estimating.uncertainty import Outcome

_BOOK = "price book"


@dataclass(frozen=True, kw_only=True, slots=True)
class Workings:
    """What was computed on the way and the figures are explained from."""

    pieces: tuple[Piece, ...]
    makes: tuple[Make, ...]
    placed: Mapping[Key, int]
    purchase: Purchase
    hours: Mapping[str, float]
    travel: Travel
    trips: int
    costs: Costs
    surcharge: Decimal
    outcome: Outcome
    price: Price
    completeness: float


def explain(workings: Workings, book: PriceBook) -> tuple[Reason, ...]:
    """A reason for every main figure, in the order in which they follow from one another."""
    return (
        *_of_pieces(workings, book),
        *_of_shopping(workings, book),
        *_of_work(workings, book),
        *_of_price(workings, book),
    )


def _of_pieces(workings: Workings, book: PriceBook) -> Iterator[Reason]:
    for index, (piece, made) in enumerate(zip(workings.pieces, workings.makes, strict=True)):
        at = f"pieces[{index}]"
        yield _path(at, piece, made)
        yield Reason(
            figure=f"{at}.garland_length_m",
            value=f"{made.garland_length_m:.3f}",
            formula="path × coverage",
            inputs={"path": f"{made.path_length_m:.3f} m", "coverage": f"{piece.coverage:g}"},
            source="brief",
        )
        quads = piece.built_as is Build.QUADS
        yield _nested(at, made) if quads else _organic(at, piece, made, book)


def _path(at: str, piece: Piece, made: Make) -> Reason:
    form = kind_of(piece.support).form(piece.measures, piece.shape or Shape.CATENARY)
    return Reason(
        figure=f"{at}.path_length_m",
        value=f"{made.path_length_m:.3f}",
        formula=form.formula,
        inputs={name: f"{piece.measures[name]:g}" for name in form.measures},
        source="geometry",
    )


def _nested(at: str, made: Make) -> Reason:
    ((size, diameter),) = ((size, made.sized[size]) for size in made.sizes)
    return Reason(
        figure=f"{at}.clusters",
        value=_listed(made.clusters),
        formula="nested quads: (L - d)/p + 1 on an open path, L/p on a closed one; p = 2^(-1/4) d",
        inputs={
            "L": f"{made.garland_length_m:.3f} m",
            "size class": f"{size} in",
            "d": f"{diameter:.3f} m",
        },
        source="touching spheres; sized diameter from the price book or the brief",
    )


def _organic(at: str, piece: Piece, made: Make, book: PriceBook) -> Reason:
    look, recipe = look_of(piece, book, made.sized), book.recipe
    return Reason(
        figure=f"{at}.clusters",
        value=_listed(made.clusters),
        formula=(
            "base clusters: L / (step × 2^(-1/4) d); fillers: until the rubber is"
            " φ (π/4) G² L, each kind rounded to whole clusters"
        ),
        inputs={
            "L": f"{made.garland_length_m:.3f} m",
            "fullness": piece.fullness.value,
            "G": f"{look.girth_m:.3f} m",
            "φ": f"{recipe.solid_fraction:g}",
            "step": f"{look.base_step:g}",
            "d": f"{made.sized[recipe.base_size]:.3f} m",
            "base per m": f"{base_clusters_per_metre(look, recipe, made.sized):.3f}",
            "filler sets per m": f"{fill_units_per_metre(look, recipe, made.sized):.3f}",
        },
        source="cluster geometry; girth and proportions from the price book",
    )


def _of_shopping(workings: Workings, book: PriceBook) -> Iterator[Reason]:
    placed, taken = sum(workings.placed.values()), sum(workings.purchase.used.values())
    shopping = workings.purchase.shopping
    odds = (f"{s.size_class} in {s.breakage:.1%}" for s in book.sizes)
    yield Reason(
        figure="spares",
        value=str(taken - placed),
        formula="fewest n with P(binomial(n, 1 - breakage) ≥ count) ≥ service level, per color",
        inputs={
            "service level": f"{book.policy.service_level:.1%}",
            "breakage": ", ".join(odds),
            "share of the count": f"{(taken - placed) / placed:.1%}",
        },
        source=_BOOK,
    )
    yield Reason(
        figure="shopping.cost",
        value=str(shopping.cost),
        formula="least cost over bags of all sizes and kits that covers every color and size",
        inputs={
            "balloons wanted": str(taken),
            "from stock": str(sum(line.count for line in shopping.from_stock)),
            "proven cheapest": "yes" if shopping.proven_cheapest else "no, search cut short",
        },
        source=f"{_BOOK}: bags, kits, stock",
    )
    yield Reason(
        figure="shopping.used_cost",
        value=str(shopping.used_cost),
        formula="each balloon at the lowest price a piece among its bags",
        inputs={"left over in the packs, charged": f"{book.policy.leftovers_charged:.0%}"},
        source=f"{_BOOK}: policy",
    )


def _of_work(workings: Workings, book: PriceBook) -> Iterator[Reason]:
    yield Reason(
        figure="hours",
        value=f"{sum(workings.hours.values()):.2f}",
        formula="sum over tasks of quantity / rate",
        inputs={task: f"{hours:.2f} h" for task, hours in workings.hours.items()},
        source=f"{_BOOK}: labour",
    )
    way = workings.travel.distance_m
    rates = book.travel
    yield Reason(
        figure="travel",
        value=f"{workings.travel.drive_hours:.2f} h",
        formula="geodesic on WGS 84 × road factor, there and back for each trip, / speed",
        inputs={
            "road one way": "not known" if way is None else f"{way / 1000:.1f} km",
            "road factor": f"{rates.road_factor:g}",
            "trips": str(workings.trips),
            "speed": f"{rates.speed_m_s * 3.6:.0f} km/h",
        },
        source=f"{_BOOK}: travel",
    )


def _of_price(workings: Workings, book: PriceBook) -> Iterator[Reason]:
    policy, costs = book.policy, workings.costs
    by_markup = policy.charge is Charge.MARKUP
    yield Reason(
        figure="price.likely",
        value=str(workings.price.likely),
        formula=(
            "P50 of cost × (1 + overhead) × (1 + mark-up) × surcharge"
            if by_markup
            else "P50 of (cost without time × (1 + overhead) + hours × target) × surcharge"
        )
        + ", at least the minimum, rounded",
        inputs={
            "direct cost": f"{total(costs.lines):.2f}",
            "overhead": f"{policy.overhead:.0%}",
            "mark-up" if by_markup else "target an hour": (
                f"{policy.markup:.0%}" if by_markup else str(policy.hourly_target)
            ),
            "surcharge": f"{workings.surcharge:.2f}",
            "minimum": str(policy.minimum),
            "rounded to": str(policy.rounding),
        },
        source=f"{_BOOK}: policy",
    )
    outcome = workings.outcome
    yield Reason(
        figure="price.low and price.high",
        value=f"{workings.price.low} to {workings.price.high}",
        formula="P10 and P90 of a lognormal with the mean and variance of the sum of costs",
        inputs={
            "P10 of the estimate": f"{outcome.low:.0%}",
            "P90 of the estimate": f"{outcome.high:.0%}",
            "completeness of the brief": f"{workings.completeness:.0%}",
            **{f"spread from {name}": f"{part:.0%}" for name, part in outcome.drivers.items()},
        },
        source=f"{_BOOK}: spread",
    )


def _listed(clusters: Mapping[Cluster, int]) -> str:
    return ", ".join(
        f"{number} {kind.value.replace('_', ' ')}" for kind, number in clusters.items()
    )
