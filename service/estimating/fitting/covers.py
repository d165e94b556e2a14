"""Fabric covers: the shop's own where they fit the frame that is used, hired ones otherwise."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from decimal import Decimal

from service.estimating.answer import Assumption, Fitting
from service.estimating.book import AccentRate, Cover, Fittings
from service.estimating.brief import Piece
from service.estimating.extras import AccentKind
from service.estimating.fitting.allotting import allot
from service.estimating.fitting.hardware import Use
from service.estimating.fitting.words import sentence

_DRAWN_OVER = "drawn over the frame and smoothed before the garland goes on"


@dataclass(frozen=True, kw_only=True, slots=True)
class Covering:
    """Covers on one frame: `frame` by its label, so many of each `own`, and `hired` more."""

    index: int
    piece: Piece
    frame: str
    own: tuple[tuple[Cover, int], ...]
    hired: int


def coverings(
    pieces: Sequence[Piece], found: Sequence[Use], book: Fittings
) -> tuple[Covering, ...]:
    """Covers for every piece that asks for one; none is promised twice.

    A cover goes by the frame that it fits, so that only the shop's own frames get one of its own;
    of two that fit, the one that fits fewer other frames is taken.
    """
    rate = book.accents[AccentKind.FABRIC_COVER]
    wanted = [
        (index, piece, frame, number * each)
        for index, piece in enumerate(pieces)
        if (each := _covers_on_each(piece, rate))
        for frame, number in _frames_of(index, piece, found)
    ]
    if not wanted:
        return ()
    fewest_first = sorted(range(len(book.covers)), key=lambda i: len(book.covers[i].fits))
    given = allot(
        [number for *_, number in wanted],
        [[i for i in fewest_first if frame in book.covers[i].fits] for _, _, frame, _ in wanted],
        [cover.count for cover in book.covers],
    )
    return tuple(
        Covering(
            index=index,
            piece=piece,
            frame=frame,
            own=tuple((book.covers[i], n) for i, n in each.items()),
            hired=number - sum(each.values()),
        )
        for (index, piece, frame, number), each in zip(wanted, given, strict=True)
    )


def covers(covered: Sequence[Covering], book: Fittings) -> Iterator[Fitting]:
    """Wear of the shop's own covers, hire of the others at the accent's rate."""
    rate = book.accents[AccentKind.FABRIC_COVER]
    for each in covered:
        for cover, number in each.own:
            yield _cover(each, cover.label, number, cover.wear, cover.seconds, _DRAWN_OVER)
        if each.hired:
            price = rate.price + rate.mount_price
            label = "fabric cover, hired"
            yield _cover(each, label, each.hired, price, rate.seconds, rate.mount)


def uncovered(covered: Sequence[Covering]) -> Iterator[Assumption]:
    """What the shop has no cover for and is to hire."""
    for each in covered:
        if each.hired:
            text = f"the shop has no fabric cover for this {each.piece.support.words} free"
            yield Assumption(field=f"pieces[{each.index}]", text=f"{text}: {each.hired} to hire")


def _covers_on_each(piece: Piece, rate: AccentRate) -> int:
    asked = (accent for accent in piece.accents if accent.kind is AccentKind.FABRIC_COVER)
    return sum(accent.count or rate.usual for accent in asked)


def _frames_of(index: int, piece: Piece, found: Sequence[Use]) -> Iterator[tuple[str, int]]:
    use = next((use for use in found if use.index == index), None)
    for item, number in use.own if use else ():
        yield item.label, number
    other = use.hired if use else piece.count
    if other:
        yield piece.support.words, other


def _cover(
    each: Covering, label: str, count: int, price: Decimal, seconds: float, mount: str
) -> Fitting:
    return Fitting(
        code="covers",
        label=label,
        piece=each.index,
        count=count,
        unit="cover",
        unit_cost=price,
        cost=count * price,
        seconds=count * seconds,
        place=sentence(f"over the {each.frame}, under the garland"),
        mount=sentence(mount),
    )
