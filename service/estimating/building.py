"""Pieces as they are made: cluster by cluster, colour by colour, with their line and spares."""

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from service.estimating.answer import BalloonCount, ClusterType, PieceEstimate, SpareLine
from service.estimating.book import Key, PriceBook
from service.estimating.brief import Brief, Build, Piece
from service.estimating.colouring import Pattern
from service.estimating.line import Line, attachments, line_for
from service.estimating.recipe import Make, arrangement, make, spread
from service.estimating.spares import enough_of


@dataclass(frozen=True, kw_only=True, slots=True)
class Built:
    """One kind of piece as it is made, with its line, and its balloons for all `count`."""

    piece: Piece
    made: Make
    line: Line
    attachments_m: tuple[float, ...]
    placed: Mapping[Key, int]


def build(
    brief: Brief, palette: Mapping[str, float], book: PriceBook, *, outdoors: bool
) -> tuple[Built, ...]:
    """Every piece of the brief in whole clusters, its balloons shared out over the palette."""
    spacing = book.fittings.line.spacing_m
    built = []
    for piece in brief.pieces:
        made = make(piece, book, outdoors=outdoors)
        placed = _placed(piece, made, palette)
        held = tuple(at for run in made.runs for at in attachments(run, spacing))
        line = line_for(made.runs, book.fittings.line)
        built.append(Built(piece=piece, made=made, line=line, attachments_m=held, placed=placed))
    return tuple(built)


def _placed(piece: Piece, made: Make, palette: Mapping[str, float]) -> Mapping[Key, int]:
    # Every such piece is alike: what one takes, times their number. In a striped column the
    # colours are shared out by whole quads, so that no ring has two.
    ring = 4 if piece.built_as is Build.QUADS and piece.pattern is Pattern.STRIPE else 1
    return {
        (size, colour): number * ring * piece.count
        for size, each in made.sizes.items()
        for colour, number in spread(each // ring, palette).items()
        if number
    }


def pooled(built: Sequence[Built]) -> Mapping[Key, int]:
    """Balloons of all pieces together by size and colour."""
    pool: Counter[Key] = Counter()
    for each in built:
        pool.update(each.placed)
    return dict(sorted(pool.items()))


def spares_for(
    placed: Mapping[Key, int], odds: Mapping[int, float], level: float, *, packing: float = 1.0
) -> tuple[SpareLine, ...]:
    """How many to take so that enough stay whole at that service level, by size and colour.

    Enough for the garland is the recipe's count times `packing`, where the shop packs tighter; one
    that packs looser still lays the recipe's clusters.
    """
    lines = []
    for (size, colour), number in placed.items():
        taken, enough = enough_of(max(number, round(number * packing)), odds[size], level)
        lines.append(
            SpareLine(
                size_class=size,
                colour=colour,
                placed=number,
                taken=taken,
                breakage=odds[size],
                enough=round(enough, 6),
                share=round(taken / number - 1, 4),
            )
        )
    return tuple(lines)


def piece_estimates(
    built: Sequence[Built],
    spares: Sequence[SpareLine],
    said: Sequence[str],
    ranked: Sequence[str],
    book: PriceBook,
) -> tuple[PieceEstimate, ...]:
    """The pieces as the answer has them: colours along the line as `said`, in the client's order.

    Where they are mixed they go as `ranked`: there the client's order decides nothing.
    """
    shared = _spares_by_piece(built, spares)
    return tuple(
        _piece(each, spare, ranked if each.piece.pattern is Pattern.MIXED else said, book)
        for each, spare in zip(built, shared, strict=True)
    )


def _piece(
    each: Built, spare: Mapping[Key, int], palette: Sequence[str], book: PriceBook
) -> PieceEstimate:
    piece, made = each.piece, each.made
    arranged = arrangement(piece, made, each.placed, palette, book.recipe)
    return PieceEstimate(
        support=piece.support,
        count=piece.count,
        path_length_m=made.path.length_m,
        start=made.path.start,
        end=made.path.end,
        runs=tuple((run.start_m, run.end_m) for run in made.runs),
        garland_length_m=made.garland_length_m,
        girth_m=made.girth_m,
        line_length_m=each.line.length_m,
        line_joins=each.line.joins,
        attachment_points=len(each.attachments_m),
        attachments_m=tuple(round(at, 3) for at in each.attachments_m),
        clusters={kind.value: n * piece.count for kind, n in made.clusters.items()},
        balloons=tuple(
            BalloonCount(size_class=key[0], colour=key[1], count=n, spares=spare[key])
            for key, n in each.placed.items()
        ),
        pattern=piece.pattern.value,
        cluster_types=tuple(
            ClusterType(
                kind=str(kind.kind),
                balloons=kind.balloons,
                count=kind.count,
                filler=kind.filler,
            )
            for kind in arranged.types
        ),
        order=arranged.runs[0].order,
    )


def _spares_by_piece(
    built: Sequence[Built], spares: Sequence[SpareLine]
) -> Sequence[Mapping[Key, int]]:
    # Spares are pooled over the job: together they guard every piece with fewer than apart.
    shared: list[dict[Key, int]] = [{} for _ in built]
    for line in spares:
        key = line.size_class, line.colour
        weights = {
            str(i): float(each.placed[key]) for i, each in enumerate(built) if key in each.placed
        }
        for index, part in spread(line.taken - line.placed, weights).items():
            shared[int(index)][key] = part
    return shared
