"""Which of the shop's own frames and stands serve, and what has to be hired."""

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass

from service.estimating.book import Hardware, PriceBook
from service.estimating.brief import Piece
from service.estimating.paths import kind_of

SIZE_TOLERANCE = 0.05
"""An owned frame serves where each measure is within a twentieth of what was asked for."""


@dataclass(frozen=True, kw_only=True, slots=True)
class Use:
    """One piece's supports: `at_hand` of `own` are taken, `hired` more are needed."""

    piece: Piece
    own: Hardware | None
    at_hand: int
    hired: int


def uses(pieces: Iterable[Piece], book: PriceBook) -> tuple[Use, ...]:
    """Supports for every piece that stands on hardware; no frame is promised twice."""
    promised: Counter[str] = Counter()
    found = []
    for piece in pieces:
        if not kind_of(piece.support).owned:
            continue
        own = next((h for h in book.hardware if _serves(h, piece)), None)
        at_hand = min(piece.count, own.count - promised[own.label]) if own else 0
        if own:
            promised[own.label] += at_hand
        found.append(Use(piece=piece, own=own, at_hand=at_hand, hired=piece.count - at_hand))
    return tuple(found)


def _serves(hardware: Hardware, piece: Piece) -> bool:
    if hardware.support is not piece.support:
        return False
    asked_for = ((hardware.width_m, piece.width_m), (hardware.height_m, piece.height_m))
    return all(
        own is None or wanted is None or abs(own - wanted) <= SIZE_TOLERANCE * wanted
        for own, wanted in asked_for
    )
