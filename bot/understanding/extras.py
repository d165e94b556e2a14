"""What dresses the pieces besides balloons and foils: flowers, greenery, signs, ribbon, cloth."""

import re
from dataclasses import dataclass
from typing import Any

from bot.understanding.counting import COUNT, number_of
from bot.understanding.passage import Passage, Span
from bot.understanding.refusals import is_refused
from bot.understanding.slots import Extra

_ADJECTIVES = (
    r"(?:(?:some|a (?:few|bit of|little|touch of|lot of)|bits? of|sprigs? of|stems? of|real|fresh|"
    r"faux|fake|silk|dried|paper|artificial|live|big|small|little|large|white|pink|red|yellow|"
    r"blue|purple|green|ivory|cream|blush|gold|orange|lavender|peach|tropical|wild|seasonal|palm|"
    r"monstera|olive|eucalyptus|fern|banana|algunas|unas|unos|poquit[oa]s? de|un poco de|hojas de|"
    r"ramas de|ramos? de)\s)"
)
_AFTER_FLOWER = (
    r"(?!\s(?:girls?|shop|show|club|market|fair|bed|theme[ds]?|foils?|power|shaped|street|pot|"
    r"delivery|ceremony|balloons?)\b)"
)
_GREEN_CUE = (
    r"(?:some|a few|sprigs? of|stems? of|real|fresh|faux|fake|dried|artificial|ramas de|hojas de)"
)
_PLANTS = r"(?:eucalyptus|eucalipto|ivy|ferns?|helechos?|hiedra|olive|olivo|palm)"
_GREEN_AFTER = (
    r"(?:leaf|leaves|branch(?:es)?|stems?|sprigs?|tucked|woven|mixed in|accents?|vines?|fronds?|"
    r"here and there|intercalad\w+|natural(?:es)?)"
)
_EXTRAS = {
    "flowers": re.compile(
        rf"\b(?:(?P<count>{COUNT})\s)?(?P<words>{_ADJECTIVES}{{0,3}}(?:flowers?|florals?|blooms|"
        r"blossoms|roses|hydrangeas?|peon(?:y|ies)|sunflowers|dais(?:y|ies)|orchids|tulips?|"
        r"lil(?:y|ies)|carnations|dahlias?|marigolds|baby'?s breath|pampas(?: grass)?|"
        r"flor(?:es|ecitas)|rosas (?:naturales|artificiales|frescas|rojas|blancas|de verdad)|"
        r"girasoles|hortensias|margaritas|orquideas|claveles|tulipanes|peonias)"
        r"(?:\s(?:naturales|artificiales|secas|blancas|rojas|de (?:seda|papel)))?)\b"
        rf"{_AFTER_FLOWER}"
    ),
    "greenery": re.compile(
        rf"\b(?P<words>{_ADJECTIVES}{{0,3}}(?:greenery|greens(?= (?:tucked|mixed|and flowers))|"
        rf"foliage|leaves|follaje|hojas(?: de \w+)?|ramas(?: de \w+)?|ferns|ivy|helechos|vines|"
        rf"(?:a (?:bit of|little|touch of) |bits? of |un poco de )?(?:{_PLANTS} {_GREEN_AFTER}|"
        rf"(?<!verde )(?:eucalyptus|eucalipto)(?! green)))|"
        rf"{_GREEN_CUE} {_PLANTS})\b(?P<count>\0)?"
    ),
    "ribbon": re.compile(
        rf"\b(?:(?P<count>{COUNT})\s)?(?P<words>(?:\w+\s)?(?:ribbons|streamers?|tassels?|"
        r"ribbon (?:tails|streamers?|curls)|listones|cintas|serpentinas|flecos)|(?:with|con|and|y) "
        r"(?:a |un |una )?(?:\w+ )?(?:ribbon|liston|cinta))\b(?! cutting)"
    ),
    "fabric_cover": re.compile(
        r"\b(?P<count>\0)?(?P<words>(?:\w+\s)?(?:fabric|cloth|spandex|sequin(?:ed|s)?|shimmer|"
        r"satin|velvet|tulle|"
        r"chiffon) (?:\w+ )?(?:covers?|backdrops?|panels?|walls?|curtains?|drap(?:e|es|ing)|"
        r"sleeves?|behind|liner)|(?:frame|arch|hoop|backdrop|stand|panel) covers?|draping|"
        r"(?:with|in|con|y|and) (?:a |some |una? )?(?:\w+ )?(?:fabric|sequins?|tela|lentejuelas|"
        r"spandex)|(?:cortina|panel|fondo|funda|cubierta|pared) de (?:lentejuelas|tela|saten)|"
        r"fundas? (?:de|para)|telas?(?! de))\b"
    ),
}
_PLAIN = re.compile(
    r"(?:some |a few |a bit of |with |con |and |y |flowers?$|flor(?:es)?$|greenery$|foliage$|"
    r"follaje$|florals?$|algunas |unas |unos )*"
)
_SIGN = re.compile(
    rf"\b(?:(?P<count>{COUNT})\s)?(?:(?:a|an|the|our|my|with|and|plus|neon|wood(?:en)?|acrylic|"
    r"custom|welcome|light[ -]?up|led|un|una|con|el|y)\s){0,3}(?:(?<=a\s)\w+\s|(?<=the\s)\w+\s)?"
    r"(?P<sign>signs?|signage|banners?|cartel(?:es|ito)?|letreros?|rotulos?|pancartas?)\b"
    r"(?!\s(?:in|up|off|on|the|a|me|us|here|at|it|anything|something|language|table|my)\b)"
)
_SIGN_SAYS = re.compile(
    r"[\s,]{0,3}(?:\(|(?:that |which |to |q |que |k |ke )?(?:saying|says?|reading|reads?|spells?|"
    r"diga|dice|"
    r"diciendo|with|con|for|de)\b\s?:?\s?|:\s?)(?:the words? |las palabras? |las letras )?"
)
_QUOTED = re.compile(r"[\"'«](?P<words>[^\"\n«»]{1,400}?)[\"'»](?!\w)")
_QUOTED_NEXT = re.compile(r"[\s,]{0,3}" + _QUOTED.pattern)
_UNQUOTED = re.compile(
    r"(?P<words>[^,.;!?()\n\0]{1,60}?)(?=[,.;!?()\n\0]|\s(?:and|y|plus)\s(?:an?|two|some|the|\d|"
    r"una?|dos|"
    r"con)\b|\s(?:in|on|with|for|at|en|con|para|next|above|behind|over)\s|$)"
)
_SURE_SAYS = re.compile(r"say|read|dig|dic|spell|:|\(")


