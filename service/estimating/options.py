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

    Where a brief has several pieces, the words name those that they are about.
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
    airy, full and lush in this order, the wish between airy and lush where it mixes fullnesses, or
    the wish alone where all is built of balloons of one size. Raises
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
        if len(wished) > 1 and fullness is Fullness.FULL:
            # Only so many are shown: what was wished tells more than another uniform one.
            yield asking.option(brief, ())
            continue
        pieces = tuple(
            replace(piece, fullness=fullness) if _is_organic(piece) else piece
            for piece in brief.pieces
        )
        changes = () if wished == {fullness} else (f"{fullness.value} throughout",)
        yield asking.option(replace(brief, pieces=pieces), changes)


def _fuller(brief: Brief, asking: _Asking) -> Iterator[Option]:
    """Fuller ones within the budget, step by step."""
    wished = brief.pieces
    for _ in _RISING[1:]:
        pieces = tuple(_fuller_by(piece, 1) for piece in brief.pieces)
        if pieces == brief.pieces:
            return
        text = _as_asked(wished, pieces, _fullness(wished, pieces, "fuller"))
        brief = replace(brief, pieces=pieces)
        option = asking.option(brief, (text,))
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
            "fullness": _fullness(brief.pieces, lighter, "lighter"),
            "coverage": _length(brief.pieces, shorter, share),
            "accents": _extras(brief.pieces, plainer, kept),
        }
        said = {kind: text for kind, text in words.items() if text}
        last = next(reversed(said))
        yield _Way(
            loss=down * _LIGHTER + (1 - share) * _SHORTER + (1 - kept) * _PLAINER,
            gives_up=said | {last: _as_asked(brief.pieces, plainer, said[last])},
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


def _fullness(wished: Sequence[Piece], now: Sequence[Piece], way: str) -> str:
    """ "lighter: full", of several "hoop and wall lighter: full"."""
    looks = [
        "" if piece.fullness is was.fullness else piece.fullness.value
        for was, piece in zip(wished, now, strict=True)
    ]
    if len(wished) == 1:
        return f"{way}: {looks[0]}" if looks[0] else ""
    told = _by_words(wished, looks)
    return "; ".join(f"{names} {way}: {look}" for look, names in told.items())


def _length(wished: Sequence[Piece], shorter: Sequence[Piece], share: float) -> str:
    pairs = zip(wished, shorter, strict=True)
    laid = ["" if piece == was else _laid(was, piece, share) for was, piece in pairs]
    if len(wished) == 1:
        return f"garland {laid[0]}" if laid[0] else ""
    return "; ".join(f"{names} {text}" for text, names in _by_words(wished, laid).items())


def _laid(was: Piece, now: Piece, share: float) -> str:
    moved = now.placement is not was.placement
    return f"{_SHARES[share]}, {_LAID[now.placement]}" if moved else _SHARES[share]


def _extras(wished: Sequence[Piece], plainer: Sequence[Piece], kept: float) -> str:
    way = "half the" if kept else "without"
    fewer = []
    for was, now in zip(wished, plainer, strict=True):
        changed = [a.kind for a in was.accents if a not in now.accents]
        names = " and ".join(dict.fromkeys(kind.value.replace("_", " ") for kind in changed))
        fewer.append(f"{way} {names}" if names else "")
    if len(wished) == 1:
        return fewer[0]
    told = _by_words(wished, fewer)
    return "; ".join(f"{names} {'with ' * bool(kept)}{text}" for text, names in told.items())


def _as_asked(wished: Sequence[Piece], now: Sequence[Piece], text: str) -> str:
    """`text`, and which pieces it leaves alone."""
    same = ["as asked" if piece == was else "" for was, piece in zip(wished, now, strict=True)]
    names = _by_words(wished, same).get("as asked")
    return f"{text}; {names} as asked" if names else text


def _by_words(pieces: Sequence[Piece], said: Sequence[str]) -> Mapping[str, str]:
    """What is said of each piece, with the names of all of which it is said."""
    names = _names(pieces)
    return {
        text: _listed([name for name, other in zip(names, said, strict=True) if other == text])
        for text in dict.fromkeys(said)
        if text
    }


def _names(pieces: Sequence[Piece]) -> Sequence[str]:
    """A name for each piece, with a number where two would be called alike."""
    plain = [_name(piece) for piece in pieces]
    return [
        f"{name} no. {plain[: index + 1].count(name)}" if plain.count(name) > 1 else name
        for index, name in enumerate(plain)
    ]


def _name(piece: Piece) -> str:
    name = piece.support.words
    if piece.count == 1:
        return name
    return f"{name}es" if name.endswith("arch") else f"{name}s"


def _listed(names: Sequence[str]) -> str:
    return " and ".join(filter(None, (", ".join(names[:-1]), names[-1])))
