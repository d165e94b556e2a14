"""What else could be had: the three fullnesses side by side, or the best within a budget.

Every option is a brief of its own with a whole estimate; nothing is scaled or guessed from
another's price. No measure is ever changed, and no piece is left out.
"""

import datetime as dt
import itertools
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal

from service.estimating.answer import Estimate, Price
from service.estimating.book import AccentRate, PriceBook
from service.estimating.brief import Brief, Build, Fullness, Piece
from service.estimating.calibration import UNCALIBRATED, Calibration
from service.estimating.estimate import estimate
from service.estimating.extras import Accent, AccentKind
from service.estimating.paths import Path, Placement, usual_coverage

MOST_OPTIONS = 3

_RISING = (Fullness.AIRY, Fullness.FULL, Fullness.LUSH)
_SHARES = {1.0: "", 0.85: "15% shorter", 0.7: "30% shorter", 0.5: "half as long"}
_KEPT = (1.0, 0.5, 0.0)

_LIGHTER, _SHORTER, _PLAINER = 1.0, 2.5, 0.8
"""What a step lighter, all of the length and all of the extras are worth against each other.

Common practice, no source: clients miss length most, then fullness, then flowers.
"""

_SAYS_SOMETHING = frozenset({AccentKind.SIGN})
"""Accents that stay as wished, as foils do: half a number or name says nothing at all."""

_FIXED = frozenset({Placement.ONE_SIDE, Placement.CENTRED, Placement.ASYMMETRIC})
"""Placements that stay themselves with less garland; a cut-off end would look like a mistake."""

_LAID = {
    Placement.ASYMMETRIC: "asymmetric",
    Placement.ONE_SIDE: "from the foot up",
    Placement.CENTRED: "centered",
}

_RISE_M = 0.3
"""A difference in height that is meant; less is the lie of the floor."""


@dataclass(frozen=True, kw_only=True, slots=True)
class Option:
    """A brief that could be built instead; `changes` says in words what differs from the wish.

    `fits` compares the likely price, tax and all, with the budget; None where there is none.
    `loss` grows with what is given up: nought for the wish itself and for what is fuller.
    """

    changes: tuple[str, ...]
    brief: Brief
    estimate: Estimate
    fits: bool | None
    loss: float


@dataclass(frozen=True, kw_only=True, slots=True)
class _Way:
    """One combination of what is given up, in words by its kind."""

    loss: float
    gives_up: Mapping[str, str]
    brief: Brief


@dataclass(frozen=True, kw_only=True, slots=True)
class _Asking:
    """What an estimate takes besides the brief, and the budget."""

    book: PriceBook
    calibration: Calibration
    today: dt.date
    most: Decimal | None

    def option(self, brief: Brief, changes: Iterable[str], loss: float = 0.0) -> Option:
        """The option of `brief` with its own estimate."""
        answer = estimate(brief, self.book, self.calibration, today=self.today)
        return Option(
            changes=tuple(changes),
            brief=brief,
            estimate=answer,
            fits=None if self.most is None else to_pay(answer.price) <= self.most,
            loss=loss,
        )


def options(
    brief: Brief, book: PriceBook, calibration: Calibration = UNCALIBRATED, *, today: dt.date
) -> tuple[Option, ...]:
    """One to three options, the nearest to the wish first.

    With a budget that the wish fits: the wish, and fuller ones that fit too. With one that it does
    not: what fits at the least loss, each giving up something else, by less coverage, lighter
    fullness or smaller accents; where nothing fits, the cheapest, said not to fit. Without one:
    airy, full and lush, or the wish alone where all is built of balloons of one size. Raises
    BriefError as `estimate` does.
    """
    most = brief.budget.max if brief.budget else None
    asking = _Asking(book=book, calibration=calibration, today=today, most=most)
    if most is None:
        return tuple(_side_by_side(brief, asking))
    wish = asking.option(brief, ())
    if wish.fits:
        return (wish, *itertools.islice(_fuller(brief, asking), MOST_OPTIONS - 1))
    return _within(wish, asking)


def to_pay(price: Price) -> Decimal:
    """The likely price with its tax: what a budget is compared with."""
    return price.likely if price.tax_included else price.likely + price.tax


def _side_by_side(brief: Brief, asking: _Asking) -> Iterator[Option]:
    wished = {piece.fullness for piece in brief.pieces if _is_organic(piece)}
    if not wished:
        yield asking.option(brief, ())
        return
    for fullness in _RISING:
        pieces = tuple(
            replace(piece, fullness=fullness) if _is_organic(piece) else piece
            for piece in brief.pieces
        )
        changes = () if wished == {fullness} else (f"{fullness.value} throughout",)
        yield asking.option(replace(brief, pieces=pieces), changes)


def _fuller(brief: Brief, asking: _Asking) -> Iterator[Option]:
    """Fuller ones within the budget, step by step."""
    for _ in _RISING[1:]:
        pieces = tuple(_fuller_by(piece, 1) for piece in brief.pieces)
        if pieces == brief.pieces:
            return
        brief = replace(brief, pieces=pieces)
        option = asking.option(brief, (f"fuller: {_looks(pieces)}",))
        if not option.fits:
            return
        yield option


