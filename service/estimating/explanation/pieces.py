"""What is built: the path, the garland on it and its line, clusters and balloons."""

import math
from collections.abc import Iterator, Mapping, Sequence

from service.estimating.answer import PieceEstimate, Reason, SpareLine
from service.estimating.book import LineAndFixings, PriceBook
from service.estimating.brief import Build, Fullness, Piece, Setting
from service.estimating.building import Built
from service.estimating.explanation.sources import BRIEF, OWN_RECORD, price_book
from service.estimating.explanation.workings import Workings
from service.estimating.paths import Placement, Shape, kind_of
from service.estimating.recipe import base_clusters_per_metre

_SIZED = {False: "sizes.sized_in", True: "sizes.sized_outdoors_in"}
"""Where sized diameters stand, by whether it is outdoors."""

_GIRTHS = {
    (look, outdoors): price_book(f"recipe.looks.{look}.girth_in", "recipe.base_size", sized)
    for look in Fullness
    for outdoors, sized in _SIZED.items()
}
_CLUSTERS = {
    (look, outdoors): "cluster geometry, derived; "
    + price_book(f"recipe.looks.{look}", "recipe.solid_fraction", "recipe.base_size", sized)
    for look in Fullness
    for outdoors, sized in _SIZED.items()
}
_LINE = price_book("line.tail_ft", "line.knots_percent", "line.spool_ft", "line.join_in")
_HELD = price_book("line.spacing_in")
_CONTENTS = "the trade's clusters; Webster's divisor method; " + price_book(
    "recipe.base_size", "recipe.large_size", "recipe.small_size", "recipe.quads_size"
)
_SPARES = "binomial distribution; " + price_book("sizes.breakage_percent", "policy.service_percent")
_PATTERN = "the brief: pattern and palette"

_AS_LISTED = "as listed"
_ENDS = "geometry of the support; heights that nobody measures: common practice"
_LISTS = (
    Reason(
        figure="pieces[].start",
        value=_AS_LISTED,
        formula="where the path begins: x along it, y up from the floor, z towards the viewer",
        inputs={},
        source=_ENDS,
    ),
    Reason(
        figure="pieces[].end",
        value=_AS_LISTED,
        formula="where the path ends, likewise",
        inputs={},
        source=_ENDS,
    ),
    Reason(
        figure="pieces[].count",
        value=_AS_LISTED,
        formula="as asked for",
        inputs={},
        source=BRIEF,
    ),
    Reason(
        figure="pieces[].attachments_m",
        value=_AS_LISTED,
        formula="evenly along each run, its ends among them; positions along the path",
        inputs={},
        source=_HELD,
    ),
    Reason(
        figure="pieces[].balloons[].spares",
        value=_AS_LISTED,
        formula="the job's spares of a size and color, in proportion to the piece's balloons",
        inputs={},
        source="Webster's divisor method",
    ),
    Reason(
        figure="pieces[].cluster_types",
        value=_AS_LISTED,
        formula="clusters that hold the same sizes and colors, counted",
        inputs={},
        source=_PATTERN,
    ),
    Reason(
        figure="pieces[].order",
        value=_AS_LISTED,
        formula="cluster by cluster along the line, each by its place among the types",
        inputs={},
        source=_PATTERN,
    ),
)
"""What is the same of every job: made once, since the lists tell the rest."""


def of_pieces(workings: Workings, book: PriceBook) -> Iterator[Reason]:
    """Every figure of the pieces, and the balloons of all of them with their spares."""
    outdoors = workings.brief.site.setting is Setting.OUTDOOR
    for index, (each, piece) in enumerate(zip(workings.built, workings.pieces, strict=True)):
        at = f"pieces[{index}]"
        yield from _along_the_support(at, each)
        yield from _on_the_line(at, each, piece, book.fittings.line)
        if each.piece.built_as is Build.QUADS:
            yield from _nested(at, each, piece, book, outdoors=outdoors)
        else:
            yield from _organic(at, each, piece, book, outdoors=outdoors)
        yield _balloons(at, each)
    yield from _LISTS
    yield from _pooled(workings, book)