# "Listones dorados": a colour that follows is theirs.
_COLOUR_TAIL = re.compile(
    r"(?:\s(?:(?:blanc|dorad|platead|roj|negr|amarill|morad|rosad|anaranjad)[oa]s?|(?:azul|verde|"
    r"rosa|"
    r"lila)(?:e?s)?|naturales|artificiales)\b)*"
)


@dataclass(frozen=True, slots=True)
class Extras:
    """What dresses the pieces, and where it was said: its colours are not the balloons'."""

    found: tuple[Extra, ...]
    spans: tuple[Span, ...]


def extras_in(passage: Passage) -> Extras:
    """Flowers, greenery, signs, ribbon and cloth that are asked for; each kind once."""
    signs = _signs(passage)
    rest = passage.without(span for _, span in signs)
    found: list[tuple[Extra, Span]] = signs[:1]
    spans = [span for _, span in signs]
    for kind, pattern in _EXTRAS.items():
        for match in pattern.finditer(rest.folded):
            tail = _COLOUR_TAIL.match(rest.folded, match.end())
            spans.append((match.start(), tail.end() if tail else match.end()))
            known = any(extra.kind == kind for extra, _ in found)
            if not known and not is_refused(rest.folded, match.start()):
                found.append((Extra(kind=kind, **_told(passage, match)), match.span()))
    in_order = sorted(found, key=lambda item: item[1])
    return Extras(tuple(extra for extra, _ in in_order), tuple(spans))


def sign_spans(passage: Passage) -> tuple[Span, ...]:
    """Where signs and their words stand: no figure or colour of them is read otherwise."""
    return tuple(span for _, span in _signs(passage))


def _told(passage: Passage, match: re.Match[str]) -> dict[str, Any]:
    said = passage.original[match.start("words") : match.end("words")].strip().lower()
    words = re.sub(r"^(?:some|a few|a bit of|with|con|and|y|algunas|unas|a little)\s", "", said)
    plain = _PLAIN.fullmatch(match["words"]) is not None
    named = match.re is _EXTRAS["flowers"] or match.re is _EXTRAS["greenery"]
    count = match["count"]
    return {
        "count": number_of(count) if count else None,
        "words": words if named and not plain else None,
    }


def _signs(passage: Passage) -> list[tuple[Extra, Span]]:
    found: list[tuple[Extra, Span]] = []
    for match in _SIGN.finditer(passage.folded):
        bare = match.group() == match["sign"] and not _SIGN_SAYS.match(passage.folded, match.end())
        if (bare and match["sign"] == "sign") or is_refused(passage.folded, match.start()):
            continue
        words, end = _sign_words(passage, match.end())
        count = number_of(match["count"]) if match["count"] else None
        found.append((Extra(kind="sign", count=count, words=words), (match.start(), end)))
    return found


def _sign_words(passage: Passage, start: int) -> tuple[str | None, int]:
    text = passage.original
    says = _SIGN_SAYS.match(passage.folded, start)
    if says is None:
        said = _QUOTED_NEXT.match(text, start)
        return (said["words"].strip(), said.end()) if said else (None, start)
    said = _QUOTED.match(text, says.end())
    if said is None and _SURE_SAYS.search(says.group()):
        said = _UNQUOTED.match(text, says.end())
    words = said["words"].strip(" '\"«»") if said else ""
    return (words, said.end()) if said and words else (None, start)