def _within(wish: Option, asking: _Asking) -> tuple[Option, ...]:
    fitting: dict[frozenset[str], Option] = {}
    tried = [wish]
    # By growing loss, so that the first that fits is the nearest to the wish.
    for way in sorted(_ways(wish.brief, asking.book), key=lambda way: way.loss):
        given_up = frozenset(way.gives_up)
        # Giving up more of the same, or the same and more besides, is no further choice.
        if any(kinds <= given_up for kinds in fitting):
            continue
        option = asking.option(way.brief, way.gives_up.values(), way.loss)
        tried.append(option)
        if option.fits:
            fitting[given_up] = option
        if len(fitting) == MOST_OPTIONS:
            break
    # Of several that cost the same, the one tried first gives up the least.
    return tuple(fitting.values()) or (min(tried, key=lambda each: to_pay(each.estimate.price)),)


def _ways(brief: Brief, book: PriceBook) -> Iterator[_Way]:
    """Every combination that changes something; each brief once, as little as can be given up."""
    organic = [piece for piece in brief.pieces if _is_organic(piece)]
    most_down = max((_RISING.index(piece.fullness) for piece in organic), default=0)
    shares = tuple(_SHARES) if organic else (1.0,)
    seen = {brief}
    for down, share, kept in itertools.product(range(most_down + 1), shares, _KEPT):
        lighter = tuple(_fuller_by(piece, -down) for piece in brief.pieces)
        shorter = tuple(_shorter(piece, share) for piece in lighter)
        plainer = tuple(_plainer(piece, kept, book.fittings.accents) for piece in shorter)
        other = replace(brief, pieces=plainer)
        if other in seen:
            continue
        seen.add(other)
        words = {
            "fullness": f"lighter: {_looks(lighter)}" if down else "",
            "coverage": _length(brief.pieces, shorter, share),
            "accents": _extras(brief.pieces, plainer, kept),
        }
        yield _Way(
            loss=down * _LIGHTER + (1 - share) * _SHORTER + (1 - kept) * _PLAINER,
            gives_up={kind: text for kind, text in words.items() if text},
            brief=other,
        )


def _is_organic(piece: Piece) -> bool:
    return piece.built_as is Build.ORGANIC


def _fuller_by(piece: Piece, steps: int) -> Piece:
    """`steps` fuller, or lighter below nought, as far as there are any."""
    if not _is_organic(piece):
        return piece
    step = min(max(_RISING.index(piece.fullness) + steps, 0), len(_RISING) - 1)
    return replace(piece, fullness=_RISING[step])


def _shorter(piece: Piece, share: float) -> Piece:
    """With `share` of its garland, laid so that it looks meant."""
    if share == 1 or not _is_organic(piece):
        return piece
    path = piece.path
    covered = piece.coverage or usual_coverage(path, piece.placement)
    placement = piece.placement if piece.placement in _FIXED else _looks_meant(path)
    return replace(piece, coverage=share * covered, placement=placement)


def _looks_meant(path: Path) -> Placement:
    # Round an opening a long and a short run face each other; along an edge that is a mere gap.
    start, end = path.start.y, path.end.y
    if path.top_m - max(start, end) >= _RISE_M:
        return Placement.ASYMMETRIC
    return Placement.ONE_SIDE if end - start >= _RISE_M else Placement.CENTRED


def _plainer(piece: Piece, kept: float, rates: Mapping[AccentKind, AccentRate]) -> Piece:
    return replace(piece, accents=tuple(_fewer(piece.accents, kept, rates)))


def _fewer(
    accents: Sequence[Accent], kept: float, rates: Mapping[AccentKind, AccentRate]
) -> Iterator[Accent]:
    for accent in accents:
        count = accent.count or rates[accent.kind].usual
        if kept == 1 or accent.kind in _SAYS_SOMETHING:
            yield accent
        elif kept:
            # One of a kind is there or not: half of it is still one.
            fewer = -(-count // 2)
            yield accent if fewer == count else replace(accent, count=fewer)


def _looks(pieces: Iterable[Piece]) -> str:
    return " and ".join(dict.fromkeys(p.fullness.value for p in pieces if _is_organic(p)))


def _length(wished: Sequence[Piece], shorter: Sequence[Piece], share: float) -> str:
    if share == 1:
        return ""
    pairs = zip(wished, shorter, strict=True)
    moved = [_LAID[after.placement] for was, after in pairs if after.placement is not was.placement]
    laid = f", {' or '.join(dict.fromkeys(moved))}" if moved else ""
    return f"garland {_SHARES[share]}{laid}"


def _extras(wished: Sequence[Piece], plainer: Sequence[Piece], kept: float) -> str:
    pairs = zip(wished, plainer, strict=True)
    changed = [a.kind for was, now in pairs for a in was.accents if a not in now.accents]
    names = " and ".join(dict.fromkeys(kind.value.replace("_", " ") for kind in changed))
    if not names:
        return ""
    return f"half the {names}" if kept else f"without {names}"
