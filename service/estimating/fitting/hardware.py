"""Which of the shop's own frames and stands serve, and what has to be hired."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from decimal import Decimal

from service.estimating.answer import Assumption, Fitting
from service.estimating.book import Fittings, Hardware
from service.estimating.brief import Piece
from service.estimating.fitting.allotting import allot
from service.estimating.fitting.words import feet
from service.estimating.paths import kind_of

SIZE_TOLERANCE = 0.05
"""An owned frame serves where each measure is within a twentieth of what was asked for.

Common practice, no source: the garland hides so much.
"""


@dataclass(frozen=True, kw_only=True, slots=True)
class Use:
    """What one kind of piece stands on: so many of each `own`, and `hired` more.

    `index` is the piece's place in the brief.
    """

    index: int
    piece: Piece
    own: tuple[tuple[Hardware, int], ...]
    hired: int

    @property
    def at_hand(self) -> int:
        """How many of the shop's own it takes."""
        return sum(number for _, number in self.own)


def uses(pieces: Iterable[Piece], hardware: Sequence[Hardware]) -> tuple[Use, ...]:
    """Supports for every piece that stands on hardware; no frame is promised twice.

    A frame of the right size is taken before one that adjusts, and as few as can be are hired.
    """
    standing = [(i, piece) for i, piece in enumerate(pieces) if kind_of(piece.support).owned]
    given = allot(
        [piece.count for _, piece in standing],
        [_serving(piece, hardware) for _, piece in standing],
        [item.count for item in hardware],
    )
    return tuple(
        Use(
            index=index,
            piece=piece,
            own=tuple((hardware[item], number) for item, number in each.items()),
            hired=piece.count - sum(each.values()),
        )
        for (index, piece), each in zip(standing, given, strict=True)
    )


def stands(found: Iterable[Use], book: Fittings) -> Iterator[Fitting]:
    """Wear of owned frames and stands, hire of what the shop does not own."""
    for use in found:
        for item, number in use.own:
            adjusts = _adjusts(item, use.piece)
            mount = f"Set it to {_size_of(use.piece)}, level" if adjusts else "Set it up level"
            yield _stand(use, "wear", item.label, number, item.wear, mount)
        if use.hired:
            mount = f"Ask for one {_size_of(use.piece)} and set it up level"
            label, price = f"{use.piece.support.words}, hired", book.hire_of(use.piece.support)
            yield _stand(use, "hire", label, use.hired, price, mount)


def lacking(found: Iterable[Use]) -> Iterator[Assumption]:
    """What the shop does not have and is to hire."""
    for use in found:
        if use.hired:
            words = use.piece.support.words
            has = f"only {use.at_hand} free for a {words} of this size"
            text = has if use.own else f"no {words} of this size free"
            yield Assumption(
                field=f"pieces[{use.index}]", text=f"the shop has {text}: {use.hired} to hire"
            )


def _serving(piece: Piece, hardware: Sequence[Hardware]) -> list[int]:
    fits = []
    for index, item in enumerate(hardware):
        # A rounding of feet to metres must not put a frame beyond the tolerance.
        if item.support is piece.support and (off := _off(item, piece)) <= SIZE_TOLERANCE + 1e-9:
            fits.append((_adjusts(item, piece), off, index))
    return [index for *_, index in sorted(fits)]


def _adjusts(item: Hardware, piece: Piece) -> bool:
    return any(own is None and asked is not None for own, asked in _measures(item, piece))


def _off(item: Hardware, piece: Piece) -> float:
    both = ((own, asked) for own, asked in _measures(item, piece) if own and asked)
    return max((abs(own - asked) / asked for own, asked in both), default=0.0)


def _measures(item: Hardware, piece: Piece) -> tuple[tuple[float | None, float | None], ...]:
    return (item.width_m, piece.width_m), (item.height_m, piece.height_m)


def _size_of(piece: Piece) -> str:
    measures = ((piece.width_m, "wide"), (piece.height_m, "high"))
    return " and ".join(f"{feet(value)} {word}" for value, word in measures if value is not None)


def _stand(use: Use, code: str, label: str, count: int, price: Decimal, mount: str) -> Fitting:
    return Fitting(
        code=code,
        label=label,
        piece=use.index,
        count=count,
        unit="use" if code == "wear" else "piece",
        unit_cost=price,
        cost=count * price,
        seconds=0.0,
        place=f"For piece {use.index + 1}.",
        mount=f"{mount}, before the garland goes on.",
    )
