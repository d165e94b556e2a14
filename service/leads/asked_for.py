"""What a client asked for, in the order and the numbers in which it is read back."""

from collections import Counter
from collections.abc import Iterable, Iterator
from dataclasses import replace

from service.estimating import Brief, Piece


def in_order(brief: Brief, colours: Iterable[str]) -> tuple[str, ...]:
    """Each colour once: those that the client named, as they named them, before any other."""
    used = tuple(dict.fromkeys(colours))
    named = dict.fromkeys(share.colour for share in brief.palette)
    return (
        *(name for name in named if name in used),
        *(name for name in used if name not in named),
    )


def together(pieces: Iterable[Piece]) -> Iterator[tuple[Piece, int]]:
    """Pieces that are alike and how many there are of them, in the order of the first of each."""
    counts: Counter[Piece] = Counter()
    for piece in pieces:
        counts[replace(piece, count=1)] += piece.count
    yield from counts.items()
