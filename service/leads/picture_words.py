"""What the picture of a client's garland shows, in words for those who do not see it."""

from collections.abc import Iterable, Iterator
from itertools import groupby

from service.estimating import Brief, Estimate
from service.leads.speech import msg
from service.leads.words import Words

_DRAWN = msg("A drawing of your balloons, to scale: %(what)s.")
_FLOATING = msg("Beside it: %(balloons)s.")
_PERSON = msg("A figure next to it shows how tall a grown-up is.")


def alt_text(brief: Brief, estimate: Estimate, words: Words) -> str:
    """The picture in two or three sentences: pieces, how many balloons in what colors, foils."""
    sentences = [words.say(_DRAWN, what="; ".join(_garlands(brief, estimate, words)))]
    if brief.floating:
        floating = words.listed([words.floating(each) for each in brief.floating])
        sentences.append(words.say(_FLOATING, balloons=floating))
    return " ".join((*sentences, words.say(_PERSON)))


def _garlands(brief: Brief, estimate: Estimate, words: Words) -> Iterator[str]:
    yield from map(words.piece, brief.pieces)
    balloons = [each for piece in estimate.pieces for each in piece.balloons]
    yield words.say(
        msg("about %(count)s balloons in %(colors)s"),
        count=words.number(sum(each.count for each in balloons)),
        colors=words.colours(dict.fromkeys(each.colour for each in balloons)),
    )
    if brief.foils:
        foils = [words.text(foil) for foil in _read_aloud(brief.foils)]
        yield words.say(msg("foil balloons: %(foils)s"), foils=words.listed(foils))


def _read_aloud(foils: Iterable[str]) -> Iterator[str]:
    """Digits that stand side by side are read as one number."""
    for digits, group in groupby(foils, key=str.isdigit):
        if digits:
            yield "".join(group)
        else:
            yield from group