def _along_the_support(at: str, each: Built) -> Iterator[Reason]:
    wanted, made = each.piece, each.made
    measures = wanted.measures
    form = kind_of(wanted.support).form(measures, wanted.shape or Shape.CATENARY)
    path_m = f"{made.path.length_m:.3f} m"
    yield Reason(
        figure=f"{at}.path_length_m",
        value=path_m,
        formula=form.formula,
        inputs={_plain(name): _measure(name, measures[name]) for name in form.measures},
        source="geometry of the support; measures from the brief",
    )
    share = f"{made.garland_length_m / made.path.length_m:.1%}"
    usual = wanted.coverage is None and wanted.placement is not Placement.WHOLE
    yield Reason(
        figure=f"{at}.runs",
        value=", ".join([f"{run.start_m:.3f} to {run.end_m:.3f} m" for run in made.runs]),
        formula="the stretches of the path that the placement covers",
        inputs={"placement": wanted.placement.words, "coverage": share},
        source="the brief; usual coverage: common practice, no source" if usual else BRIEF,
    )
    yield Reason(
        figure=f"{at}.garland_length_m",
        value=f"{made.garland_length_m:.3f} m",
        formula="path × coverage",
        inputs={"path": path_m, "coverage": share},
        source=BRIEF,
    )


def _on_the_line(
    at: str, each: Built, piece: PieceEstimate, book: LineAndFixings
) -> Iterator[Reason]:
    line, runs = each.line, str(len(each.made.runs))
    length, join = f"{book.length_m:.3f} m", f"{book.join_m:.3f} m"
    yield Reason(
        figure=f"{at}.line_length_m",
        value=f"{line.length_m:.3f} m",
        formula="each run: L (1 + knots) + 2 tails; every join takes more",
        inputs={
            "L in all": f"{each.made.garland_length_m:.3f} m",
            "runs": runs,
            "knots": f"{book.knots_share:.1%}",
            "tail": f"{book.tail_m:.3f} m",
            "joins": str(line.joins),
            "join": join,
        },
        source=_LINE,
    )
    yield Reason(
        figure=f"{at}.line_joins",
        value=str(line.joins),
        formula="each run: fewest n with n lengths - (n - 1) joins ≥ its line, less one",
        inputs={"lengths used": str(line.lengths), "runs": runs, "a length": length, "join": join},
        source=_LINE,
    )
    yield Reason(
        figure=f"{at}.attachment_points",
        value=str(piece.attachment_points),
        formula="each run: L / spacing, rounded up, and one more unless it is closed; at least 2",
        inputs={"spacing": f"{book.spacing_m:.3f} m", "runs": runs},
        source=_HELD,
    )


def _nested(
    at: str, each: Built, piece: PieceEstimate, book: PriceBook, *, outdoors: bool
) -> Iterator[Reason]:
    made = each.made
    ((size, diameter_m),) = made.sized.items()
    d = f"{diameter_m:.3f} m"
    sized = _sized_quads(each.piece, size, book, outdoors=outdoors)
    yield Reason(
        figure=f"{at}.girth_m",
        value=f"{made.girth_m:.3f} m",
        formula="d (1 + √2): a ring of four touching spheres",
        inputs={"d": d, "size class": f"{size} in"},
        source=f"touching spheres, derived; {sized}",
    )
    yield Reason(
        figure=f"{at}.clusters",
        value=_listed(piece.clusters),
        formula=(
            "nested quads: (L - d)/p + 1 on an open run, L/p on a closed one; p = 2^(-1/4) d;"
            " times the number of pieces"
        ),
        inputs={
            "L": f"{made.garland_length_m:.3f} m",
            "size class": f"{size} in",
            "d": d,
            "pieces": str(piece.count),
        },
        source=f"touching spheres, derived; {sized}",
    )


def _sized_quads(piece: Piece, size: int, book: PriceBook, *, outdoors: bool) -> str:
    if piece.sized_m:
        return "sized diameter from the brief"
    if size == book.recipe.quads_size and not outdoors:
        return price_book("recipe.quads_sized_in")
    return price_book(_SIZED[outdoors])


