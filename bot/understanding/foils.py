"""Foil figures, letters and shapes."""

import re

from bot.understanding.lexicon import FOIL_SHAPES, NUMBER_WORDS
from bot.understanding.lexicon.wordlist import listed
from bot.understanding.passage import Passage, Span

_DIGIT_WORDS = "|".join(
    word for word, n in NUMBER_WORDS.items() if 1 <= n <= 9 and word not in ("un", "una")
)
_LOOK = (
    r"(?:(?:rose gold|gold|silver|white|black|pink|red|blue|green|purple|big|large|jumbo|giant|"
    r"huge|small|tall|"
    r"chrome|shiny|helium|a|the|an|two|2|some|couple|of|\d\d?\s?(?:in|inch|\"))[\s-]){0,4}"
)
_FOIL = (
    r"(?:foil|foils|mylar|metalic[oa]s?|metalizad[oa]s?|aluminio|foil balloons?|mylar balloons?)"
)
_FIGURES = r"(?P<figures>\d{1,4}(?:\s?(?:,|&|and|y|-)?\s?(?:an?\s|un\s|el\s)?\d)?(?!\d))"
_COLOURED = (
    r"(?:\s(?:in|en|de)\s(?:(?:rose\s)?gold|silver|black|white|pink|foil|mylar|dorado|plateado|"
    r"oro|plata)(?:\sfoil)?|\s(?:dorad|platead|negr|blanc)[oa]s?|\sros[ao]s?)?"
)
_NUMBERS = (
    re.compile(
        rf"\b{_LOOK}(?:{_FOIL}[\s-])?(?:balloon\s|globos?\s(?:de\s)?)?(?:numbers?|numeros?|"
        rf"digits?|#)\s?(?:balloons?\s|{_FOIL}\s)?(?:are\s|is\s|of\s|for\s|in\s|un\s|an?\s|el\s|"
        rf"de\s)?[:\"]?\s?"
        rf"(?:{_FIGURES}|(?P<word>{_DIGIT_WORDS})\b)\"?(?:\s(?:de\s)?(?:balloons?|"
        rf"{_FOIL}))?{_COLOURED}(?!\s?(?:-\d{{3}}|\d{{3}}))"
    ),
    re.compile(
        rf"\b{_LOOK}{_FOIL}[\s:]{{1,2}}(?:balloons?\s|globos?\s)?(?:saying\s|"
        rf"of\s)?{_FIGURES}(?!\s?(?:ft|feet|foot|in\b|inch|\"|'|stars?|hearts?|%))"
    ),
    re.compile(
        rf"(?<![\d$/.])\b(?P<figures>\d{{1,4}}(?:\s?(?:,|&|and|"
        rf"y)\s?(?:an?\s)?\d)?)\s(?:in\s{_LOOK}|de\s)?(?:{_FOIL}\s?(?:balloons?\s)?numbers?|"
        rf"number\sballoons?|number\sfoils?|in\s{_LOOK}foil|foil\snumbers?)\b"
    ),
    re.compile(
        rf"(?<![\d$/.])\b(?P<figures>\d{{2}}|\d)\s(?:foil|mylar)s?\b(?!\s(?:balloon|star|heart|"
        rf"{'|'.join(FOIL_SHAPES)}))"
    ),
)
_NOT_FOIL_NUMBER = re.compile(
    r"(?:phone|cell|order|invoice|confirmation|reference|ref|contact|account|tracking|quote|"
    r"telefono|de casa|unit|suite|room|apt|my|whatsapp|lead|ticket)\s?$"
)
_SHAPE = "|".join(sorted(FOIL_SHAPES, key=len, reverse=True))
_SHAPES = (
    re.compile(
        rf"\b{_LOOK}{_FOIL}\s(?:balloons?\s)?(?:de\s|en\sforma\sde\s|"
        rf"shaped\slike\san?\s)?(?P<list>(?:{_SHAPE})(?:e?s)?(?:\s?(?:,|and|&|y|\+)\s?(?:an?\s|"
        rf"un[ao]?\s)?(?:{_SHAPE})(?:e?s)?)*)\b(?:[\s-]shaped)?(?:\sballoons?)?"
    ),
    re.compile(
        rf"\b(?:an?\s|two\s|\d\s)?(?:(?:gold|silver|red|pink|white|"
        rf"blue)\s)?(?P<list>(?:{_SHAPE})(?:e?s)?(?:\s?(?:and|&|"
        rf",)\s?(?:{_SHAPE})(?:e?s)?)*)[\s-](?:shaped\s)?(?:de\s)?{_FOIL}\b"
    ),
    re.compile(rf"\bglobos?\s{_FOIL}\s(?:de\s|en\sforma\sde\s)(?P<list>{_SHAPE})(?:e?s)?\b"),
    re.compile(rf",\s(?:an?\s|gold\s|silver\s|red\s)*{_FOIL}\s(?P<list>{_SHAPE})(?:e?s)?\b"),
)
_ONE_SHAPE = re.compile(rf"\b({_SHAPE})(?:e?s)?\b")
_LETTERED = r"(?:letters?|lettering|letras?)"
_SPELL = (
    r"(?:that\s|to\s|which\s|que\s)?(?:spell(?:s|ing)?(?:\sout)?|say(?:s|ing)?|reads?|reading|"
    r"with|for|of|digan?|dice|formen|diciendo|con|de)"
)
_WORDS = re.compile(
    rf"\b{_LOOK}(?:{_FOIL}\s)?(?:balloon\s)?{_LETTERED}\s?(?:balloons?\s|{_FOIL}\s|globos?\s|"
    rf"in\s{_LOOK}foil\s)?(?:{_SPELL})?[\s:]{{0,2}}(?P<said>\"[^\"\n]{{1,30}}\"|'[^'\n]{{1,30}}'|"
    rf"\S{{1,20}}(?:\s\S{{1,20}})?)"
)
_BEFORE = re.compile(
    r"(?P<said>\"[^\"\n]{1,30}\"|\b[A-Z]{2,12}(?:\s[A-Z]{2,12})?)\s(?i:(?:in\s|"
    r"en\s)?(?:(?:rose\s)?(?:gold|silver|pink|white|black)\s)?(?:balloon\s|foil\s|"
    r"mylar\s)?(?:letters?|lettering|letras|foil|foils|mylar))\b"
)
_INITIALS = re.compile(
    r"(?i:\b(?:foil\s|balloon\s)?(?:initials?|iniciales|letters?|letras?)\s)[A-Z]\b(?:\s?(?:,|"
    r"and|&|y|\+)\s?[A-Z]\b)*(?i:\sin\s(?:gold\s|silver\s)?foil)?"
)
_STOP = listed(
    """
    in on and for with the a an at by or plus foil balloons balloon please pls y en para
    con de gold silver rose white black of are is per we my our too also from to that if
    can do you how
    """
)


