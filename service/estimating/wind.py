"""A caution about wind on what stands outdoors. Never a certificate."""

from collections.abc import Iterable

from service.estimating.answer import Wind
from service.estimating.brief import Piece, Setting, Site
from service.estimating.paths import kind_of

_TEXT = (
    "A {what} full of balloons catches wind like a solid board. Weigh down or anchor every foot;"
    " how much is a matter for the local code and, for anything that people stand under, for a"
    " licensed engineer. Take it down, or do not put it up, when wind moves it or a warning is"
    " out. This is a caution and no proof of safety."
)


def wind_caution(pieces: Iterable[Piece], site: Site) -> Wind | None:
    """The caution for pieces that stand on their own outdoors; None where none does."""
    if site.setting is not Setting.OUTDOOR:
        return None
    standing = [piece.support.words for piece in pieces if kind_of(piece.support).stands]
    return Wind(caution=_TEXT.format(what=standing[0])) if standing else None
