"""Words in foil letters."""

import re

from bot.understanding.foil_words import ARTICLE, COLOUR, FOIL, LOOK, METAL_AFTER, NOT_THAT
from bot.understanding.lexicon.wordlist import listed
from bot.understanding.passage import TAKEN, Passage

_LETTERED = r"(?:letters?|lettering|letras?)"
# Of foil or balloons also words and names: "foil word BABY", "the word BABY in foil".
_WRITTEN = r"(?:(?<=foil\s)|(?<=balloon\s)|(?<=mylar\s))(?:words?|names?)"
_SAYS = (
    r"(?:(?:that\s|to\s|which\s|que\s|q\s|k\s|ke\s)?(?:spell(?:s|ing)?(?:\sout)?|say(?:s|ing)?|"
    r"reads?(?!\s?[.,;!?])|"
    r"reading|digan?|dicen?|formen?|diciendo))"
)
_SPELL = rf"(?:{_SAYS}|with|for|of|con|de)"
_QUOTED = r"(?:\"[^\"\n]{1,30}\"|(?<!\w)'\w[^'\n]{0,28}'(?!\w))"
_SAID = rf"(?P<said>{_QUOTED}|\S{{1,20}}(?:\s\S{{1,20}})?)"
_WORDS = re.compile(
    rf"{ARTICLE}\b{LOOK}(?:(?:{FOIL}\s)?(?:{_WRITTEN}|(?:balloon\s|"
    rf"globos?\s(?:de\s)?)?{_LETTERED})\s?(?:balloons?\s|"
    rf"(?:de\s)?{FOIL}\s|globos?\s|de\sglobos?\s|in\s{LOOK}foil\s|{COLOUR}\s)?(?P<spell>{_SPELL}|"
    rf":)?|"
    rf"(?:{FOIL}\s(?:balloons?\s)?|globos?\s{FOIL}\s)(?P<says>{_SAYS}))[\s:]{{0,2}}{_SAID}"
)
_NAMED_WORD = re.compile(
    rf"\b(?:the\s)?(?:words?|names?|la\spalabra|el\snombre)\s(?P<said>{_QUOTED}|\w{{2,14}})\s"
    rf"(?:spelled\s(?:out\s)?)?(?:in|en|with|con|de)\s{LOOK}(?:globos?\s)?(?:{FOIL}|balloon\s|"
    rf"{_LETTERED})"
)
_BEFORE = re.compile(
    r"(?P<said>\"[^\"\n]{1,30}\"|(?<!\w)'\w[^'\n]{0,28}'(?!\w)|"
    r"\b[A-Z]{2,12}(?:\s(?:&\s)?[A-Z]{2,12})?)\s"
    r"(?i:(?:spelled\s(?:out\s)?)?(?:(?:in|en|with|con|de)\s)?(?:big\s|large\s|giant\s|"
    r"jumbo\s)?(?:(?:rose\s)?"
    r"(?:gold|silver|pink|white|black|red|blue)\s)?(?:balloon\s|foil\s|mylar\s|"
    r"globos?\s(?:de\s)?)?(?:letters?|"
    r"lettering|letras|foil|foils|mylar|metalic[oa]s?))\b"
)
_AFTER = re.compile(r"\b(?:foil|foils|Foil|mylar)\s(?P<said>[A-Z]{3,12})\b")
_INITIALS = re.compile(
    r"(?i:\b(?:foil\s|balloon\s)?(?:initials?|iniciales|letters?|letras?):?\s)[A-Z]\b(?:\s?(?:,|"
    r"and|&|y|\+)\s?[A-Z]\b)*(?i:\sin\s(?:gold\s|silver\s)?foil)?(?!\s[A-Z]{2})"
)
# "Letters L O V E", "foil letters L-O-V-E": a word spelled out.
_SPELLED_OUT = re.compile(
    r"(?i:\b(?:foil\s|balloon\s)?(?:letters?|letras?)(?:\s(?:foil|de foil|metalicas|metalizadas))?"
    r"[:,]?\s)(?P<said>[^\W\d_a-z](?:[\s-][^\W\d_a-z]){1,15})(?!\w)"
)
_STOP = listed(
    """
    in on and for with the a an at by or plus foil balloons balloon please pls y en para
    con de gold silver rose white black of are is per we my our too also from to that if
    can do you how letters letras
    """
)


