"""What else could be had: the three fullnesses side by side, or the best within a budget.

Every option is a brief of its own with a whole estimate; nothing is scaled or guessed from
another's price.
"""

import datetime as dt
import itertools
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from decimal import Decimal

from service.estimating.answer import Estimate, Price
from service.estimating.book import PriceBook
from service.estimating.brief import Brief, Build, Fullness, Piece
from service.estimating.calibration import UNCALIBRATED, Calibration
from service.estimating.estimate import estimate
from service.estimating.extras import Accent
from service.estimating.paths import usual_coverage

MOST_OPTIONS = 3

_DOWN = (Fullness.LUSH, Fullness.FULL, Fullness.AIRY)
_COVERAGES = (1.0, 0.85, 0.7, 0.5)
_ACCENTS = {1.0: "", 0.5: "half the flowers and extras", 0.0: "without flowers and extras"}

_LIGHTER, _SHORTER, _PLAINER = 1.0, 2.5, 0.8
"""What a step lighter, all of the length and all of the extras are worth against each other.

Common practice, no source: clients miss length most, then fullness, then flowers.
"""


@dataclass(frozen=True, kw_only=True, slots=True)
class Option:
    """A brief that could be built instead; `changes` says in words what differs from the wish.

    `fits` compares the likely price, tax and all, with the budget; None where there is none.
    `loss` grows with what is given up, nought for the wish itself.
    """

    changes: tuple[str, ...]
    brief: Brief
    estimate: Estimate
    fits: bool | None
    loss: float


@dataclass(frozen=True, kw_only=True, slots=True)
class _Way:
    """One combination of what is given up, by kind and in words."""

    loss: float
    gives_up: Mapping[str, str]
    brief: Brief


def options(
    brief: Brief, book: PriceBook, calibration: Calibration = UNCALIBRATED, *, today: dt.date
) -> tuple[Option, ...]:
    """Up to three options, the nearest to the wish first.

    With a budget: what fits it at the least loss, by less coverage, lighter fullness or smaller
    accents; where nothing fits, the cheapest, said not to fit. Otherwise airy, full and lush.
    Raises BriefError as `estimate` does.
    """
    most = brief.budget.max if brief.budget else None
    if most is None:
        return tuple(_side_by_side(brief, book, calibration, today))
    return _within(most, brief, book, calibration, today)


def to_pay(price: Price) -> Decimal:
    """The likely price with its tax: what a budget is compared with."""
    return price.likely if price.tax_included else price.likely + price.tax


def _side_by_side(
    brief: Brief, book: PriceBook, calibration: Calibration, today: dt.date
) -> Iterator[Option]:
    wished = {piece.fullness for piece in brief.pieces if _is_organic(piece)}
    for fullness in Fullness if wished else ():
        pieces = (
            replace(piece, fullness=fullness) if _is_organic(piece) else piece
            for piece in brief.pieces
        )
        other = replace(brief, pieces=tuple(pieces))
        yield Option(
            changes=() if wished == {fullness} else (f"{fullness.value} throughout",),
            brief=other,
            estimate=estimate(other, book, calibration, today=today),
            fits=None,
            loss=0.0,
        )


def _within(
    most: Decimal, brief: Brief, book: PriceBook, calibration: Calibration, today: dt.date
) -> tuple[Option, ...]:
    fitting: dict[frozenset[str], Option] = {}
    tried: list[Option] = []
    # By growing loss, so that the first that fits is the nearest to the wish.
    for way in sorted(_ways(brief), key=lambda way: way.loss):
        given_up = frozenset(way.gives_up)
        # Giving up more of the same, or the same and more besides, is no further choice.
        if any(kinds <= given_up for kinds in fitting):
            continue
        answer = estimate(way.brief, book, calibration, today=today)
        option = Option(
            changes=tuple(way.gives_up.values()),
            brief=way.brief,
            estimate=answer,
            fits=to_pay(answer.price) <= most,
            loss=way.loss,
        )
        tried.append(option)
        if option.fits:
            fitting[given_up] = option
        if len(fitting) == MOST_OPTIONS:
            break
    return tuple(fitting.values()) or (min(tried, key=_likely),)


def _likely(option: Option) -> Decimal:
    return option.estimate.price.likely


def _ways(brief: Brief) -> Iterator[_Way]:
    organic = [piece for piece in brief.pieces if _is_organic(piece)]
    steps = max((_DOWN[::-1].index(piece.fullness) for piece in organic), default=0)
    coverages = _COVERAGES if organic else _COVERAGES[:1]
    accents = _ACCENTS if any(piece.accents for piece in brief.pieces) else (1.0,)
    for down, share, kept in itertools.product(range(steps + 1), coverages, accents):
        pieces = tuple(_reduced(piece, down, share, kept) for piece in brief.pieces)
        lightened = dict.fromkeys(piece.fullness.value for piece in pieces if _is_organic(piece))
        words = {
            "fullness": f"lighter: {' and '.join(lightened)}" if down else "",
            "coverage": f"garland on {share:.0%} of the length" if share < 1 else "",
            "accents": _ACCENTS[kept],
        }
        yield _Way(
            loss=down * _LIGHTER + (1 - share) * _SHORTER + (1 - kept) * _PLAINER,
            gives_up={kind: text for kind, text in words.items() if text},
            brief=replace(brief, pieces=pieces),
        )


def _is_organic(piece: Piece) -> bool:
    return piece.built_as is Build.ORGANIC


def _reduced(piece: Piece, down: int, share: float, kept: float) -> Piece:
    accents = tuple(_fewer(piece.accents, kept))
    if not _is_organic(piece):
        return replace(piece, accents=accents)
    lower = min(_DOWN.index(piece.fullness) + down, len(_DOWN) - 1)
    coverage = piece.coverage
    if share < 1:
        coverage = share * (coverage or usual_coverage(piece.path, piece.placement))
    return replace(piece, fullness=_DOWN[lower], coverage=coverage, accents=accents)


def _fewer(accents: tuple[Accent, ...], kept: float) -> Iterator[Accent]:
    for accent in accents if kept else ():
        count = accent.count
        yield accent if count is None else replace(accent, count=max(1, round(count * kept)))
