"""From a piece to whole clusters, and from clusters to balloons by size class and colour."""

import math
from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass, replace

from service.estimating.balloons import sphere_volume
from service.estimating.book import Cluster, Look, PriceBook, Recipe
from service.estimating.brief import Build, Piece
from service.estimating.clusters import contents, nested_girth, nested_pitch, nested_rings

Sized = Mapping[int, float]
"""Sized diameter [m] by size class [in]."""


@dataclass(frozen=True, kw_only=True, slots=True)
class Make:
    """How one piece is made: lengths [m] and whole clusters of one such piece.

    `sizes` are its balloons by size class, `sized` their diameters [m].
    """

    path_length_m: float
    garland_length_m: float
    girth_m: float
    top_m: float
    closed: bool
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
    length = path.length_m * piece.coverage
    closed = path.closed and piece.coverage == 1
    if piece.built_as is Build.QUADS:
        sized = _quad_size(piece, book, outdoors=outdoors)
        ((size, diameter),) = sized.items()
        girth = nested_girth(4, diameter)
        quads = nested_rings(length, 4, diameter, closed=closed)
        clusters: Mapping[Cluster, int] = {Cluster.QUAD: quads}
        sizes: Mapping[int, int] = {size: 4 * quads}
    else:
        sized = _sized(book, outdoors=outdoors)
        look = look_of(piece, book, sized)
        girth = look.girth_m
        clusters = organic_clusters(length, look, book.recipe, sized)
        sizes = balloons(book.recipe, clusters)
    return Make(
        path_length_m=path.length_m,
        garland_length_m=length,
        girth_m=girth,
        top_m=path.top_m,
        closed=closed,
        clusters=clusters,
        sizes=sizes,
        sized=sized,
    )


def look_of(piece: Piece, book: PriceBook, sized: Sized) -> Look:
    """The look of an organic piece as these sized diameters make it.

    Its girth is meant for balloons as sized indoors. Blown smaller, the same recipe gives a
    garland that is thinner in proportion; nobody makes up for that with twice the balloons.
    Common practice, no source.
    """
    look = book.recipe.looks[piece.fullness]
    base = book.recipe.base_size
    smaller = sized[base] / _sized(book, outdoors=False)[base]
    return replace(look, girth_m=look.girth_m * smaller)


def organic_clusters(
    length_m: float, look: Look, recipe: Recipe, sized: Sized
) -> Mapping[Cluster, int]:
    """Base and filler clusters of `length_m` [m] of organic garland.

    Base clusters follow one another at the nested quad's pitch times the look's step; fillers
    bring the rubber up to what the girth asks for. Each kind's number is its own rate per metre
    times the length, rounded, so that a longer garland never has fewer of any kind.
    """
    per_metre = base_clusters_per_metre(look, recipe, sized)
    base = max(1, round(length_m * per_metre))
    sixes = round(base * look.large_share)
    clusters = Counter({Cluster.QUAD: base - sixes, Cluster.SIX: sixes})
    fill = fill_units_per_metre(look, recipe, sized)
    for kind, weight in look.fill.items():
        clusters[kind] += round(length_m * fill * weight)
    return {kind: clusters[kind] for kind in Cluster if clusters[kind]}


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


def balloons(recipe: Recipe, clusters: Mapping[Cluster, int]) -> Mapping[int, int]:
    """Balloons by size class [in] in whole clusters."""
    sizes: Counter[int] = Counter()
    for kind, number in clusters.items():
        for size, each in contents(recipe, kind).items():
            sizes[size] += number * each
    return dict(sorted(sizes.items()))


def spread(total: int, weights: Mapping[str, float]) -> Mapping[str, int]:
    """`total` shared out by `weights`, exactly, each share within one of its due.

    By Webster's divisor method: unlike the largest remainder, it never takes a balloon away from
    a colour when the garland grows (no Alabama paradox), so that a longer garland never costs
    less. Ties go to the colour named first.
    """
    whole = sum(weights.values())
    due = {name: total * weight / whole for name, weight in weights.items()}
    given = {name: int(share + 0.5) for name, share in due.items()}
    while sum(given.values()) < total:
        given[max(due, key=lambda name: due[name] / (2 * given[name] + 1))] += 1
    while sum(given.values()) > total:
        held = [name for name in reversed(due) if given[name]]
        given[min(held, key=lambda name: due[name] / (2 * given[name] - 1))] -= 1
    return given


def _volume(recipe: Recipe, kind: Cluster, sized: Sized) -> float:
    return sum(n * sphere_volume(sized[size]) for size, n in contents(recipe, kind).items())


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
