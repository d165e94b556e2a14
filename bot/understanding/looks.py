"""Where along a piece the garland lies, how much of it is covered, how its colours run."""

import re
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from bot.understanding.passage import Passage
from bot.understanding.refusals import is_refused

_CARRIER = (
    r"(?:frame|arch|arc|hoop|ring|circle|backdrop|stand|wall|stairs?|staircase|banister|railing|"
    r"mantel|mantle|door(?:way)?|entrance|table|ceiling|fence|pergola|structure|it|that|thing|"
    r"arco|aro|marco|circulo|estructura|pared|escalera|puerta|mesa|chimenea|techo)"
)
_THE = r"(?:the\s|my\s|our\s|a\s|an\s|el\s|la\s|mi\s|del\s)?(?:\w+\s)?"
_OF_IT = rf"(?:\s(?:of|de|del)\s{_THE}{_CARRIER}\b|(?!\s(?:of|de|del|the)\b))"
_ONLY = r"(?:only|just|solo|solamente|nada mas|nomas|unicamente)"

_PLACEMENTS = {
    "corner_to_corner": (
        r"\bcorner to corner\b|\bdiagonal(?:ly)?\b|\b(?:one|a) corner to (?:the )?(?:other|"
        r"opposite|"
        r"another)\b|\bopposite corners?\b|\bde (?:una )?esquina a (?:la )?(?:otra|esquina)\b"
    ),
    "asymmetric": (
        r"\basymm?etric\w*|\basimetric[oa]s?\b|\blopsided\b|\buneven\b|\b(?:long|high|heav|full|"
        r"bigg|thick)(?:i?er) on (?:one|the left|the right)\b|\bone side (?:\w+\s)?(?:longer|"
        r"higher|taller|heavier|fuller|bigger)\b|\bun lado mas (?:larg|carg|alt|llen|grand)\w+"
    ),
    "one_side": (
        rf"(?<!at )(?<!by )(?<!to )\b(?:one|a single|1|the left|the right|left|right)[ -](?:hand "
        rf")?side(?:d)?\b{_OF_IT}"
        rf"(?!\s(?:longer|table|door))|\bhalf arch(?:es)?\b|\b(?:medio|semi) ?arco\b|\b{_ONLY} "
        rf"(?:de )?"
        rf"un (?:solo )?lado\b|\bun solo lado\b|\b(?:en|por|de|a) un lado\b{_OF_IT}|"
        rf"\b(?:el|al) lado (?:izquierdo|derecho)\b{_OF_IT}"
    ),
    "centred": (
        rf"\b{_ONLY} (?:\w+ )?(?:\w+ )?(?:the )?(?:very )?(?:top|middle|center|"
        rf"centre)\b(?!\s(?:table|"
        r"hat))|\b(?:top|middle|center) (?:part )?only\b|\bcent(?:er|re)ed\b|\bin the (?:middle|"
        rf"center|centre) of {_THE}{_CARRIER}\b|\b{_ONLY} (?:en |por )?(?:la parte de )?(?:arriba|"
        r"el centro|al centro|en medio)\b|\bcentrad[oa]\b"
    ),
}
_PATTERNS = {
    "ombre": (
        r"\bombre\b|\bgradients?\b|\bfad(?:e|es|ing) (?:from|into|to|out)\b|\bgradual(?:ly)?\b|"
        r"\b(?:light|dark)(?:er|est)? to (?:light|dark)(?:er|est)?\b|\bdegrad(?:ad[oa]s?|e)\b|"
        r"\bdifuminad[oa]s?\b|\bde (?:mas )?(?:claro|oscuro) a (?:mas )?(?:claro|oscuro)\b"
    ),
    "blocks": (
        r"\bcolou?r[ -]?block(?:s|ed|ing)?\b|\b(?:in|en) (?:big |solid )?(?:blocks|bloques|"
        r"sections|secciones|chunks)\b|\bblocks? of (?:colou?r|each)\b|\bbloques de "
        r"colou?r(?:es)?\b|"
        r"\b(?:grouped|separated|sorted) by colou?r\b|\bsections? of (?:each )?colou?r\b|"
        r"\bpor (?:bloques|secciones)\b"
    ),
    "stripe": (
        r"\b(?:candy[ -])?strip(?:e|es|ed|ing)\b|\bcandy canes?\b|\bspiral(?:s|ed|ing)?\b(?! "
        r"stair)|"
        r"\bswirl(?:s|ed|ing)?\b|\b(?:a|en|con|de) (?:rayas|franjas|espiral)\b"
    ),
}
_SHARES = {
    "half": 0.5, "halfway": 0.5, "half way": 0.5, "la mitad": 0.5, "mitad": 0.5, "medio": 0.5,
    "three quarters": 0.75, "three fourths": 0.75, "3/4": 0.75, "tres cuartos": 0.75,
    "two thirds": 2 / 3, "2/3": 2 / 3, "dos tercios": 2 / 3, "a third": 1 / 3, "one third": 1 / 3,
    "1/3": 1 / 3, "un tercio": 1 / 3, "a quarter": 0.25, "one quarter": 0.25, "1/4": 0.25,
    "un cuarto": 0.25, "1/2": 0.5,
}  # fmt: skip
_SHARE = "|".join(sorted(_SHARES, key=len, reverse=True))
_PERCENT = r"(?P<percent>\d{1,3})\s?(?:%|percent\b|por ?ciento\b)"
_COVER = (
    r"(?:cover(?:s|ed|ing|age)?|full|filled|cub(?:rir|ra|re|iert[oa]|riendo)|cobertura|"
    r"llen[oa])"
)
_ABOUT = r"(?:\s(?:of|about|around|only|just|like|roughly|up to|como|solo|de|el|al|un|a))*"
_COVERAGE = re.compile(
    rf"\b{_COVER}{_ABOUT}\s(?:{_PERCENT}|(?P<share>{_SHARE})\b(?!\s(?:an? )?(?:hour|hora|price|"
    rf"off)))|"
    rf"{_PERCENT.replace('percent>', 'percent2>')}(?:\s(?:of|de|del)\s{_THE}{_CARRIER}\b|"
    rf"\s(?:\w+\s)?{_COVER}\b)|"
    rf"\b(?P<share2>{_SHARE})\s(?:of |de |del )?(?:(?:the|my|our|el|la|mi)\s(?:\w+\s)?)?"
    rf"(?:{_CARRIER}\b|{_COVER}\b|(?:around|up|across|down)\b)|"
    rf"\b{_ONLY}\s(?:\w+\s)?(?P<share3>{_SHARE})(?=\s?[,.;!?\n]|\s(?:of it|please|por favor|"
    rf"porfa)\b|$)|"
    rf"\b(?P<whole>(?:fully|completely|all|totally|entirely) {_COVER}|(?:cover|fill)(?:ing)? "
    rf"(?:up )?"
    rf"(?:the|my|our|it|that)? ?(?:whole|entire|all)\b|(?:whole|entire) {_CARRIER}\b|all the way "
    r"(?:around|across|up|down|covered)|(?:covered|filled) all the way|tod[oa] (?:cubiert|"
    r"llen)[oa]|"
    rf"{_CARRIER} (?:complet|enter)[oa]|(?:todo|toda) (?:el|la) {_CARRIER})"
)
_LOOKS = tuple(
    (field, value, re.compile(words))
    for field, table in (("placement", _PLACEMENTS), ("pattern", _PATTERNS))
    for value, words in table.items()
)


