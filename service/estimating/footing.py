"""Wind on the pieces that stand outdoors, and the weights that hold them. A caution only."""

import heapq
import math
from collections import Counter
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
    METRES_PER_SECOND_PER_MPH,
    WATCH_SHARE,
    Ballast,
    Base,
    Body,
    Face,
    Part,
    WindLoad,
    ballast_for,
    beaufort_band,
    beaufort_speed,
    come_down,
    garland_coefficient,
    gust_held,
    gust_speed,
    velocity_pressure,
)
from service.estimating.paths import Path, kind_of
from service.estimating.recipe import Make

_STOPS = 8
"""Places along a run whose mean height stands for the run's."""

_OUTLINE_STOPS = 32
"""Places along a path that stand for its outline: of a hoop's area they leave out 0.6 %."""

_APART_M = 0.1

_HIRED_BASE_M = 0.4
"""Common practice, no source: a stand that is not known is taken as light and shallow."""

_KG_PER_POUND = 0.45359237
"""Exact since 1959 (international yard and pound agreement)."""

_HAIR = 1e-6
"""A hair more before rounding down, so that 24 mph worked back from m/s stays 24."""


@dataclass(frozen=True, kw_only=True, slots=True)
class Footing:
    """What wind does outdoors, and the weights that are taken along."""

    wind: Wind | None = None
    fittings: tuple[Fitting, ...] = ()


@dataclass(frozen=True, kw_only=True, slots=True)
class _Standing:
    """One kind of piece that stands outdoors, `count` of it; `index` is its place in the brief."""

    index: int
    count: int
    feet: int
    body: Body
    base: Base
    load: WindLoad
    ballast: Ballast


def footing(brief: Brief, makes: Sequence[Make], uses: Sequence[Use], book: PriceBook) -> Footing:
    """Wind and weights for every piece that stands on its own; nothing indoors."""
    if brief.site.setting is not Setting.OUTDOOR:
        return Footing()
    gust = gust_for(brief.site, book.wind)
    standing = tuple(_standing(brief, makes, uses, gust, book.wind))
    if not standing:
        return Footing()
    given = _shared_out(standing, book.fittings.weights)
    pairs = tuple(zip(standing, given, strict=True))
    return Footing(
        wind=_wind(brief.site, gust, pairs, book.wind.come_down_m_s),
        fittings=tuple(fitting for each, heaps in pairs for fitting in _fittings(each, heaps)),
    )


def gust_for(site: Site, rules: WindRules) -> float:
    """The gust [m/s] to reckon with: the one given, the strongest of its Beaufort number, or the
    price book's own.

    A mean wind becomes a gust by the book's factor.
    """
    if site.beaufort is None:
        return rules.gust_m_s if site.gust_m_s is None else site.gust_m_s
    strongest = beaufort_band(site.beaufort)[1] if site.beaufort < 12 else beaufort_speed(12)
    by_scale = gust_speed(strongest, rules.gust_factor)
    # Of two figures that differ the stronger is reckoned with.
    return by_scale if site.gust_m_s is None else max(by_scale, site.gust_m_s)


def _standing(
    brief: Brief, makes: Sequence[Make], uses: Sequence[Use], gust: float, rules: WindRules
) -> Iterator[_Standing]:
    stands = {use.index: use for use in uses}
    for index, (piece, made) in enumerate(zip(brief.pieces, makes, strict=True)):
        if not kind_of(piece.support).stands:
            continue
        use = stands.get(index)
        body = _body(piece, made, use)
        base = _base(use, brief.site.ground or Ground.GRASS, rules)
        load = body.load(velocity_pressure(gust))
        yield _Standing(
            index=index,
            count=piece.count,
            feet=_feet(made.path),
            body=body,
            base=base,
            load=load,
            ballast=ballast_for(load, base),
        )


def _feet(path: Path) -> int:
    """A path that comes down again where it did not begin has two; a column or a hoop has one."""
    return 2 if not path.closed and abs(path.end.x - path.start.x) > _APART_M else 1


def _body(piece: Piece, made: Make, use: Use | None) -> Body:
    garland = tuple(
        Part(
            area_m2=made.girth_m * run.length_m,
            coefficient=garland_coefficient(run.length_m, made.girth_m),
            height_m=_mean_height(made, run.start_m, run.length_m),
        )
        for run in made.runs
    )
    return Body(parts=(*garland, *_panel(piece, made.path, use)))


