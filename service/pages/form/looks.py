"""Reading how it should look: colors, foils, extras on the piece, balloons that float."""

import re
import unicodedata
from collections.abc import Mapping

from service.estimating import Accent, AccentKind, ColourShare, Floating, FloatKind, PriceBook
from service.leads.speech import msg
from service.pages.posted import Posted, Refusals

EXTRAS: Mapping[AccentKind, str] = {
    AccentKind.FLOWERS: msg("Flowers"),
    AccentKind.GREENERY: msg("Greenery"),
    AccentKind.RIBBON: msg("Ribbon"),
}
"""What can be ticked; a sign is asked for by its words."""

FLOATING: Mapping[FloatKind, str] = {
    FloatKind.LATEX: msg("Plain latex"),
    FloatKind.FOIL_ROUND: msg("Round foil"),
    FloatKind.FOIL_HEART: msg("Foil heart"),
    FloatKind.FOIL_STAR: msg("Foil star"),
}

# The sizes that most shops keep [in]: latex and foil that float.
_LATEX_SIZE, _FOIL_SIZE = 11, 18

_LONGEST_WORD = 40
_LONGEST_SIGN = 120
_MOST_COLOURS = 12
_MOST_FOILS = 40
_MOST_FLOATING = 500


def palette(sent: Posted, book: PriceBook, refusals: Refusals) -> tuple[ColourShare, ...]:
    """Ticked colors and those in the client's own words, each once."""
    ticked = [name for name in sent.every("colour") if book.colour(name) is not None]
    stock = {_folded(refusals.words.colour(each.name)): each.name for each in book.colours}
    typed = [name.lower() for name in _parts(sent.text("colours"))]
    names = tuple(dict.fromkeys((*ticked, *(stock.get(_folded(name), name) for name in typed))))
    if len(names) > _MOST_COLOURS:
        text = msg("That is %(count)s colors; up to %(most)s work well together.")
        refusals.refuse("colours", text, count=len(names), most=_MOST_COLOURS)
    if any(len(name) > _LONGEST_WORD for name in names):
        text = msg("Name each color in a word or two, with commas between them.")
        refusals.refuse("colours", text)
    if any(not re.search(r"[^\W\d_]", name) for name in names):
        text = msg("Please write colors in words, such as “dusty rose, cream”.")
        refusals.refuse("colours", text)
    return tuple(ColourShare(colour=name) for name in names)


def foils(sent: Posted, book: PriceBook, refusals: Refusals) -> tuple[str, ...]:
    """Digits one by one, shapes by name, anything else as one word."""
    names = book.fittings.foils.shape_names
    shapes = {_folded(said): name for name in names for said in (refusals.words.text(name), name)}
    found = [foil for part in _parts(sent.text("foils")) for foil in _foil(part, shapes)]
    if len(found) > _MOST_FOILS or any(len(foil) > _LONGEST_WORD for foil in found):
        text = msg("That is more foil than fits one garland. Keep it to a number or a word or two.")
        refusals.refuse("foils", text)
    return tuple(found)


def accents(sent: Posted, refusals: Refusals) -> tuple[Accent, ...]:
    """What was ticked, and a sign with its words."""
    ticked = set(sent.every("extra"))
    found = [Accent(kind=kind) for kind in EXTRAS if kind in ticked]
    words = sent.text("sign")
    if len(words) > _LONGEST_SIGN:
        text = msg("A sign holds %(most)s characters; please shorten it.")
        refusals.refuse("sign", text, most=_LONGEST_SIGN)
    elif words:
        found.append(Accent(kind=AccentKind.SIGN, words=words))
    return tuple(found)


def floating(sent: Posted, refusals: Refusals) -> tuple[Floating, ...]:
    """Helium balloons of the kind chosen, in its usual size; none without a number."""
    text = sent.text("floats")
    if not text or re.fullmatch("0+", text):
        return ()
    if not re.fullmatch(r"[0-9]{1,4}", text) or int(text) > _MOST_FLOATING:
        said = msg("Give the number that float as a whole number up to %(most)s.")
        refusals.refuse("floats", said, most=_MOST_FLOATING)
        return ()
    chosen = sent.text("floats_kind")
    kind = FloatKind(chosen) if chosen in FLOATING else FloatKind.LATEX
    size = _FOIL_SIZE if kind.foil else _LATEX_SIZE
    return (Floating(kind=kind, size_class=size, count=int(text)),)


def _foil(part: str, shapes: Mapping[str, str]) -> tuple[str, ...]:
    if re.fullmatch(r"[0-9]+", part):
        return tuple(part)
    many = re.fullmatch(r"([0-9]{1,2})\s+(.+)", part)
    number, name = (int(many[1]), many[2]) if many else (1, part)
    for ending in ("", "s", "es"):
        shape = shapes.get(_folded(name).removesuffix(ending))
        if shape is not None:
            return (shape,) * number
    return (part,)


def _folded(text: str) -> str:
    """Small letters without accents: plurals lose them, and so do people in a hurry."""
    apart = unicodedata.normalize("NFD", text.lower())
    return "".join(each for each in apart if not unicodedata.combining(each))


def _parts(text: str) -> list[str]:
    """What stands between commas, line ends and "and"."""
    parts = re.split(r"[,;\n]|\s(?:and|y|&)\s", text)
    return [part for part in (" ".join(part.split()) for part in parts) if part]