@dataclass(frozen=True, slots=True)
class Look:
    """One thing said of a piece's looks: `field` is that of `Structure`."""

    start: int
    end: int
    field: str
    value: Any


def looks_in(passage: Passage) -> tuple[Look, ...]:
    """Placement, coverage and pattern, in the order said."""
    text = passage.folded
    found = [
        Look(match.start(), match.end(), field, value)
        for field, value, pattern in _LOOKS
        for match in pattern.finditer(text)
        if not is_refused(text, match.start())
    ]
    found += [
        Look(match.start(), match.end(), "coverage", share)
        for match in _COVERAGE.finditer(text)
        if (share := _share(match)) and not is_refused(text, match.start())
    ]
    return tuple(sorted(found, key=lambda look: look.start))


def looks_of(looks: Iterable[Look]) -> dict[str, Any]:
    """The looks as fields of a `Structure`; the first that was said of each counts."""
    fields: dict[str, Any] = {}
    for look in looks:
        fields.setdefault(look.field, look.value)
    return fields


def _share(match: re.Match[str]) -> float | None:
    if match["whole"]:
        return 1.0
    percent = match["percent"] or match["percent2"]
    if percent:
        return int(percent) / 100 if 0 < int(percent) <= 100 else None
    said = match["share"] or match["share2"] or match["share3"]
    return _SHARES[said]