def _mean_height(made: Make, start_m: float, length_m: float) -> float:
    stops = (start_m + length_m * (k + 0.5) / _STOPS for k in range(_STOPS))
    return sum(made.path.at(stop).y for stop in stops) / _STOPS


def _panel(piece: Piece, path: Path, use: Use | None) -> Iterator[Part]:
    own = use is not None and any(hardware.panel for hardware, _ in use.own)
    if not own and not any(accent.kind is AccentKind.FABRIC_COVER for accent in piece.accents):
        return
    area_m2, height_m = _outline(path)
    # A column encloses nothing: its cover hides behind the balloons.
    if area_m2 > 0:
        yield Part(
            area_m2=area_m2,
            coefficient=FORCE_COEFFICIENTS[Face.SIGN_BOARD].value,
            height_m=height_m,
        )


def _outline(path: Path) -> tuple[float, float]:
    """Area [m2] that a path encloses with the floor, and the height of its center [m].

    The shoelace formula over places along the path and its corners.
    """
    stops = (path.length_m * k / _OUTLINE_STOPS for k in range(_OUTLINE_STOPS + 1))
    points = [path.at(stop) for stop in sorted((*stops, *path.corners_m))]
    twice, moment = 0.0, 0.0
    for here, there in zip(points, (*points[1:], points[0]), strict=True):
        cross = here.x * there.y - there.x * here.y
        twice += cross
        moment += cross * (here.y + there.y)
    return abs(twice) / 2, moment / (3 * twice) if twice else 0.0


def _base(use: Use | None, ground: Ground, rules: WindRules) -> Base:
    own = [hardware for hardware, _ in use.own] if use else []
    known = bool(own) and not (use and use.hired)
    return Base(
        depth_m=min(h.base_m for h in own) if known else _HIRED_BASE_M,
        friction=rules.friction[ground],
        own_mass_kg=min(h.mass_kg for h in own) if known else 0.0,
        safety=rules.safety_factor,
    )


_Heap = Counter[Weight]
"""The weights on one single piece."""


def _shared_out(standing: Sequence[_Standing], weights: Sequence[Weight]) -> list[list[_Heap]]:
    """The shop's weights on every single piece, by kind of piece.

    Always to the piece that is held worst, so that the gust which the weakest holds is as high as
    can be: the lightest weight that is enough for it, or the heaviest that is left.
    """
    given: list[list[_Heap]] = [[Counter() for _ in range(each.count)] for each in standing]
    left: _Heap = Counter()
    for weight in weights:
        left[weight] += weight.count
    queue = [
        (_held_share(each, 0.0), kind, single)
        for kind, each in enumerate(standing)
        for single in range(each.count)
        if each.ballast.needed_kg > 0
    ]
    heapq.heapify(queue)
    while queue and (at_hand := [weight for weight, number in left.items() if number]):
        _, kind, single = heapq.heappop(queue)
        heap, needed_kg = given[kind][single], standing[kind].ballast.needed_kg
        weight = _next(needed_kg - _mass(heap), at_hand)
        heap[weight] += 1
        left[weight] -= 1
        if _mass(heap) < needed_kg:
            heapq.heappush(queue, (_held_share(standing[kind], _mass(heap)), kind, single))
    for each, heaps in zip(standing, given, strict=True):
        for heap in heaps:
            _even_out(heap, left, each.feet)
    return given


def _even_out(heap: _Heap, left: _Heap, feet: int) -> None:
    """One more of what would not go round evenly over the feet, as far as the shop has it."""
    for weight, number in tuple(heap.items()):
        more = min(-number % feet, left[weight])
        heap[weight] += more
        left[weight] -= more


def _held_share(each: _Standing, ballast_kg: float) -> float:
    own_kg = each.base.own_mass_kg
    return (own_kg + ballast_kg) / (own_kg + each.ballast.needed_kg)


def _next(lacking_kg: float, at_hand: Sequence[Weight]) -> Weight:
    enough = [weight for weight in at_hand if weight.mass_kg >= lacking_kg]
    if enough:
        return min(enough, key=lambda weight: weight.mass_kg)
    return max(at_hand, key=lambda weight: weight.mass_kg)