def words_in(passage: Passage) -> list[tuple[int, int, list[str]]]:
    """The word in letters, in capitals as foil letters are, and where it stands."""
    spelled = _SPELLED_OUT.search(passage.original)
    if spelled:
        word = re.sub(r"[\s-]", "", spelled["said"])
        return [(spelled.start(), _with_colour(passage.folded, spelled.end()), [word])]
    initials = _INITIALS.search(passage.original)
    if initials:
        return [(initials.start(), initials.end(), re.findall(r"\b[A-Z]\b", initials.group()))]
    for pattern in (_BEFORE, _NAMED_WORD, _AFTER):
        text = passage.folded if pattern is _NAMED_WORD else passage.original
        for match in pattern.finditer(text):
            said, end = _said(passage, match.start("said"), match.end("said"))
            if said and TAKEN not in passage.folded[match.start() : match.end()]:
                more, end = _more(passage.original, end)
                end = _with_colour(passage.folded, max(end, match.end()))
                names = list(said) if said.isdecimal() else [said, *more]
                return [(_with_colour_before(passage.folded, match.start()), end, names)]
    for match in _WORDS.finditer(passage.folded):
        said, end = _said(passage, match.start("said"), match.end("said"))
        # "Letters look great" spells nothing: what is not announced must be in capitals.
        announced = match["spell"] or match["says"] or match["said"][0] in "\"'"
        refused = NOT_THAT.match(passage.folded, end)
        if (
            said
            and not refused
            and (announced or passage.original[match.start("said") : end].isupper())
        ):
            more, end = _more(passage.original, end)
            return [(match.start(), _with_colour(passage.folded, end), [said, *more])]
    return []


_AND_WORD = re.compile(r"(?:,\s?|\s(?:and|y)\s)(?P<said>[A-Z]{2,12})\b")


def _more(text: str, end: int) -> tuple[list[str], int]:
    """The LEO of "letters MIA and LEO"."""
    said = []
    while match := _AND_WORD.match(text, end):
        said.append(match["said"])
        end = match.end()
    return said, end


_COLOUR_AFTER = re.compile(
    rf"\s(?:(?:in|en|de)\s)?(?:{LOOK}{FOIL}|{COLOUR}(?:\s{FOIL})?)\b(?=\s?(?:$|[.,;!?)\n+]))"
)


_COLOUR_BEFORE = re.compile(
    rf"(?:^|[.;:!?\n(]\s?|(?<!\w),\s|\w,\s|\b(?:and|plus|with|y|con)\s)(?P<of>{COLOUR}\s)$"
)


def _with_colour_before(text: str, start: int) -> int:
    """ "…, gold DR KIM in letters": the colour in front is the letters' as well."""
    before = _COLOUR_BEFORE.search(text[max(0, start - 24) : start])
    return start - len(before["of"]) if before else start


def _with_colour(text: str, end: int) -> int:
    """ "LOVE letters in gold": that colour is the letters'."""
    colour = _COLOUR_AFTER.match(text, end) or METAL_AFTER.match(text, end)
    return colour.end() if colour else end


def _said(passage: Passage, start: int, end: int) -> tuple[str, int]:
    raw = passage.original[start:end]
    if raw[0] in "\"'":
        return raw.strip("\"' ").upper(), end
    words: list[str] = []
    for match in re.finditer(r"[^\W\d_&]+|[&]", raw):
        word = match.group()
        if word.lower() in _STOP or (words and word != "&" and not word.isupper()):
            break
        words.append(word)
        end = start + match.end()
        if re.match(r"[,.;!?\n]", passage.original[end : end + 1]):
            break
    return (" ".join(words).upper(), end) if words else ("", start)
