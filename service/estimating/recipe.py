"""From a piece to whole clusters, and from clusters to balloons by size class and colour."""

import math
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

from service.estimating.balloons import sphere_volume
from service.estimating.book import Cluster, Key, Look, PriceBook, Recipe
from service.estimating.brief import Build, Fullness, Piece
from service.estimating.clusters import contents, nested_girth, nested_pitch, nested_rings
from service.estimating.colouring import Arrangement, arrange, fillers
from service.estimating.paths import Path, Run, runs

_KINDS = tuple(Cluster)

Sized = Mapping[int, float]
"""Sized diameter [m] by size class [in]."""


@dataclass(frozen=True, kw_only=True, slots=True)
class Make:
    """How one piece is made: its path and runs, lengths [m] and whole clusters of one such piece.

    `base` are the clusters tied along the line, `fill` those pushed in between, `clusters` both
    together by kind; `sizes` its balloons by size class, `sized` their diameters [m] at the site.
    """

    path: Path
    runs: tuple[Run, ...]
    garland_length_m: float
    girth_m: float
    base: Mapping[Cluster, int]
    fill: Mapping[Cluster, int]
    clusters: Mapping[Cluster, int]
    sizes: Mapping[int, int]
    sized: Sized

    @property
    def volume_m3(self) -> float:
        """Air inside the balloons of one such piece [m3]."""
        return sum(n * sphere_volume(self.sized[size]) for size, n in self.sizes.items())


def make(piece: Piece, book: PriceBook, *, outdoors: bool) -> Make:
    """Whole clusters for one such piece, each of which can be tied."""
    path = piece.path
    stretches = runs(path, piece.coverage, piece.placement)
    length = math.fsum(run.length_m for run in stretches)
    fill: Mapping[Cluster, int] = {}
    if piece.built_as is Build.QUADS:
        sized = sized_diameters(piece, book, outdoors=outdoors)
        ((size, diameter),) = sized.items()
        girth = nested_girth(4, diameter)
        each = (nested_rings(r.length_m, 4, diameter, closed=r.closed) for r in stretches)
        base: Mapping[Cluster, int] = {Cluster.QUAD: sum(each)}
        sizes: Mapping[int, int] = {size: 4 * base[Cluster.QUAD]}
    else:
        sized = sized_diameters(piece, book, outdoors=outdoors)
        mixture = _mixture(piece.fullness, book, outdoors=outdoors)
        girth = mixture.look.girth_m
        base, fill = organic_clusters(length, mixture)
        sizes = balloons(book.recipe, base, fill)
    return Make(
        path=path,
        runs=stretches,
        garland_length_m=length,
        girth_m=girth,
        base=base,
        fill=fill,
        clusters=_together(base, fill),
        sizes=sizes,
        sized=sized,
    )


def sized_diameters(piece: Piece, book: PriceBook, *, outdoors: bool) -> Sized:
    """Sized diameters [m] at the site, by size class [in], that such a piece is made with."""
    if piece.built_as is Build.QUADS:
        return _quad_size(piece, book, outdoors=outdoors)
    return _sized(book, outdoors=outdoors)


def pushed_in(piece: Piece, book: PriceBook, *, outdoors: bool) -> tuple[bool, ...]:
    """For each cluster in its order along the line: is it pushed in between those tied to it?"""
    made = make(piece, book, outdoors=outdoors)
    return fillers(made.base, made.fill)


@dataclass(frozen=True, kw_only=True, slots=True)
class Mixture:
    """An organic garland's look as it comes out, with its clusters a metre [1/m]."""

    look: Look
    base_per_m: float
    fill_per_m: float


@lru_cache(maxsize=64)
def _mixture(fullness: Fullness, book: PriceBook, *, outdoors: bool) -> Mixture:
    """The look that balloons sized for there make.

    Its girth is meant for balloons as sized indoors. Blown smaller, the same recipe gives a
    garland that is thinner in proportion; nobody makes up for that with twice the balloons.
    Common practice, no source.
    """
    recipe, sized = book.recipe, _sized(book, outdoors=outdoors)
    look, base = recipe.looks[fullness], recipe.base_size
    smaller = sized[base] / _sized(book, outdoors=False)[base]
    look = replace(look, girth_m=look.girth_m * smaller)
    return Mixture(
        look=look,
        base_per_m=base_clusters_per_metre(look, recipe, sized),
        fill_per_m=fill_units_per_metre(look, recipe, sized),
    )


