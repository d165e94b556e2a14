"""Foil figures, letters and shapes."""

import re

from bot.understanding.counting import COUNT
from bot.understanding.foil_lists import SHAPE, how_many, more_after
from bot.understanding.foil_words import ARTICLE, COLOUR, FOIL, LOOK, METAL_AFTER, NOT_THAT, SIZED
from bot.understanding.lettering import words_in
from bot.understanding.lexicon import FOIL_SHAPES
from bot.understanding.numerals import WORDS, value_of
from bot.understanding.passage import Passage, Span

_WORD = rf"\b(?!una?\b)(?:zero|cero|{WORDS})\b"
_FIGURE = rf"(?:\d{{1,4}}(?!\d)|{_WORD})"
_DIGIT = (
    "(?:zero|cero|one|two|three|four|five|six|seven|eight|nine|uno|dos|tres|cuatro|cinco|"
    "ocho|nueve)"
)
_WORD_ENDS = "(?:" + "|".join(f"(?<={word})" for word in _DIGIT[3:-1].split("|")) + ")"
_ONE = r"(?:an?\s|the\s|el\s|la\s|un\s|#|number\s|another\s)?"
_LISTED = (
    rf"[\"']?(?P<figures>{_FIGURE}(?:[\"']?\s?(?:,\s?(?:and|y)?|&|\band\b|\by\b|\+|-|"
    rf"(?<=\d)\s(?=\d)|(?<=\")\s(?=\")|{_WORD_ENDS}\s(?={_DIGIT}\b))\s?{_ONE}[\"']?"
    rf"{_FIGURE}){{0,3}})[\"']?"
)
_IS_MEASURE = (
    r"(?!['\d/%:.]\d|\s?(?:(?:st|nd|rd|th|ft|feet|foot|pies?|inch\w*|in(?=\s?(?:$|[,.]|tall|wide))|"
    r"cm|m|am|pm|people|ppl|guests?|kids|years?|yrs?|anos|personas|columns?|columnas?|hoops?|aros?|"
    r"arch(?:es)?|arcos?|garlands?|guirnaldas?|frames?|marcos?|walls?|paredes|tables?|mesas?)\b|%|'|\"\s?(?:tall|wide)))"
)
_COLOURED = rf"(?:\s(?:in|en|de)\s{LOOK}(?:{COLOUR}|{FOIL})\b(?:\s{FOIL})?|\s{COLOUR}\b)?"
_NUMBER_NOUN = r"(?:numbers?|figures?|cifras?|numeros?|numerals?|digits?|digitos?)"
_FILLER = (
    r"(?:(?:should|needs? to|must|will) be\s(?:an?\s)?|are\s|is\s|of\s|for\s|in\s|saying\s|"
    r"spelling\s|del\s|del numero\s|un\s|an?\s|el\s|the\s|de\s|con\s)?"
)
_NUMBERS = (
    # "a 9 and a 0 foil", "50 in gold foil", "el 5 y el 0 metalicos", "2027 in gold numbers"
    re.compile(
        rf"(?<![\d$/.:#'])(?<!\d )\b{_LISTED}{_IS_MEASURE}\s(?:(?:in|en|de|out "
        rf"of)\s{LOOK}(?:{FOIL}|"
        rf"{_NUMBER_NOUN}|globos? {FOIL}|(?:balloon|foil|mylar) {_NUMBER_NOUN})|"
        rf"{LOOK}(?:{FOIL}\s)?"
        rf"(?:balloon\s)?{_NUMBER_NOUN}|{LOOK}{FOIL})\b(?!\s(?:letters?|"
        rf"letras))(?:\s(?:balloons?|numbers?)\b)?{_COLOURED}"
    ),
    # "foil 50", "foil balloons: 5 and 0", "numbers 2-0-2-7", "number balloons 16"
    re.compile(
        rf"{ARTICLE}\b{LOOK}(?:(?:{FOIL}[\s-])?(?:balloon\s|"
        rf"globos?\s(?:de\s)?)?{_NUMBER_NOUN}|#|{FOIL})"
        rf"(?:\s(?:balloons?|globos?|{FOIL}|{COLOUR}|"
        rf"{SIZED}))?[\s:(]{{0,3}}{_FILLER}{_LISTED}{_IS_MEASURE}"
        rf"(?!\s?-\d{{3}}|\s(?:{COLOUR}\s)?(?:{SHAPE})(?:e?s)?\b)"
        rf"(?:\s(?:de\s)?(?:balloons?|{FOIL}))?{_COLOURED}"
    ),
    # "the numbers in foil, 60"
    re.compile(
        rf"\b{_NUMBER_NOUN}\s(?:in|en|de)\s{LOOK}{FOIL}[,:]?\s{_LISTED}(?=\s?(?:[,.;!?\n]|$))"
    ),
    # "a 3 and a 0", "un 5 y un 0"
    re.compile(
        rf"\b(?P<figures>(?:an?|un)\s\d\s(?:and|&|y)\s(?:an?|un)\s\d)\b{_IS_MEASURE}(?!\sde\b|"
        rf"\s\w+\sballoons)"
        rf"{_COLOURED}"
    ),
    # "a big 50", "un 15 gigante"
    re.compile(
        rf"\b(?<!the )(?:big|giant|jumbo|huge|large|"
        rf"oversized)\s(?:{COLOUR}\s)?(?P<figures>\d(?:\s(?:and|&)\s{_ONE}\d)|\d{{1,4}})"
        rf"(?!\d){_IS_MEASURE}(?=\s?(?:$|[,.;!?)\n+&]|(?:in|on|for|at|next|with|and|please|"
        rf"behind|too|by|"
        rf"beside|balloon)\b))(?:\sballoon\b(?!\s\w))?{_COLOURED}"
    ),
    re.compile(rf"\b(?:un|el)\s(?P<figures>\d{{1,4}})\s(?:bien\s)?(?:grande|gigante)\b{_COLOURED}"),
    # "1 and 8 in gold"
    re.compile(
        rf"(?<![\d$/.:])\b(?P<figures>{_ONE}\d\s(?:and|&|y)\s{_ONE}\d)\s(?:in|en)\s{COLOUR}\b"
    ),
    # "a 5 balloon", "a 4 and a 0 balloon"
    re.compile(
        rf"\b(?:an?|the)\s(?P<figures>\d{{1,3}}(?:\s(?:and|"
        rf"&)\s{_ONE}\d)?)\s(?:{COLOUR}\s)?balloon\b"
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
# "Wedding anniversary number 40" numbers the anniversary: what a foil number may follow.
_BARE_NUMBER = re.compile(r"(?:numbers?|numeros?|#)[\s:]")
_MAY_PRECEDE = re.compile(
    rf"(?:^|[^\w\s]\s?|\b(?:an?|the|el|un|los|las|con|with|w|and|y|plus|add|want|wants|need|quiero|"
    rf"queremos|quiere|ponle|agrega|of|de|get|for|in|put|have|has|tambien|also|some|our|their|"
    rf"her|his|"
    rf"include|{COLOUR}|{SIZED}|{FOIL}|balloons?|globos?|on top|big)\s)$"
)
_FIGURES_IN = re.compile(rf"\d+|{_WORD}")
_COUNTED = re.compile(
    rf"{_FIGURE}\s{LOOK}(?:foils|mylars|metalic[oa]s|metalizad[oa]s|"
    rf"{FOIL}\sballoons)(?:\s{COLOUR})?"
)
# "Can I book foil balloons?" asks for no book.
_SHAPE_BEFORE = "|".join(name for name in SHAPE.split("|") if name != "book")
_COUNTED_SHAPES = re.compile(
    rf"{_FIGURE}\s{LOOK}{FOIL}\s(?:{COLOUR}\s)?(?:balloons?\s)?(?:{SHAPE})(?:e?s)?\b"
)


def _listed(shape: str) -> str:
    return (
        rf"(?P<list>(?:{shape})(?:e?s)?(?:(?:\sx\s?\d)?\s?(?:,\s?(?:and|y)?|\band\b|&|\by\b|"
        rf"\+)\s?(?:{COUNT}\s|(?:an?|una?)\s)?{LOOK}(?:{SHAPE})(?:e?s)?\b"
        rf"(?!\s(?:arch|theme|garland|frame|wall|hoop))){{0,4}}(?:\sx\s?\d\b)?)"
    )


_SHAPES = (
    re.compile(
        rf"{ARTICLE}\b{LOOK}{FOIL}[\s:]{{1,2}}(?:balloons?[\s:]{{1,2}}|"
        rf"globos?\s)?(?:de\s(?:una?\s)?|"
        rf"en\sforma\sde\s|con\sforma\sde\s|(?:shaped\slike|in the shape of|like)\s)?(?:an?\s|"
        rf"una?\s|{COUNT}\s)?"
        rf"{LOOK}{_listed(SHAPE)}\b(?:[\s-]shaped)?(?:\sballoons?)?{_COLOURED}"
    ),
    re.compile(
        rf"{ARTICLE}(?:\b\d\s)?\b{LOOK}{_listed(_SHAPE_BEFORE)}[\s-](?:shaped?\s)?(?:{COLOUR}\s)?"
        rf"(?:(?:de|en|in)\s{LOOK})?(?:globo\s|"
        rf"balloons?\sin\s)?{FOIL}\b(?:\sballoons?)?{_COLOURED}"
    ),
    re.compile(
        rf"{ARTICLE}(?:\b\d\s)?\b{LOOK}{_listed(_SHAPE_BEFORE)}[\s-]shaped?\s(?:{COLOUR}\s)?balloons?\b"
    ),
)
# "Un foil de mariposa y un 1"
_DIGIT_TOO = re.compile(
    rf"\s?(?:,|and|&|y|\+)\s(?:(?:an?|un|el|"
    rf"the)\s(?P<digit>\d)\b{_IS_MEASURE}(?!\s\w+\s)|"
    rf"(?P<digits>\d\s(?:and|&|y)\s{_ONE}\d)\b{_IS_MEASURE}(?=\s?(?:[,.;!?)\n]|$)))"
)
_ONE_SHAPE = re.compile(rf"\b({SHAPE})(?:e?s)?\b")
_NO_FOIL = re.compile(
    r"\b(?:no|not|without|skip|drop|scrap|ditch|lose|remove|delete|cancel|forget|minus|cut|nix|"
    r"(?:take|leave) (?:off|out)|sin|nada de|quit\w+|elimin\w+|"
    r"(?:dont|don't|didnt|didn't|no longer|no) (?:want|need|like|quiero|queremos|necesito))\s"
    r"(?:any\s|the\s|those\s|my\s|our\s|el\s|la\s|los\s|las\s)?(?:(?!just|only|solo|wait)\w+\s)?$"
)
# "Take the star foils off the order"
_TAKE = re.compile(r"\b(?:take|leave|cut)\s(?:the\s|those\s|that\s|my\s|our\s)?(?:\w+\s)?$")
_OFF = re.compile(r"\s(?:back\s)?(?:off|out|away)\b")


def foils_in(passage: Passage) -> tuple[tuple[str, ...], tuple[Span, ...]]:
    """Foils in the order said, and the spans they were read from."""
    found: list[tuple[int, int, list[str]]] = []
    rest = passage
    for reader in (words_in, _numbers, _shapes):
        new = reader(rest)
        found += new
        rest = rest.without((start, end) for start, end, _ in new)
    found = [_with_more(rest.folded, *item) for item in found]
    found = [item for item in found if not _refused(passage.folded, *item[:2])]
    found.sort()
    names = tuple(name for _, _, names in found for name in names)
    return names, tuple((start, end) for start, end, _ in found)


def _refused(text: str, start: int, end: int) -> bool:
    before = text[max(0, start - 32) : start]
    return bool(_NO_FOIL.search(before) or (_TAKE.search(before) and _OFF.match(text, end)))


def _with_more(text: str, start: int, end: int, names: list[str]) -> tuple[int, int, list[str]]:
    more, end = more_after(text, end)
    return start, end, names + more


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
            counted = counted or NOT_THAT.match(rest.folded, match.end())
            counted = counted or _COUNTED_SHAPES.match(rest.folded, match.start())
            named = not _BARE_NUMBER.match(match.group()) or _MAY_PRECEDE.search(before)
            if named and digits and not counted and not _NOT_FOIL_NUMBER.search(before):
                new.append((start, _with_metal(rest.folded, match.end()), digits))
        found += new
        rest = rest.without((start, end) for start, end, _ in new)
    return found


_PALETTE_BEFORE = re.compile(rf"\b{COLOUR}\s?(?:,|and|&|y|/)?\s?$")
_LEADING_COLOUR = re.compile(rf"{COLOUR}\s")


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
            refused = NOT_THAT.match(passage.folded, match.end())
            if not refused and not any(
                start < match.end() and match.start() < end for start, end, _ in found
            ):
                start, names = _each_shape(passage.folded, match)
                too = _DIGIT_TOO.match(passage.folded, match.end())
                end = too.end() if too else match.end()
                digits = _digits(too["digit"] or too["digits"]) if too else []
                found.append((start, end, names + digits))
    return found


def _each_shape(text: str, match: re.Match[str]) -> tuple[int, list[str]]:
    """Every shape of a list as often as it is asked for, and where the list begins."""
    start, names = match.start(), []
    for shape in _ONE_SHAPE.finditer(text, *match.span("list")):
        many, begins = how_many(text, shape)
        start = min(start, begins)
        names += [FOIL_SHAPES[shape[1]]] * many
    return start, names


def _with_metal(text: str, end: int) -> int:
    colour = METAL_AFTER.match(text, end)
    return colour.end() if colour else end
