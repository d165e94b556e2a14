"""Foil figures, letters and shapes."""

import re

from bot.understanding.lexicon import FOIL_SHAPES
from bot.understanding.lexicon.wordlist import listed
from bot.understanding.numerals import WORDS, value_of
from bot.understanding.passage import TAKEN, Passage, Span

_COLOUR = (
    r"(?:rose gold|gold|silver|white|black|pink|red|blue|green|purple|chrome|orange|yellow|teal|"
    r"dorad[oa]s?|platead[oa]s?|negr[oa]s?|blanc[oa]s?|roj[oa]s?|rosas?|azul(?:es)?|oro|plata)"
)
_SIZED = (
    r"(?:big|large|jumbo|giant|huge|small|tall|mini|shiny|helium|extra|grandes?|gigantes?|"
    r"\d\d?\s?(?:in|inch|\"))"
)
_LOOK = rf"(?:{_SIZED}[\s-]){{0,2}}(?:{_COLOUR}[\s-])?(?:{_SIZED}[\s-])?"
_FOIL = r"(?:foil|foils|mylar|mylars|metalic[oa]s?|metalizad[oa]s?|aluminio)"
_WORD = rf"\b(?!un[oa]?\b)(?:zero|cero|{WORDS})\b"
_FIGURE = rf"(?:\d{{1,4}}(?!\d)|{_WORD})"
_DIGIT = (
    "(?:zero|cero|one|two|three|four|five|six|seven|eight|nine|uno|dos|tres|cuatro|cinco|"
    "ocho|nueve)"
)
_WORD_ENDS = "(?:" + "|".join(f"(?<={word})" for word in _DIGIT[3:-1].split("|")) + ")"
_ONE = r"(?:an?\s|the\s|el\s|la\s|un\s|#|number\s|another\s)?"
_LISTED = (
    rf"[\"']?(?P<figures>{_FIGURE}(?:[\"']?\s?(?:,\s?(?:and|y)?|&|\band\b|\by\b|\+|-|"
    rf"(?<=\d)\s(?=\d)|{_WORD_ENDS}\s(?={_DIGIT}\b))\s?{_ONE}[\"']?"
    rf"{_FIGURE}){{0,3}})[\"']?"
)
_IS_MEASURE = (
    r"(?!['\d/%:.]\d|\s?(?:(?:st|nd|rd|th|ft|feet|foot|pies?|inch\w*|in(?=\s?(?:$|[,.]|tall|wide))|"
    r"cm|m|am|pm|people|ppl|guests?|kids|years?|yrs?|anos|personas)\b|%|'|\"\s?(?:tall|wide)))"
)
_COLOURED = rf"(?:\s(?:in|en|de)\s{_LOOK}(?:{_COLOUR}|{_FOIL})\b(?:\s{_FOIL})?|\s{_COLOUR}\b)?"
_NUMBER_NOUN = r"(?:numbers?|numeros?|numerals?|digits?|digitos?)"
_ARTICLE = r"(?:\b(?:an?|the|un|el|los|las|two|2|some|couple|of|dos|unos)\s){0,2}"
_FILLER = (
    r"(?:(?:should|needs? to|must|will) be\s(?:an?\s)?|are\s|is\s|of\s|for\s|in\s|saying\s|"
    r"spelling\s|del\s|del numero\s|un\s|an?\s|el\s|the\s|de\s|con\s)?"
)
_NUMBERS = (
    # "a 9 and a 0 foil", "50 in gold foil", "el 5 y el 0 metalicos", "2027 in gold numbers"
    re.compile(
        rf"(?<![\d$/.:#'])(?<!\d )\b{_LISTED}{_IS_MEASURE}\s(?:(?:in|en|de|out "
        rf"of)\s{_LOOK}(?:{_FOIL}|"
        rf"{_NUMBER_NOUN}|globos? {_FOIL}|(?:balloon|foil|mylar) {_NUMBER_NOUN})|"
        rf"{_LOOK}(?:{_FOIL}\s)?"
        rf"(?:balloon\s)?{_NUMBER_NOUN}|{_LOOK}{_FOIL})\b(?!\s(?:letters?|"
        rf"letras))(?:\s(?:balloons?|numbers?)\b)?{_COLOURED}"
    ),
    # "foil 50", "foil balloons: 5 and 0", "numbers 2-0-2-7", "number balloons 16"
    re.compile(
        rf"{_ARTICLE}\b{_LOOK}(?:(?:{_FOIL}[\s-])?(?:balloon\s|"
        rf"globos?\s(?:de\s)?)?{_NUMBER_NOUN}|#|{_FOIL})"
        rf"(?:\s(?:balloons?|globos?|{_FOIL}|{_COLOUR}|"
        rf"{_SIZED}))?[\s:(]{{0,3}}{_FILLER}{_LISTED}{_IS_MEASURE}"
        rf"(?!\s?-\d{{3}}|\s?(?:,|and|&)?\s?(?:{_COLOUR}\s)?(?:stars?|hearts?|estrellas|corazones))"
        rf"(?:\s(?:de\s)?(?:balloons?|{_FOIL}))?{_COLOURED}"
    ),
    # "the numbers in foil, 60"
    re.compile(
        rf"\b{_NUMBER_NOUN}\s(?:in|en|de)\s{_LOOK}{_FOIL}[,:]?\s{_LISTED}(?=\s?(?:[,.;!?\n]|$))"
    ),
    # "a 3 and a 0", "un 5 y un 0"
    re.compile(
        rf"\b(?P<figures>(?:an?|un)\s\d\s(?:and|&|y)\s(?:an?|un)\s\d)\b{_IS_MEASURE}(?!\sde\b|\s\w+\sballoons)"
        rf"{_COLOURED}"
    ),
    # "a big 50", "un 15 gigante"
    re.compile(
        rf"\b(?<!the )(?:big|giant|jumbo|huge|large|"
        rf"oversized)\s(?:{_COLOUR}\s)?(?P<figures>\d{{1,4}})"
        rf"(?!\d){_IS_MEASURE}(?=\s?(?:$|[,.;!?)\n+&]|(?:in|on|for|at|next|with|and|please|"
        rf"behind|too|by|"
        rf"beside|balloon)\b))(?:\sballoon\b(?!\s\w))?{_COLOURED}"
    ),
    re.compile(rf"\b(?:un|el)\s(?P<figures>\d{{1,4}})\s(?:bien\s)?(?:grande|gigante)\b{_COLOURED}"),
    # "1 and 8 in gold"
    re.compile(
        rf"(?<![\d$/.:])\b(?P<figures>{_ONE}\d\s(?:and|&|y)\s{_ONE}\d)\s(?:in|en)\s{_COLOUR}\b"
    ),
    # "a 5 balloon", "a 4 and a 0 balloon"
    re.compile(
        rf"\b(?:an?|the)\s(?P<figures>\d{{1,3}}(?:\s(?:and|"
        rf"&)\s{_ONE}\d)?)\s(?:{_COLOUR}\s)?balloon\b"
        r"(?!\s(?:arch|garland|column|bouquet|wall|hoop|drop|tower|backdrop|ring|package|"
        r"install\w*))"
    ),
)
_NOT_FOIL_NUMBER = re.compile(
    r"(?:phone|cell|order|invoice|confirmation|reference|ref|contact|account|tracking|quote|"
    r"telefono|de casa|unit|suite|room|apt|my|whatsapp|lead|ticket|po|item|table|bus|option|plan|"
    r"grand(?:son|daughter|child|kid|baby)|baby|kid|child|son|daughter|boy|girl|nieto|nieta|"
    r"hij[oa]|"
    r"cumpleanos|cumple|birthday|bday|anniversary|team|player|fan|reason|question|priority|choice|"
    r"was|were|am|im|i'm|you're|youre|we're|it's|total|big|large|any|what|which|good|right|wrong|"
    r"que|tu|su|mi|nuestro)\s(?:is\s)?$"
)
# "Letters LOVE? no just hearts"
_NOT_THAT = re.compile(
    r"\s?\?+,?\s?(?:no|nah|nope|nvm)\b|\s(?:no|nope),?\s(?:wait|just|actually|"
    r"mejor)\b"
)
# "Wedding anniversary number 40" numbers the anniversary: what a foil number may follow.
_BARE_NUMBER = re.compile(r"(?:numbers?|numeros?|#)[\s:]")
_MAY_PRECEDE = re.compile(
    rf"(?:^|[^\w\s]\s?|\b(?:an?|the|el|un|los|las|con|with|w|and|y|plus|add|want|wants|need|quiero|"
    rf"queremos|quiere|ponle|agrega|of|de|get|for|in|put|have|has|tambien|also|some|our|their|"
    rf"her|his|"
    rf"include|{_COLOUR}|{_SIZED}|{_FOIL}|balloons?|globos?|on top|big)\s)$"
)
_FIGURES_IN = re.compile(rf"\d+|{_WORD}")
_COUNTED = re.compile(
    rf"{_FIGURE}\s{_LOOK}(?:foils|mylars|metalic[oa]s|metalizad[oa]s|"
    rf"{_FOIL}\sballoons)(?:\s{_COLOUR})?"
)
_SHAPE = "|".join(sorted(FOIL_SHAPES, key=len, reverse=True))
_COUNTED_SHAPES = re.compile(
    rf"{_FIGURE}\s{_LOOK}{_FOIL}\s(?:{_COLOUR}\s)?(?:balloons?\s)?(?:{_SHAPE})(?:e?s)?\b"
)
_SHAPE_LIST = (
    rf"(?P<list>(?:{_SHAPE})(?:e?s)?(?:\s?(?:,\s?(?:and|y)?|\band\b|&|\by\b|\+)\s?(?:an?\s|"
    rf"un[ao]?\s)?"
    rf"{_LOOK}(?:{_SHAPE})(?:e?s)?\b(?!\s(?:arch|theme))){{0,4}})"
)
_SHAPES = (
    re.compile(
        rf"{_ARTICLE}\b{_LOOK}{_FOIL}[\s:]{{1,2}}(?:balloons?[\s:]{{1,2}}|"
        rf"globos?\s)?(?:de\s(?:una?\s)?|"
        rf"en\sforma\sde\s|con\sforma\sde\s|(?:shaped\slike|in the shape of|like)\s)?(?:an?\s|"
        rf"una?\s)?"
        rf"{_LOOK}{_SHAPE_LIST}\b(?:[\s-]shaped)?(?:\sballoons?)?{_COLOURED}"
    ),
    re.compile(
        rf"{_ARTICLE}(?:\b\d\s)?\b{_LOOK}{_SHAPE_LIST}[\s-](?:shaped?\s)?(?:{_COLOUR}\s)?"
        rf"(?:(?:de|en|in)\s{_LOOK})?(?:globo\s|"
        rf"balloons?\sin\s)?{_FOIL}\b(?:\sballoons?)?{_COLOURED}"
    ),
    re.compile(
        rf"{_ARTICLE}(?:\b\d\s)?\b{_LOOK}{_SHAPE_LIST}[\s-]shaped?\s(?:{_COLOUR}\s)?balloons?\b"
    ),
)
_ONE_SHAPE = re.compile(rf"\b({_SHAPE})(?:e?s)?\b")
_LETTERED = r"(?:letters?|lettering|letras?)"
_SAYS = (
    r"(?:(?:that\s|to\s|which\s|que\s|q\s|k\s|ke\s)?(?:spell(?:s|ing)?(?:\sout)?|say(?:s|ing)?|"
    r"reads?|"
    r"reading|digan?|dicen?|formen?|diciendo))"
)
_SPELL = rf"(?:{_SAYS}|with|for|of|con|de)"
_QUOTED = r"(?:\"[^\"\n]{1,30}\"|(?<!\w)'\w[^'\n]{0,28}'(?!\w))"
_SAID = rf"(?P<said>{_QUOTED}|\S{{1,20}}(?:\s\S{{1,20}})?)"
_WORDS = re.compile(
    rf"{_ARTICLE}\b{_LOOK}(?:(?:{_FOIL}\s)?(?:balloon\s|"
    rf"globos?\s(?:de\s)?)?{_LETTERED}\s?(?:balloons?\s|"
    rf"{_FOIL}\s|globos?\s|de\sglobos?\s|in\s{_LOOK}foil\s|{_COLOUR}\s)?(?P<spell>{_SPELL}|:)?|"
    rf"(?:{_FOIL}\s(?:balloons?\s)?|globos?\s{_FOIL}\s)(?P<says>{_SAYS}))[\s:]{{0,2}}{_SAID}"
)
_NAMED_WORD = re.compile(
    rf"\b(?:the\s)?(?:words?|names?|la\spalabra|el\snombre)\s(?P<said>{_QUOTED}|\w{{2,14}})\s"
    rf"(?:spelled\s(?:out\s)?)?(?:in|en|with|con|de)\s{_LOOK}(?:globos?\s)?(?:{_FOIL}|balloon\s|"
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
_INITIALS = re.compile(
    r"(?i:\b(?:foil\s|balloon\s)?(?:initials?|iniciales|letters?|letras?)\s)[A-Z]\b(?:\s?(?:,|"
    r"and|&|y|\+)\s?[A-Z]\b)*(?i:\sin\s(?:gold\s|silver\s)?foil)?"
)
_STOP = listed(
    """
    in on and for with the a an at by or plus foil balloons balloon please pls y en para
    con de gold silver rose white black of are is per we my our too also from to that if
    can do you how letters letras
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
            start = _without_palette(rest.folded, match.start())
            digits = _digits(match["figures"])
            before = rest.folded[max(0, match.start() - 18) : match.start()]
            counted = _COUNTED.fullmatch(rest.folded, match.start(), match.end())  # "3 foils"
            counted = counted or _NOT_THAT.match(rest.folded, match.end())
            counted = counted or _COUNTED_SHAPES.match(rest.folded, match.start())
            named = not _BARE_NUMBER.match(match.group()) or _MAY_PRECEDE.search(before)
            if named and digits and not counted and not _NOT_FOIL_NUMBER.search(before):
                new.append((start, match.end(), digits))
        found += new
        rest = rest.without((start, end) for start, end, _ in new)
    return found


_PALETTE_BEFORE = re.compile(rf"\b{_COLOUR}\s?(?:,|and|&|y|/)?\s?$")
_LEADING_COLOUR = re.compile(rf"{_COLOUR}\s")


def _without_palette(text: str, start: int) -> int:
    """In "blue gold foil 1" the colours are the palette, in "gold foil 1" the foil's."""
    leading = _LEADING_COLOUR.match(text, start)
    if leading and _PALETTE_BEFORE.search(text[max(0, start - 24) : start]):
        return leading.end()
    return start


def _digits(figures: str) -> list[str]:
    digits: list[str] = []
    for part in _FIGURES_IN.findall(figures):
        if part.isdecimal():
            digits += part
        elif part in ("zero", "cero"):
            digits.append("0")
        else:
            digits += str(int(value_of(part)))
    return digits


def _shapes(passage: Passage) -> _Found:
    found: _Found = []
    for pattern in _SHAPES:
        for match in pattern.finditer(passage.folded):
            refused = _NOT_THAT.match(passage.folded, match.end())
            if not refused and not any(
                start < match.end() and match.start() < end for start, end, _ in found
            ):
                names = [FOIL_SHAPES[name] for name in _ONE_SHAPE.findall(match["list"])]
                found.append((match.start(), match.end(), names))
    return found


def _words(passage: Passage) -> _Found:
    """Words in letters, in capitals as foil letters are."""
    initials = _INITIALS.search(passage.original)
    if initials:
        return [(initials.start(), initials.end(), re.findall(r"\b[A-Z]\b", initials.group()))]
    for pattern in (_BEFORE, _NAMED_WORD):
        text = passage.original if pattern is _BEFORE else passage.folded
        for match in pattern.finditer(text):
            said, end = _said(passage, match.start("said"), match.end("said"))
            if said and TAKEN not in passage.folded[match.start() : match.end()]:
                end = _with_colour(passage.folded, max(end, match.end()))
                return [(match.start(), end, [said])]
    for match in _WORDS.finditer(passage.folded):
        said, end = _said(passage, match.start("said"), match.end("said"))
        # "Letters look great" spells nothing: what is not announced must be in capitals.
        announced = match["spell"] or match["says"] or match["said"][0] in "\"'"
        refused = _NOT_THAT.match(passage.folded, end)
        if (
            said
            and not refused
            and (announced or passage.original[match.start("said") : end].isupper())
        ):
            return [(match.start(), _with_colour(passage.folded, end), [said])]
    return []


_COLOUR_AFTER = re.compile(
    rf"\s(?:(?:in|en|de)\s)?(?:{_LOOK}{_FOIL}|{_COLOUR}(?:\s{_FOIL})?)\b(?=\s?(?:$|[.,;!?)\n+]))"
)


def _with_colour(text: str, end: int) -> int:
    """ "LOVE letters in gold": that colour is the letters'."""
    colour = _COLOUR_AFTER.match(text, end)
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
