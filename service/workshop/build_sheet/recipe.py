"""The recipe of a piece: its clusters by letter, and the order along the line, repeats folded."""

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from itertools import count, product

from service.estimating import PieceEstimate
from service.estimating import Stretch as Laid
from service.workshop.build_sheet.folding import folded
from service.workshop.build_sheet.values import Held, Letter, Step
from service.workshop.clusters import named

_ALPHABET = "ABCDEFGHJKLMNPQRSTUVWXYZ"
"""Without I and O, which look like figures."""


def letters_of(counted: PieceEstimate, laid: Sequence[Laid]) -> Mapping[int, Letter]:
    """A letter for every type of cluster by its place in `cluster_types`: first what is tied on,
    then what is pushed in, of each kind the commonest first.
    """
    each = Counter(cluster.kind for stretch in laid for cluster in stretch.clusters)
    fills = {cluster.kind: cluster.filler for stretch in laid for cluster in stretch.clusters}
    types = counted.cluster_types
    in_order = sorted(each, key=lambda i: (fills[i], types[i].kind, -each[i], i))
    return {
        i: Letter(
            letter=letter,
            name=named(types[i].kind),
            filler=fills[i],
            holds=tuple(
                Held(size_class=size, colour=colour, count=number)
                for size, colour, number in types[i].balloons
            ),
            each=each[i],
            all=each[i] * counted.count,
        )
        for i, letter in zip(in_order, _letters(), strict=False)
    }


def steps_of(stretch: Laid, letters: Mapping[int, Letter]) -> Iterator[Step]:
    """The clusters of a stretch in order: those that repeat are said once, with how often."""
    first = stretch.clusters[0].number if stretch.clusters else 1
    for fold in folded([cluster.kind for cluster in stretch.clusters]):
        last = first + len(fold.unit) * fold.times - 1
        named = tuple(letters[kind].letter for kind in fold.unit)
        yield Step(first=first, last=last, letters=named, times=fold.times)
        first = last + 1


def _letters() -> Iterator[str]:
    """ "A" to "Z", then "AA", "AB" and so on."""
    for length in count(1):
        yield from map("".join, product(_ALPHABET, repeat=length))
