"""Which clusters go into which bag."""

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import accumulate, groupby, pairwise
from operator import attrgetter

from service.estimating import Brief, Estimate, PriceBook, Setting, sized_diameters
from service.workshop.build_sheet.naming import names_of
from service.workshop.build_sheet.values import Bag, Held, Part

_LEEWAY = 0.2
"""So much more or less than its share a bag may hold, for the sake of whole pieces."""


@dataclass(frozen=True, kw_only=True, slots=True)
class _Tied:
    """One cluster of the job; `air` goes by the volume of its balloons."""

    piece: int
    copy: int
    number: int
    balloons: tuple[tuple[int, str, int], ...]
    air: float


def bags_of(brief: Brief, estimate: Estimate, book: PriceBook) -> tuple[Bag, ...]:
    """As many bags as the estimate loads, filled nearly alike with clusters in their order.

    A piece begins a bag of its own where that is a matter of a few clusters. `book` is the one
    that the estimate was made by. Where the estimate knows no order, nothing is said of what is in
    them; so it is of bags that nothing is left for, where one cluster fills more than one.
    """
    clusters = list(_clusters(brief, estimate, book))
    bags = estimate.load.bags
    cuts = [0, *_cuts(clusters, bags), len(clusters)]
    filled = [clusters[start:end] for start, end in pairwise(cuts)]
    return tuple(
        Bag(
            number=number,
            of=bags,
            parts=tuple(_parts(brief, inside)),
            contents=_contents(inside),
        )
        for number, inside in enumerate(filled, start=1)
    )


def _cuts(clusters: Sequence[_Tied], bags: int) -> Iterator[int]:
    """How many clusters are packed when each bag but the last is full."""
    packed = list(accumulate((cluster.air for cluster in clusters), initial=0.0))
    each = packed[-1] / bags
    ends = [
        i
        for i, (a, b) in enumerate(pairwise(clusters), 1)
        if (a.piece, a.copy) != (b.piece, b.copy)
    ]
    for bag in range(1, bags):
        full = bag * each
        near = [end for end in ends if abs(packed[end] - full) <= _LEEWAY * each]
        yield min(near or range(len(packed)), key=lambda end: abs(packed[end] - full))


def _clusters(brief: Brief, estimate: Estimate, book: PriceBook) -> Iterator[_Tied]:
    outdoors = brief.site.setting is Setting.OUTDOOR
    for index, (piece, counted) in enumerate(zip(brief.pieces, estimate.pieces, strict=True)):
        sized = sized_diameters(piece, book, outdoors=outdoors)
        air = [
            sum(number * sized[size] ** 3 for size, _, number in kind.balloons)
            for kind in counted.cluster_types
        ]
        for copy in range(1, counted.count + 1):
            for number, kind in enumerate(counted.order, start=1):
                yield _Tied(
                    piece=index,
                    copy=copy,
                    number=number,
                    balloons=counted.cluster_types[kind].balloons,
                    air=air[kind],
                )


def _parts(brief: Brief, inside: Sequence[_Tied]) -> Iterator[Part]:
    names = names_of(brief)
    for (index, copy), group in groupby(inside, key=attrgetter("piece", "copy")):
        numbers = [cluster.number for cluster in group]
        yield Part(
            piece=index,
            name=names[index],
            copy=copy,
            copies=brief.pieces[index].count,
            first=numbers[0],
            last=numbers[-1],
        )


def _contents(inside: Sequence[_Tied]) -> tuple[Held, ...]:
    held: Counter[tuple[int, str]] = Counter()
    for cluster in inside:
        for size, colour, number in cluster.balloons:
            held[size, colour] += number
    return tuple(
        Held(size_class=size, colour=colour, count=number)
        for (size, colour), number in sorted(held.items())
    )
