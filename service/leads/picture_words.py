"""What the picture of a client's garland shows, in words for those who do not see it."""

from collections.abc import Iterator
from dataclasses import replace
from textwrap import shorten

from service.estimating import Brief, Estimate, Piece
from service.leads.asked_for import in_order, together
from service.leads.speech import msg
from service.leads.words import Words

_DRAWN = msg("A drawing of your balloons, to scale: %(what)s.")
_FLOATING = msg("Beside it: %(balloons)s.")
_PERSON = msg("A figure next to it shows how tall a grown-up is.")
_LONGEST_SIGN = 60


def alt_text(brief: Brief, estimate: Estimate, words: Words) -> str:
    """The picture in two or three sentences: pieces, how many balloons in what colors, foils."""
    sentences = [words.say(_DRAWN, what="; ".join(_garlands(brief, estimate, words)))]
    if brief.floating:
        floating = words.listed([words.floating(each) for each in brief.floating])
        sentences.append(words.say(_FLOATING, balloons=floating))
    return " ".join((*sentences, words.say(_PERSON)))


def _garlands(brief: Brief, estimate: Estimate, words: Words) -> Iterator[str]:
    for piece, count in together(map(_briefly, brief.pieces)):
        yield words.piece(piece, count=count)
    balloons = [each for piece in estimate.pieces for each in piece.balloons]
    yield words.say(
        msg("about %(count)s balloons in %(colors)s"),
        count=words.about(sum(each.count for each in balloons)),
        colors=words.colours(in_order(brief, (each.colour for each in balloons))),
    )
    if brief.foils:
        yield words.say(msg("foil balloons: %(foils)s"), foils=words.foils(brief.foils))


def _briefly(piece: Piece) -> Piece:
    """The piece with no more of a sign's words than are heard out."""
    accents = tuple(
        replace(accent, words=shorten(accent.words, _LONGEST_SIGN, placeholder="…"))
        if accent.words
        else accent
        for accent in piece.accents
    )
    return replace(piece, accents=accents)
