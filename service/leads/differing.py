"""How one brief differs from another, in a client's words."""

from collections.abc import Iterator, Sequence

from service.estimating import Accent, Brief, Piece
from service.leads.speech import msg
from service.leads.words import Words

# Shares of the length that people have a word for, each with the next figure that it is not.
_HALF, _ABOUT = 0.5, 0.02


def changes(words: Words, wished: Brief, other: Brief) -> str:
    """ "airy instead of full, half the flowers"; what only some of several pieces get names them.

    The briefs have the same pieces in the same order; what differs is how full, how long and how
    rich they are. "as you asked" where nothing does.
    """
    pairs = zip(wished.pieces, other.pieces, strict=True)
    said = [tuple(_of_piece(words, was, now)) for was, now in pairs]
    shared = [each for each in said[0] if all(each in one for one in said)]
    own = [", ".join(each for each in one if each not in shared) for one in said]
    parts = [
        words.say("%(pieces)s: %(change)s", pieces=_named(words, wished, own, each), change=each)
        for each in dict.fromkeys(filter(None, own))
    ]
    return "; ".join(filter(None, (", ".join(shared), *parts))) or words.say("as you asked")


def _of_piece(words: Words, was: Piece, now: Piece) -> Iterator[str]:
    if now.fullness is not was.fullness:
        yield words.say(
            "%(now)s instead of %(was)s",
            now=words.fullness(now.fullness),
            was=words.fullness(was.fullness),
        )
    yield from _of_length(words, was, now)
    for accent in was.accents:
        if accent not in now.accents:
            yield _of_accent(words, accent, now.accents)


def _of_length(words: Words, was: Piece, now: Piece) -> Iterator[str]:
    kept = _garland_m(now) / _garland_m(was)
    if kept < 1 - _ABOUT:
        if abs(kept - _HALF) < _ABOUT:
            yield words.say("half as long")
        else:
            yield words.say("%(share)s shorter", share=words.percent(1 - kept))
    if now.placement is not was.placement:
        yield words.placement(now.placement)


def _garland_m(piece: Piece) -> float:
    return sum(run.length_m for run in piece.runs)


def _of_accent(words: Words, accent: Accent, left: Sequence[Accent]) -> str:
    what = words.accent_kind(accent.kind)
    stays = any(each.kind is accent.kind for each in left)
    return words.say(msg("half the %(what)s") if stays else msg("without %(what)s"), what=what)


def _named(words: Words, brief: Brief, said: Sequence[str], wanted: str) -> str:
    pairs = zip(brief.pieces, said, strict=True)
    return words.listed([words.piece_name(piece) for piece, text in pairs if text == wanted])
