"""What is to float on helium, and what a size was likened to."""

import re

from bot.understanding.counting import COUNT, number_of
from bot.understanding.passage import Passage

_FLOATING = re.compile(
    rf"(?:\b(?:(?P<dozens>{COUNT})\s)?(?P<count>{COUNT})\s(?:of\s)?(?:\w+,?\s){{0,4}}?)?"
    r"\b(?:(?:helium|floating|float)(?:[ -](?:filled|inflated))?\s(?:\w+\s)?(?:latex\s)?balloons?|"
    r"balloons?\s(?:\w+\s){0,3}?(?:with helium|on helium|filled with helium|(?:to|that|which)\s"
    r"(?:will\s|can\s)?floats?|floating|in helium)\b|floaters|globos?\s(?:\w+\s){0,3}?(?:(?:con|"
    r"de|en|"
    r"inflados con|llenos de) helio|que (?:floten|flotan)|flotantes|flotando|para (?:que )?flot\w+|"
    r"a flotar))(?!\s(?:up\b|away|off\b|into|tank))"
)
_NO_HELIUM = re.compile(
    r"\b(?:no|not|without|sin|dont|don't|do not|nada de|instead of|never|ni)\s(?:\S+\s){0,3}$"
)


def floating_in(passage: Passage) -> int | None:
    """How many balloons are to float on helium; 0 where some are, None where none are asked."""
    for match in _FLOATING.finditer(passage.folded):
        if _NO_HELIUM.search(passage.folded[max(0, match.start() - 30) : match.start()]):
            continue
        if _NO_HELIUM.search(match.group()[: match.group().find("heli") + 1]):
            continue
        many = number_of(match["count"]) if match["count"] else 0
        by_dozens = match["dozens"] and match["count"] in ("dozen", "docena")
        return many * number_of(match["dozens"]) if by_dozens else many
    return None


_LIKENED = re.compile(
    r"\b(?:(?:as|so)\s(?:wide|tall|high|long|big|large|broad)\sas|(?:the\s)?(?:same\s)?(?:size|"
    r"width|"
    r"height|length)\s(?:as|of)|tan\s(?:anch|alt|larg|grand)\w+\scomo|(?:del|el)\s(?:mismo\s)?"
    r"(?:tamano|ancho|alto|largo)\s(?:de|que))\s"
    r"(?:an?|the|my|our|your|una?|el|la|mi|nuestr[oa])\s(?P<like>[^\W\d]+(?:\s(?:of\sa|of|de|"
    r"del)?\s?"
    r"[^\W\d]+){0,3})"
)
_LIKENED_ENDS = re.compile(
    r"\s(?:for|in|on|with|and|but|please|so|to|at|or|is|are|if|maybe|we|i|it|pls|then|that|thats|"
    r"y|con|para|en|por|pero|o|mas|que|color|colors|colores|plz|like|would|can|each|outside|"
    r"inside)\b.*"
)


def likened_in(passage: Passage) -> str | None:
    """ "As wide as a garage door": what a size was likened to, in the client's words."""
    match = _LIKENED.search(passage.folded)
    if match is None:
        return None
    like = _LIKENED_ENDS.sub("", match["like"], count=1)
    words = passage.original[match.start("like") : match.start("like") + len(like)]
    return None if like.split()[0] in _NO_LIKENESS else words.strip().lower()


_NO_LIKENESS = frozenset(
    (
        "last",
        "first",
        "one",
        "other",
        "budget",
        "price",
        "garland",
        "arch",
        "order",
        "same",
        "frame",
    )
)