def _organic(
    at: str, each: Built, piece: PieceEstimate, book: PriceBook, *, outdoors: bool
) -> Iterator[Reason]:
    made, recipe, fullness = each.made, book.recipe, each.piece.fullness
    look = recipe.looks[fullness]
    rubber_m3 = recipe.solid_fraction * math.pi / 4 * made.girth_m**2 * made.garland_length_m
    girth, d = f"{made.girth_m:.3f} m", f"{made.sized[recipe.base_size]:.3f} m"
    yield Reason(
        figure=f"{at}.girth_m",
        value=girth,
        formula="girth of the fullness × d / d as sized indoors",
        inputs={
            "fullness": f"{fullness}",
            "girth": f"{look.girth_m:.3f} m",
            "d": d,
            "d indoors": _indoors(book),
        },
        source=_GIRTHS[fullness, outdoors],
    )
    yield Reason(
        figure=f"{at}.clusters",
        value=_listed(piece.clusters),
        formula=(
            "base clusters: L / (step × 2^(-1/4) d); fillers: until all rubber is φ (π/4) G² L;"
            " each kind rounded to whole clusters, times the number of pieces"
        ),
        inputs={
            "L": f"{made.garland_length_m:.3f} m",
            "fullness": f"{fullness}",
            "G": girth,
            "φ": f"{recipe.solid_fraction:g}",
            "step": f"{look.base_step:g}",
            "d": d,
            "base per m": f"{base_clusters_per_metre(look, recipe, made.sized):.3f}",
            "rubber": f"{rubber_m3:.3f} m³",
            "pieces": str(piece.count),
        },
        source=_CLUSTERS[fullness, outdoors],
    )


def _indoors(book: PriceBook) -> str:
    base = book.size(book.recipe.base_size)
    return f"{base.sized_indoors_m:.3f} m" if base else "not known"


def _balloons(at: str, each: Built) -> Reason:
    count, sizes = each.piece.count, each.made.sizes
    return Reason(
        figure=f"{at}.balloons",
        value=str(count * sum(sizes.values())),
        formula="balloons in each cluster × clusters, shared out over the colors",
        inputs={f"{size} in": str(count * number) for size, number in sizes.items()},
        source=_CONTENTS,
    )


def _pooled(workings: Workings, book: PriceBook) -> Iterator[Reason]:
    placed = sum([line.placed for line in workings.spares])
    taken = sum([line.taken for line in workings.spares])
    yield Reason(
        figure="balloons_total",
        value=str(placed),
        formula="sum of all pieces, without spares",
        inputs={"spares besides": str(taken - placed)},
        source="pieces",
    )
    yield Reason(
        figure="spares",
        value=str(taken - placed),
        formula="fewest n with P(binomial(n, 1 - breakage) ≥ count) ≥ service level, per color",
        inputs={
            "service level": f"{book.policy.service_level:.1%}",
            **_packed(workings),
            "as a flat percentage": f"{(taken - placed) / placed:.1%}",
            **_by_kind(workings.spares),
        },
        source=f"{_SPARES}; {OWN_RECORD}" if workings.calibration.jobs else _SPARES,
    )


def _packed(workings: Workings) -> dict[str, str]:
    factor = workings.calibration.packing.factor
    return {"packs tighter, the shop's own record": f"count × {factor:.4f}"} if factor > 1 else {}


def _by_kind(spares: Sequence[SpareLine]) -> dict[str, str]:
    odds = {line.size_class: line.breakage for line in spares}
    return {f"breakage of {size} in": f"{share:.2%}" for size, share in odds.items()} | {
        f"{line.colour} {line.size_class} in": (
            f"{line.taken} for {line.placed}, {line.share:.1%} more"
        )
        for line in spares
    }


def _plain(measure: str) -> str:
    return measure.removesuffix("_m")


def _measure(name: str, value: float) -> str:
    return f"{value:.3f} m" if name.endswith("_m") else f"{value:g}"


def _listed(clusters: Mapping[str, int]) -> str:
    return ", ".join([f"{number} {kind.replace('_', ' ')}" for kind, number in clusters.items()])