def organic_clusters(
    length_m: float, mixture: Mixture
) -> tuple[Mapping[Cluster, int], Mapping[Cluster, int]]:
    """Base and filler clusters of `length_m` [m] of organic garland.

    Base clusters follow one another at the nested quad's pitch times the look's step; fillers
    bring the rubber up to what the girth asks for. Each kind's number is its own rate per metre
    times the length, rounded, so that a longer garland never has fewer of any kind.
    """
    look = mixture.look
    base = max(1, round(length_m * mixture.base_per_m))
    sixes = round(base * look.large_share)
    along = {Cluster.QUAD: base - sixes, Cluster.SIX: sixes}
    set_per_m = mixture.fill_per_m
    between = {k: round(length_m * set_per_m * weight) for k, weight in look.fill.items()}
    return _some(along), _some(between)


def _together(base: Mapping[Cluster, int], fill: Mapping[Cluster, int]) -> Mapping[Cluster, int]:
    both = [(kind, base.get(kind, 0) + fill.get(kind, 0)) for kind in _KINDS]
    return {kind: number for kind, number in both if number}


def _some(clusters: Mapping[Cluster, int]) -> Mapping[Cluster, int]:
    return {kind: number for kind, number in clusters.items() if number}


def base_clusters_per_metre(look: Look, recipe: Recipe, sized: Sized) -> float:
    """Base clusters a metre [1/m]: one each `base_step` pitches of the nested quad."""
    return 1 / (look.base_step * nested_pitch(4, sized[recipe.base_size]))


def fill_units_per_metre(look: Look, recipe: Recipe, sized: Sized) -> float:
    """How often a metre the look's set of fillers is needed [1/m]: (wanted - base) / set.

    The rubber wanted a metre is phi (pi/4) G^2; nothing is taken away where the base clusters
    alone come to more.
    """
    rubber = recipe.solid_fraction * math.pi / 4 * look.girth_m**2
    quad = _volume(recipe, Cluster.QUAD, sized)
    six = _volume(recipe, Cluster.SIX, sized)
    base = quad + look.large_share * (six - quad)
    lacking = rubber - base_clusters_per_metre(look, recipe, sized) * base
    unit = sum(weight * _volume(recipe, kind, sized) for kind, weight in look.fill.items())
    return max(0.0, lacking) / unit if unit else 0.0


def balloons(recipe: Recipe, *parts: Mapping[Cluster, int]) -> Mapping[int, int]:
    """Balloons by size class [in] in whole clusters."""
    sizes: Counter[int] = Counter()
    for clusters in parts:
        for kind, number in clusters.items():
            for size, each in contents(recipe, kind).items():
                sizes[size] += number * each
    return dict(sorted(sizes.items()))


def arrangement(
    piece: Piece, made: Make, counts: Mapping[Key, int], palette: Sequence[str], recipe: Recipe
) -> Arrangement:
    """The clusters of all such pieces with their colours, in the order along the line."""
    if piece.built_as is Build.QUADS:
        inside: Mapping[Cluster, Mapping[int, int]] = {Cluster.QUAD: dict.fromkeys(made.sizes, 4)}
    else:
        inside = {kind: contents(recipe, kind) for kind in made.clusters}
    return arrange(
        base=made.base,
        fill=made.fill,
        contents=inside,
        counts=counts,
        palette=palette,
        pattern=piece.pattern,
        pieces=piece.count,
    )


def spread(total: int, weights: Mapping[str, float]) -> Mapping[str, int]:
    """`total` shared out by `weights`, exactly, each share as near to its due as all allow.

    By Webster's divisor method: unlike the largest remainder, it never takes a balloon away from
    a colour when the garland grows (no Alabama paradox), so that a longer garland never costs
    less. Ties go to the colour named first.
    """
    whole = sum(weights.values())
    due = {name: total * weight / whole for name, weight in weights.items()}
    given = {name: int(share + 0.5) for name, share in due.items()}
    lacking = total - sum(given.values())
    for _ in range(lacking):
        given[max(due, key=lambda name: due[name] / (2 * given[name] + 1))] += 1
    for _ in range(-lacking):
        held = [name for name in reversed(due) if given[name]]
        given[min(held, key=lambda name: due[name] / (2 * given[name] - 1))] -= 1
    return given


def _volume(recipe: Recipe, kind: Cluster, sized: Sized) -> float:
    return sum(n * sphere_volume(sized[size]) for size, n in contents(recipe, kind).items())


@lru_cache(maxsize=32)
def _sized(book: PriceBook, *, outdoors: bool) -> Sized:
    return {s.size_class: s.sized_outdoors_m if outdoors else s.sized_indoors_m for s in book.sizes}


def _quad_size(piece: Piece, book: PriceBook, *, outdoors: bool) -> Sized:
    recipe = book.recipe
    size = piece.size_class or recipe.quads_size
    if piece.sized_m:
        return {size: piece.sized_m}
    usual = _sized(book, outdoors=outdoors)[size]
    # The recipe's own figure is for its own size class, indoors.
    own = size == recipe.quads_size and not outdoors
    return {size: recipe.quads_sized_m if own else usual}
