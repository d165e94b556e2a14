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

_UNITS = {
    AccentKind.FLOWERS: "stem",
    AccentKind.GREENERY: "stem",
    AccentKind.SIGN: "sign",
    AccentKind.RIBBON: "streamer",
}
"""What each is counted in. A fabric cover is not among them: it belongs to a frame."""


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
            place = "just under the foils" if under_foils else middle(garland)
            at_m = [crown_at(garland) if under_foils else middle_at(garland)]
        else:
            # Kinds that share a garland take turns along it and never sit on one spot.
            turn += 1
            place = spread(garland, each, turn / (along + 1))
            at_m = [*spread_at(garland, each, turn / (along + 1))]
        yield _accent(index, accent, each * piece.count, rates[accent.kind], place, at_m)


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