def foils_in(passage: Passage) -> tuple[tuple[str, ...], tuple[Span, ...]]:
    """Foils in the order said, and the spans they were read from."""
    found: list[tuple[int, int, list[str]]] = []
    rest = passage
    for reader in (_words, _numbers, _shapes):
        new = reader(rest)
        found += new
        rest = rest.without((start, end) for start, end, _ in new)
    found.sort()
    names = tuple(name for _, _, names in found for name in names)
    return names, tuple((start, end) for start, end, _ in found)


_Found = list[tuple[int, int, list[str]]]


def _numbers(passage: Passage) -> _Found:
    found: _Found = []
    rest = passage
    for pattern in _NUMBERS:
        new: _Found = []
        for match in pattern.finditer(rest.folded):
            before = rest.folded[max(0, match.start() - 16) : match.start()]
            if not _NOT_FOIL_NUMBER.search(before):
                new.append((match.start(), match.end(), _digits(match)))
        found += new
        rest = rest.without((start, end) for start, end, _ in new)
    return found


def _digits(match: re.Match[str]) -> list[str]:
    word = match.groupdict().get("word")
    text = str(NUMBER_WORDS[word]) if word else match["figures"]
    return [char for char in text if char.isdecimal()]


def _shapes(passage: Passage) -> _Found:
    found: _Found = []
    for pattern in _SHAPES:
        for match in pattern.finditer(passage.folded):
            if not any(start < match.end() and match.start() < end for start, end, _ in found):
                names = [FOIL_SHAPES[name] for name in _ONE_SHAPE.findall(match["list"])]
                found.append((match.start(), match.end(), names))
    return found


def _words(passage: Passage) -> _Found:
    """Words in letters, in capitals as foil letters are."""
    initials = _INITIALS.search(passage.original)
    if initials:
        return [(initials.start(), initials.end(), re.findall(r"\b[A-Z]\b", initials.group()))]
    for pattern, text in ((_BEFORE, passage.original), (_WORDS, passage.folded)):
        for match in pattern.finditer(text):
            said, end = _said(passage, match.start("said"), match.end("said"))
            if said:
                return [
                    (match.start(), max(end, match.end() if pattern is _BEFORE else end), [said])
                ]
    return []


def _said(passage: Passage, start: int, end: int) -> tuple[str, int]:
    raw = passage.original[start:end]
    if raw[0] in "\"'":
        return raw.strip("\"' ").upper(), end
    words: list[str] = []
    for match in re.finditer(r"[^\W\d_&]+|[&]", raw):
        word = match.group()
        if word.lower() in _STOP or (words and not word.isupper()):
            break
        words.append(word)
        end = start + match.end()
        if re.match(r"[,.;!?\n]", passage.original[end : end + 1]):
            break
    return (" ".join(words).upper(), end) if words else ("", start)
