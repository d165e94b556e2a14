"""Wind on the pieces that stand outdoors, and the weights that hold them. A caution only."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from service.estimating.answer import Fitting, Wind, WindOnPiece
from service.estimating.book import PriceBook, Weight, WindRules
from service.estimating.brief import Brief, Ground, Piece, Setting, Site
from service.estimating.extras import AccentKind
from service.estimating.fitting import Use
from service.estimating.gusts import (
    ACT_SHARE,
    CAUTION,
    FORCE_COEFFICIENTS,
    WATCH_SHARE,
    Base,
    Body,
    Face,
    Part,
    ballast_for,
    beaufort_band,
    beaufort_speed,
    come_down,
    garland_coefficient,
    gust_held,
    gust_speed,
    velocity_pressure,
)
from service.estimating.paths import kind_of
from service.estimating.recipe import Make

_STOPS = 8
"""Places along a run whose mean height stands for the run's."""

_HIRED_BASE_M = 0.4
"""Common practice, no source: a stand that is not known is taken as light and shallow."""

_TOO_WINDY = (
    " The gust reckoned with is above the one at which a piece comes down: in such wind it is not"
    " put up."
)
_NOT_ENOUGH = " The shop's own weights are not enough for it: bring more, or anchor it."


@dataclass(frozen=True, kw_only=True, slots=True)
class Footing:
    """What wind does outdoors, the weights that are taken along, and what they fall short of."""

    wind: Wind | None = None
    fittings: tuple[Fitting, ...] = ()


def footing(brief: Brief, makes: Sequence[Make], uses: Sequence[Use], book: PriceBook) -> Footing:
    """Wind and weights for every piece that stands on its own; nothing indoors."""
    standing = [i for i, p in enumerate(brief.pieces) if kind_of(p.support).stands]
    if brief.site.setting is not Setting.OUTDOOR or not standing:
        return Footing()
    gust = gust_for(brief.site, book.wind)
    stands = {use.index: use for use in uses}
    left = {weight.label: weight.count for weight in book.fittings.weights}
    pieces: list[WindOnPiece] = []
    fittings: list[Fitting] = []
    for index in standing:
        piece = brief.pieces[index]
        body = _body(piece, makes[index], stands.get(index))
        base = _base(stands.get(index), brief.site.ground or Ground.GRASS, book.wind)
        load = body.load(velocity_pressure(gust))
        ballast = ballast_for(load, base)
        taken = tuple(_taken(ballast.needed_kg, piece.count, book.fittings.weights, left))
        fittings.extend(_fitting(index, weight, number) for weight, number in taken)
        held_kg = sum(w.mass_kg * n for w, n in taken) / piece.count
        limit = come_down(gust_held(body, base, held_kg), limit_m_s=book.wind.come_down_m_s)
        pieces.append(
            WindOnPiece(
                piece=index,
                area_m2=sum(part.area_m2 for part in body.parts),
                force_n=load.force_n,
                acts_at_m=load.effective_height_m,
                against_tipping_kg=ballast.against_tipping_kg,
                against_sliding_kg=ballast.against_sliding_kg,
                ballast_kg=held_kg,
                comes_down_at_m_s=limit.gust_m_s,
            )
        )
    return Footing(wind=_wind(gust, tuple(pieces)), fittings=tuple(fittings))


def gust_for(site: Site, rules: WindRules) -> float:
    """The gust [m/s] to reckon with: the one given, the strongest of its Beaufort number, or the
    price book's own.

    A mean wind becomes a gust by the book's factor.
    """
    if site.gust_m_s is not None:
        return site.gust_m_s
    if site.beaufort is None:
        return rules.gust_m_s
    strongest = beaufort_band(site.beaufort)[1] if site.beaufort < 12 else beaufort_speed(12)
    return gust_speed(strongest, rules.gust_factor)


def _wind(gust: float, pieces: tuple[WindOnPiece, ...]) -> Wind:
    down = min(piece.comes_down_at_m_s for piece in pieces)
    short = any(
        piece.ballast_kg < max(piece.against_tipping_kg, piece.against_sliding_kg)
        for piece in pieces
    )
    return Wind(
        caution=CAUTION + (_TOO_WINDY if gust > down else "") + (_NOT_ENOUGH if short else ""),
        gust_m_s=gust,
        watch_at_m_s=WATCH_SHARE * down,
        act_at_m_s=ACT_SHARE * down,
        pieces=pieces,
    )


def _body(piece: Piece, made: Make, use: Use | None) -> Body:
    garland = tuple(
        Part(
            area_m2=made.girth_m * run.length_m,
            coefficient=garland_coefficient(run.length_m, made.girth_m),
            height_m=_mean_height(made, run.start_m, run.length_m),
        )
        for run in made.runs
    )
    return Body(parts=(*garland, *_panel(piece, use)))


def _mean_height(made: Make, start_m: float, length_m: float) -> float:
    stops = (start_m + length_m * (k + 0.5) / _STOPS for k in range(_STOPS))
    return sum(made.path.at(stop).y for stop in stops) / _STOPS


def _panel(piece: Piece, use: Use | None) -> Iterator[Part]:
    own = use is not None and any(hardware.panel for hardware, _ in use.own)
    covered = any(accent.kind is AccentKind.FABRIC_COVER for accent in piece.accents)
    if not own and not covered:
        return
    width = piece.width_m or 0.0
    height = piece.height_m or width
    yield Part(
        area_m2=width * height,
        coefficient=FORCE_COEFFICIENTS[Face.SIGN_BOARD].value,
        height_m=height / 2,
    )


def _base(use: Use | None, ground: Ground, rules: WindRules) -> Base:
    own = [hardware for hardware, _ in use.own] if use else []
    known = bool(own) and not (use and use.hired)
    return Base(
        depth_m=min(h.base_m for h in own) if known else _HIRED_BASE_M,
        friction=rules.friction[ground],
        own_mass_kg=min(h.mass_kg for h in own) if known else 0.0,
        safety=rules.safety_factor,
    )


def _taken(
    needed_kg: float, count: int, weights: Sequence[Weight], left: dict[str, int]
) -> Iterator[tuple[Weight, int]]:
    lacking = needed_kg
    for weight in sorted(weights, key=lambda w: -w.mass_kg):
        # Each piece gets the same: a weight that is not there for every one is not shared out.
        most = left[weight.label] // count
        each = min(most, int(-(-lacking // weight.mass_kg)))
        if each > 0:
            left[weight.label] -= each * count
            lacking -= each * weight.mass_kg
            yield weight, each * count


def _fitting(index: int, weight: Weight, number: int) -> Fitting:
    return Fitting(
        code="weights",
        label=f"{weight.label}: wear",
        piece=index,
        count=number,
        unit="weight",
        unit_cost=weight.wear,
        cost=weight.wear * number,
        seconds=0.0,
        place="on the feet, in equal shares",
        mount="tied down so that frame and weight move as one, out of the walkway",
    )
