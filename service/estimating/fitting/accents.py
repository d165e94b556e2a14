"""Flowers, greenery, signs and ribbon on a piece."""

from collections.abc import Iterable, Iterator, Mapping
from decimal import Decimal

from service.estimating.answer import Fitting
from service.estimating.book import AccentRate
from service.estimating.brief import Piece
from service.estimating.extras import Accent, AccentKind
from service.estimating.fitting.garland import (
    Garland,
    crown_at,
    middle,
    middle_at,
    spread,
    spread_at,
)
from service.estimating.fitting.words import sentence
from service.estimating.paths import Support

_UNITS = {
    AccentKind.FLOWERS: "stem",
    AccentKind.GREENERY: "stem",
    AccentKind.SIGN: "sign",
    AccentKind.RIBBON: "streamer",
}
"""What each is counted in. A fabric cover is not among them: it belongs to a frame."""

_OPEN = frozenset(
    {
        Support.ROUND_TOP_FRAME,
        Support.SQUARE_FRAME,
        Support.HOOP,
        Support.FREESTANDING_ARCH,
        Support.DOORWAY,
    }
)
"""What a sign hangs free in."""

SIGN_HANGS_UNDER = frozenset({Support.WALL, Support.SWAG})
"""Garlands that a sign hangs under."""


def accents(
    index: int,
    piece: Piece,
    garland: Garland,
    rates: Mapping[AccentKind, AccentRate],
    *,
    under_foils: bool,
) -> Iterator[Fitting]:
    """The accents of one kind of piece; `under_foils` says that foils are where a sign would be."""
    asked = [
        (accent, each)
        for accent in piece.accents
        if accent.kind in _UNITS and (each := accent.count or rates[accent.kind].usual)
    ]
    along = sum(not _at_middle(accent, each) for accent, each in asked)
    turn = 0
    for accent, each in asked:
        if _at_middle(accent, each):
            place, at = _sign_at(piece, garland, under_foils=under_foils)
            at_m = [at]
        else:
            # Kinds that share a garland take turns along it and never sit on one spot.
            turn += 1
            place = spread(garland, each, turn / (along + 1))
            at_m = [*spread_at(garland, each, turn / (along + 1))]
        yield _accent(index, accent, each * piece.count, rates[accent.kind], place, at_m)


def _sign_at(piece: Piece, garland: Garland, *, under_foils: bool) -> tuple[str, float]:
    """Where one sign goes, and how far along the path [m]: it hides balloons only where it must."""
    at_the_top = middle(garland).startswith("at the top")
    if piece.support in _OPEN and not at_the_top:
        return "hung from the middle of the top, in the opening", garland.path.length_m / 2
    if piece.support in SIGN_HANGS_UNDER:
        return f"hung under it, {middle(garland)}", middle_at(garland)
    if under_foils:
        return "just under the foils", crown_at(garland)
    return middle(garland), middle_at(garland)


def _at_middle(accent: Accent, each: int) -> bool:
    return accent.kind is AccentKind.SIGN and each == 1


def _accent(
    index: int,
    accent: Accent,
    count: int,
    rate: AccentRate,
    place: str,
    at_m: Iterable[float],
) -> Fitting:
    price: Decimal = rate.price + rate.mount_price
    return Fitting(
        code="accents",
        label=f"{accent.kind.value}: {accent.words}" if accent.words else accent.kind.value,
        piece=index,
        count=count,
        unit=_UNITS[accent.kind],
        unit_cost=price,
        cost=count * price,
        seconds=count * rate.seconds,
        place=sentence(place),
        mount=sentence(rate.mount),
        at_m=tuple(round(at, 3) for at in at_m),
    )
