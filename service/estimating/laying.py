"""Where the clusters of a piece sit: which stretch of garland, and how far along the path."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import groupby
from operator import itemgetter

from service.estimating.answer import PieceEstimate
from service.estimating.book import PriceBook
from service.estimating.brief import Build, Piece
from service.estimating.clusters import nested_rings
from service.estimating.paths import Run
from service.estimating.recipe import pushed_in, sized_diameters, spread

_Counted = tuple[int, int, bool]
"""A cluster's number, its kind, and whether it is a filler."""


@dataclass(frozen=True, kw_only=True, slots=True)
class Laid:
    """One cluster of a piece.

    `number` counts from 1 along all stretches, `kind` is its place in `cluster_types`, and `at_m`
    how far it is along the path [m]. A `filler` is pushed in between those tied to the line.
    """

    number: int
    kind: int
    at_m: float
    filler: bool


@dataclass(frozen=True, kw_only=True, slots=True)
class Stretch:
    """One run of garland, and its clusters from start to end."""

    run: Run
    clusters: tuple[Laid, ...]


def laid(
    piece: Piece, counted: PieceEstimate, book: PriceBook, *, outdoors: bool
) -> tuple[Stretch, ...]:
    """The clusters of one such piece, in the estimate's order, shared out over its stretches.

    Those tied to the line are shared by length, nested quads by the rings that fit, and sit
    evenly; fillers sit between them. `book` and `outdoors` are those that the estimate was made
    with. An estimate that knows no order has empty stretches.
    """
    roles = _roles(piece, counted, book, outdoors=outdoors)
    runs = piece.runs
    shares = _shares(piece, book, outdoors=outdoors)
    tied = spread(roles.count(False), {str(i): share for i, share in enumerate(shares)})
    on_line = iter(zip(range(1, len(roles) + 1), counted.order, roles, strict=True))
    following = next(on_line, None)
    stretches = []
    for i, run in enumerate(runs):
        here: list[_Counted] = []
        left = tied[str(i)]
        # What is pushed in behind the last one tied belongs to the same stretch.
        while following is not None and (left or following[2]):
            here.append(following)
            left -= not following[2]
            following = next(on_line, None)
        stretches.append(Stretch(run=run, clusters=tuple(_placed(run, here))))
    return tuple(stretches)


def _shares(piece: Piece, book: PriceBook, *, outdoors: bool) -> Sequence[float]:
    if piece.built_as is not Build.QUADS:
        return [run.length_m for run in piece.runs]
    (diameter,) = sized_diameters(piece, book, outdoors=outdoors).values()
    return [nested_rings(run.length_m, 4, diameter, closed=run.closed) for run in piece.runs]


def _roles(
    piece: Piece, counted: PieceEstimate, book: PriceBook, *, outdoors: bool
) -> Sequence[bool]:
    said = [counted.cluster_types[kind].filler for kind in counted.order]
    known = [role for role in said if role is not None]
    return known if len(known) == len(said) else pushed_in(piece, book, outdoors=outdoors)


def _placed(run: Run, here: Sequence[_Counted]) -> Iterator[Laid]:
    tied = sum(not filler for *_, filler in here)
    pitch = run.length_m / max(tied, 1)
    before = 0
    for filler, group in groupby(here, key=itemgetter(2)):
        members = list(group)
        if filler:
            # Behind the last one tied there is half a gap only.
            gap = 0.5 if before == tied else 1.0
            places = [
                before - 0.5 + gap * (k + 1) / (len(members) + 1) for k in range(len(members))
            ]
        else:
            places = [before + 0.5 + k for k in range(len(members))]
            before += len(members)
        for (number, kind, _), place in zip(members, places, strict=True):
            at_m = run.start_m + max(0.0, place) * pitch
            yield Laid(number=number, kind=kind, at_m=at_m, filler=filler)