def _mass(heap: _Heap) -> float:
    return sum(weight.mass_kg * number for weight, number in heap.items())


def _wind(
    site: Site, gust: float, pairs: Sequence[tuple[_Standing, list[_Heap]]], limit_m_s: float
) -> Wind:
    pieces = tuple(_on_piece(each, min(map(_mass, heaps)), limit_m_s) for each, heaps in pairs)
    down = min(piece.comes_down_at_m_s for piece in pieces)
    said = [CAUTION, *_reckoned(site, gust, down), _holds(down)]
    given = site.gust_m_s is not None or site.beaufort is not None
    if gust <= limit_m_s and not (given and gust > down):
        # In a wind that was given it is simply not put up; beyond the limit no ballast helps.
        said.extend(_falls_short(pairs))
    return Wind(
        caution=" ".join(said),
        gust_m_s=gust,
        watch_at_m_s=WATCH_SHARE * down,
        act_at_m_s=ACT_SHARE * down,
        pieces=pieces,
    )


def _on_piece(each: _Standing, ballast_kg: float, limit_m_s: float) -> WindOnPiece:
    """`ballast_kg` [kg] is what the worst held of them has on it."""
    held = gust_held(each.body, each.base, ballast_kg)
    return WindOnPiece(
        piece=each.index,
        area_m2=sum(part.area_m2 for part in each.body.parts),
        force_n=each.load.force_n,
        acts_at_m=each.load.effective_height_m,
        against_tipping_kg=each.ballast.against_tipping_kg,
        against_sliding_kg=each.ballast.against_sliding_kg,
        ballast_kg=ballast_kg,
        comes_down_at_m_s=come_down(held, limit_m_s=limit_m_s).gust_m_s,
    )


def _reckoned(site: Site, gust: float, down: float) -> Iterator[str]:
    mph = gust / METRES_PER_SECOND_PER_MPH
    if site.gust_m_s is None and site.beaufort is None:
        # Nobody named a storm: what is reckoned with is the shop's own habit and no forecast.
        yield f"No wind was given: gusts of {mph:.0f} mph are reckoned with."
    elif gust > down:
        yield f"In the wind that was given, gusts of {mph:.0f} mph, it is not put up."


def _holds(down: float) -> str:
    mph = math.floor(down / METRES_PER_SECOND_PER_MPH + _HAIR)
    if not mph:
        return "Nothing holds it in any wind: it is not put up before it is weighted or anchored."
    return f"As weighted here it holds gusts of up to {mph} mph, and it comes down before that."


def _falls_short(pairs: Sequence[tuple[_Standing, list[_Heap]]]) -> Iterator[str]:
    short_kg = sum(
        max(0.0, each.ballast.needed_kg - _mass(heap)) for each, heaps in pairs for heap in heaps
    )
    pounds = math.ceil(short_kg / _KG_PER_POUND)
    if pounds:
        yield (
            f"For the gusts reckoned with, the shop's own weights are {pounds} lb short: bring"
            " more, or anchor it."
        )


def _on_the_feet(each: _Standing, heaps: Sequence[_Heap], weight: Weight) -> str:
    if each.feet == 1:
        return "Low on its foot"
    if any(heap[weight] % each.feet for heap in heaps):
        return (
            "Low on the feet, shared evenly; an odd one on the foot that stands freer to the wind"
        )
    return "Low on the feet, as many on each"


def _fittings(each: _Standing, heaps: Sequence[_Heap]) -> Iterator[Fitting]:
    taken: _Heap = sum(heaps, Counter())
    least_lb = min(map(_mass, heaps)) / _KG_PER_POUND
    on_each = f", {least_lb:.0f} lb or more on each piece" if each.count > 1 else ""
    for weight, number in sorted(taken.items(), key=lambda item: -item[0].mass_kg):
        yield Fitting(
            code="weights",
            label=f"{weight.label}: wear",
            piece=each.index,
            count=number,
            unit="weight",
            unit_cost=weight.wear,
            cost=weight.wear * number,
            seconds=0.0,
            place=f"{_on_the_feet(each, heaps, weight)}{on_each}.",
            mount="Tied down so that frame and weight move as one, out of the walkway.",
        )
