"""Sizes as people type them: "4 ft wide 7 ft tall", "6 by 8", `7'6"`, "2.1 m de alto", "six foot".

A size is one or two measures in metres. Feet and metres keep the client's own figure: nothing is
rounded here.
"""

import re
from dataclasses import dataclass, replace
from itertools import zip_longest

from bot.understanding.numerals import NUMBER, value_of
from bot.understanding.passage import Passage

FOOT_M = 0.3048  # exact by definition
INCH_M = 0.0254

_UNITS = (
    (FOOT_M, r"feets?|foot(?:ers?|s)?|fts?(?![a-z])\.?|fet\b|feat\b|'(?!s\b)|pies?\b"),
    (
        INCH_M,
        r'inches|inch|ins\b|(?<=\d)in\b|in\b(?!\s+(?!tall|wide|high|long|across|x\b|by\b))|"|pulgadas?|pulg\b',
    ),
    (0.01, r"cms?\b|centimet(?:er|re)s?|centimetros?"),
    (0.001, r"mm\b"),
    (0.9144, r"yards?|yds?\b|yardas?"),
    (1.0, r"met(?:er|re|ry|row)s?|metros?|mtr?s?\b|m(?![a-z])"),
)
_ANY_UNIT = "|".join(pattern for _, pattern in _UNITS)
_UNIT_PATTERNS = tuple((metres, re.compile(pattern)) for metres, pattern in _UNITS)

_AXES = {
    "height": r"tall|high|height|hgt|in height|alto|alta|altura|h",
    "width": r"wide|width|wid|across|in width|ancho|ancha|anchura|w",
    "length": r"long|length|in length|along|largo|larga|longitud|l",
    "diameter": r"in diameter|diameter|diam|dia|round|de diametro|diametro",
}
_AXIS_OF = {word: axis for axis, words in _AXES.items() for word in words.split("|")}
_LABEL = (
    "|".join(sorted(_AXIS_OF, key=len, reverse=True))
    .replace(
        "round",
        r"round(?!\s(?:top|arch|frame|hoop|backdrop|stand|metal))",  # "a 7 ft round arch"
    )
    .replace(
        "across",
        r"across(?!\s(?:the|our|my|your|this|a|an|each|both)\b)",  # "15 ft across the doorway"
    )
    .replace(
        "along",
        r"along(?!\s(?:the|our|my|your|this|a|an|each|both|la|el)\b)",  # "25 ft along the ceiling"
    )
)
_LABEL_BEFORE = (
    r"height|width|length|diameter|alto|altura|ancho|anchura|largo|longitud|diametro|"
    r"[whl](?!\s{0,2}(?:is|of|about|de|es)\b|es\b)"
)

# What may follow a figure said after its unit: "six foot six across", "2 metros 10 de alto".
_UNIT_GOES_ON = (
    rf"(?=\s?(?:$|[,.;!?)\n&+-]|x\s|(?:{_LABEL}|by|por|and|de|y|with|con|in|at|each|"
    rf"apiece|cada|ring|hoop)\b))"
)
# "A foot and a half", "half a meter", "de metro y medio": one of a unit without a figure.
_ONE_UNIT = "foot|meter|metre|metro|yard|pie|yarda"
_ARTICLED = (
    rf"(?:(?<=half\sa)(?=\s(?:{_ONE_UNIT})\b)|(?<=medi[oa])(?=\s(?:{_ONE_UNIT})\b)|"
    rf"(?=\s(?:{_ONE_UNIT})\s(?:and\s(?:a\s)?half|y\smedi[oa]|(?:de\s|in\s)?(?:{_LABEL}))\b))"
)
_INCHES = "one|two|three|four|five|six|seven|eight|nine|ten|eleven"
_HUNDREDTHS = (
    r"\d{2}|(?:veinte|treinta|cuarenta|cincuenta|sesenta|setenta|ochenta|"
    r"noventa)(?:\sy\scinco)?"
)
_MEASURE = re.compile(
    rf"""
    (?:\b(?P<before>{_LABEL_BEFORE})\s{{0,2}}(?:is|of|about|de|es|[:=])?\s{{0,2}}(?:about\s)?)?
    (?P<sign>(?<![\w\0])-)?
    (?<![\d.,:/$#€£"])(?<![a-wyz])
    (?:(?P<number>{NUMBER})|(?P<article>\b(?:half\san?|medi[oa]|an?|de){_ARTICLED}|\b(?=(?:metro|pie|yarda)\sy\s(?:medi|{_HUNDREDTHS}))))
    (?P<half>\s(?:and\s(?:an?\s)?half|and\s1/2|y\smedi[oa]))?
    (?:[\s-]{{0,2}}ish\b)?
    (?:[\s-]{{0,2}}(?P<unit>{_ANY_UNIT})
       (?:(?P<half2>\s(?:and\s(?:an?\s)?half|y\smedi[oa]))
         |\s?(?:and\s|con\s|y\s)?(?P<inches>\d{{1,2}}(?:\.\d)?(?:\s[1-3]/[248])?|(?:{_INCHES}))
             \s?(?:"|inches|inch\b|in\b|pulgadas?)
         |(?<=t)\s(?P<spoken_inches>1[01]|\d|{_INCHES})\b{_UNIT_GOES_ON}
         |(?:(?:(?<=metro)|(?<=metros))\s(?:con\s|y\s)?|(?<=\dm)(?=\d\d\b))
             (?P<hundredths>{_HUNDREDTHS})\b{_UNIT_GOES_ON}
         |(?<=')\s?(?P<bare_inches>\d{{1,2}})(?![\d'.x/]|\s?(?:ft|feet|foot|x|by|people|columns?))
       )?)?
    (?:[\s,(-]{{0,2}}(?:de\s|d\s|in\s|ish\s)?(?P<after>{_LABEL})\b(?!/)\)?
       (?(before)(?!\s?[:=]?\s?(?:is\s|of\s|de\s)?(?:about\s)?\d))(?!\s?:\s?\d|\sx\s[hwl]\b))?
    """,
    re.VERBOSE,
)
_TIMES = re.compile(r"[\s)]{0,3}(?:x|by|por|\*)[\s(]{0,3}(?:about\s|like\s)?")
# In an answer about size two figures are always width and height: "4 and 7", "4, 7".
_TOGETHER = re.compile(rf"(?:{_TIMES.pattern})|\s?(?:,|and|y|&|/)?\s{{0,2}}")
# In quotation marks are a sign's words; a mark behind a figure is an inch.
_QUOTED = re.compile(r"(?<![\w\"])\"[^\"\n\0]*[^\W\d][^\"\n\0]*\"(?!\w)")
_THE_OTHER = re.compile(
    r"\b(?:otr[oa]|the other|other one|another)\s(?:one\s)?(?:(?:de|at|is|of|"
    r"que sea de)\s)?$"
)
_MADE = re.compile(r"\b(?:be|to|are|sean?|a)\s(?:about\s)?$")  # "can the columns be 6.5"
_TOTAL = re.compile(r"\s(?:total|in total|in all|altogether|en total)\b")
_SAME_BREATH = 16  # characters
_CENTIMETRE_M, _FEW = 0.01, 5
_COUNTED_THINGS = re.compile(r"\s(?:\w+\s)?[a-z]{3,}s\b")
_BOTH_LABELS = re.compile(
    r"[\s,]{0,2}\(?(?P<one>width|height|length|wide|high|tall|w|h|l)\s?(?:x|by|"
    r"\*)\s?(?P<two>width|height|length|wide|high|tall|long|w|h|l)\b\)?"
)
_RANGE_BEFORE = re.compile(
    rf"(?:(?<![\w.,/-])\d{{1,3}}(?:\.\d)?(?:\s?(?:ft|feet|pies|m|metros|in|inches|'|\"))?\s?(?:-|"
    rf"to|or|o)|"
    rf"\b(?:de|unos|unas|como|son)\s\d{{1,3}}(?:\.\d)?(?:\s(?:pies|metros))?\sa|\b(?:between|"
    rf"entre)\s{NUMBER}\s(?:and|y))\s?$"
)
_SPANISH_DECIMAL = re.compile(r"\b(?:de|mide)\s$")
_SPANISH_AFTER = re.compile(r"\s?(?:por\b|alt|anch|larg)")
_DECIMAL = re.compile(r"\d[.,]\d{1,2}")


@dataclass(frozen=True, slots=True)
class Measure:
    """One measure; `axis` is what the client called it, None where they only gave a figure."""

    metres: float
    axis: str | None
    bare: float  # the figure as typed
    has_unit: bool


@dataclass(frozen=True, slots=True)
class Size:
    """One figure, or two joined by "x" or "by", at a span of the passage."""

    start: int
    end: int
    measures: tuple[Measure, ...]
    vague: bool = False  # "6-7 ft": said, but not settled


@dataclass(frozen=True, slots=True)
class _Found:
    start: int
    end: int
    measure: Measure
    ranged: bool


def sizes_in(passage: Passage, default_unit_m: float, *, bare: bool = False) -> list[Size]:
    """Every size in the passage, in order.

    `default_unit_m` is metres per unit for figures without one. With `bare`, a lone figure
    counts as a measure: for answers to a question about size, never for free text.
    """
    passage = passage.without(found.span() for found in _QUOTED.finditer(passage.folded))
    found = [
        _found(match, passage, default_unit_m)
        for match in _MEASURE.finditer(passage.folded)
        if not _part_of_word(match, passage.folded)
    ]
    found = _series(_same_unit_as_before(found, passage.folded), passage.folded)
    settled = [item for item, after in zip_longest(found, found[1:]) if not _opens(item, after)]
    sizes = _joined(settled, passage.folded, _TOGETHER if bare else _TIMES)
    read = [_labelled(_as_size(group), passage.folded) for group in sizes]
    return [size for size in read if bare or _is_measure(size, passage.folded)]


def _part_of_word(match: re.Match[str], text: str) -> bool:
    """ "70s", "3pm" and "5th" are not measures, "70s tall" included."""
    if match["article"] is not None:
        return False
    rest = text[match.end("number") : match.end("number") + 1]
    return rest.isalpha() and not match["unit"] and not match["after"] and rest != "x"


def _found(match: re.Match[str], passage: Passage, default_unit_m: float) -> _Found:
    figure = _figure(match)
    figure = -figure if match["sign"] else figure
    unit = _unit_m(match["unit"]) if match["unit"] else None
    if unit is None and _says_metres(match, passage.folded):
        unit = 1.0
    metres = figure * (unit or default_unit_m)
    inches = match["inches"] or match["spoken_inches"] or match["bare_inches"]
    metres += value_of(inches) * INCH_M if inches else 0
    metres += value_of(match["hundredths"]) / 100 if match["hundredths"] else 0
    label = match["before"] or match["after"]
    axis = _AXIS_OF.get(label) if label else None
    measure = Measure(metres, axis, figure, unit is not None)
    since = max(0, match.start() - 24)
    ranged = _RANGE_BEFORE.search(passage.folded[since : match.start()])
    start = since + ranged.start() if ranged else match.start()
    return _Found(start, match.end(), measure, ranged is not None)


def _figure(match: re.Match[str]) -> float:
    half = 0.5 if match["half"] or match["half2"] else 0.0
    if match["number"]:
        return value_of(match["number"]) + half
    return 0.5 if match["article"].startswith(("half", "medi")) else 1 + half


def _unit_m(text: str) -> float:
    return next(metres for metres, pattern in _UNIT_PATTERNS if pattern.match(text))


def _says_metres(match: re.Match[str], text: str) -> bool:
    """ "columna de 1.80", "1.80 por 2.20": such a decimal is in metres, whoever asks."""
    figure = match["number"] or ""
    before = text[max(0, match.start("number") - 6) : match.start("number")]
    after = match["after"] or text[match.end("number") : match.end("number") + 5]
    spanish = _SPANISH_DECIMAL.search(before) or _SPANISH_AFTER.match(after)
    return bool(figure and spanish and _DECIMAL.fullmatch(figure))


def _same_unit_as_before(found: list[_Found], text: str) -> list[_Found]:
    """In "36 inches wide, 80 high" the eighty is in inches as well, in "one of 6 ft and the other
    of 4" the four in feet."""
    read: list[_Found] = []
    for item in found:
        last = read[-1] if read else None
        near = last is not None and item.start - last.end < _SAME_BREATH
        if (
            last
            and near
            and last.measure.has_unit
            and _goes_on(item, text)
            and not item.measure.has_unit
        ):
            item = _in_unit_of(item, last)
            if _TOTAL.match(text, item.end):
                item = replace(item, measure=replace(item.measure, has_unit=True))
        read.append(item)
    return read


def _series(found: list[_Found], text: str) -> list[_Found]:
    """In "4, 5 and 6 ft" all three are in feet."""
    read = list(found)
    for index in range(len(read) - 2, -1, -1):
        item, after = read[index], read[index + 1]
        bare = not item.measure.has_unit and item.measure.axis is None and not item.ranged
        join = _LISTED.fullmatch(text[item.end : after.start])
        if not (bare and join and after.measure.has_unit and not after.ranged):
            continue
        more = index and _LISTED.fullmatch(text[read[index - 1].end : item.start])
        first_of_many = index + 2 < len(read) and read[index + 1] != found[index + 1]
        if join["and"] or more or first_of_many:
            item = _in_unit_of(item, after)
            read[index] = replace(item, measure=replace(item.measure, has_unit=True))
    return read


_LISTED = re.compile(r"\s?,\s?|\s?,?\s?(?P<and>and|y|&|/)\s?")


def _goes_on(item: _Found, text: str) -> bool:
    """Is a figure without a unit a measure like the one before: "the other of 4", "so 13 total"?"""
    other = _THE_OTHER.search(text[max(0, item.start - 24) : item.start])
    return bool(item.measure.axis or other or _TOTAL.match(text, item.end))


def _opens(item: _Found, after: _Found | None) -> bool:
    """The six of "6-7 ft" belongs to the range that follows."""
    return after is not None and after.start <= item.start


def _joined(found: list[_Found], text: str, join: re.Pattern[str]) -> list[tuple[_Found, ...]]:
    groups: list[tuple[_Found, ...]] = []
    for item in found:
        last = groups[-1] if groups else ()
        if len(last) == 1 and join.fullmatch(text[last[0].end : item.start]):
            groups[-1] = _share_unit(last[0], item)
        else:
            groups.append((item,))
    return groups


def _share_unit(first: _Found, second: _Found) -> tuple[_Found, _Found]:
    """In "4 by 7 ft" the four is in feet as well."""
    if second.measure.has_unit and not first.measure.has_unit:
        return _in_unit_of(first, second), second
    if first.measure.has_unit and not second.measure.has_unit:
        return first, _in_unit_of(second, first)
    return first, second


def _in_unit_of(item: _Found, other: _Found) -> _Found:
    ratio = other.measure.metres / other.measure.bare if other.measure.bare else 1.0
    unit = min((metres for metres, _ in _UNITS), key=lambda metres: abs(metres - ratio))
    if unit < _CENTIMETRE_M * 2 and item.measure.bare < _FEW:
        unit = 1.0  # "90 cm de ancho y 2.10 de alto"
    return replace(item, measure=replace(item.measure, metres=item.measure.bare * unit))


def _as_size(group: tuple[_Found, ...]) -> Size:
    measures = tuple(item.measure for item in group)
    # "6-7 ft" is one wish between two sizes; "6-7 x 8" as well.
    return Size(group[0].start, group[-1].end, measures, any(item.ranged for item in group))


def _labelled(size: Size, text: str) -> Size:
    """ "6 x 8 (w x h)" says afterwards which is which."""
    labels = _BOTH_LABELS.match(text, size.end)
    if len(size.measures) != 2 or not labels:
        return size
    axes = (_AXIS_OF[labels["one"]], _AXIS_OF[labels["two"]])
    measures = tuple(
        replace(measure, axis=axis) for measure, axis in zip(size.measures, axes, strict=True)
    )
    return replace(size, end=labels.end(), measures=measures)


def _is_measure(size: Size, text: str) -> bool:
    measure = size.measures[0]
    if len(size.measures) == 2 or measure.has_unit:
        return True
    if measure.axis is None and _THE_OTHER.search(text[max(0, size.start - 24) : size.start]):
        return not _COUNTED_THINGS.match(text, size.end)
    if measure.axis is None and not measure.bare.is_integer():
        return bool(_MADE.search(text[max(0, size.start - 12) : size.start]))
    if measure.axis in (None, "diameter") or text.startswith("one", size.start):
        return False  # "just one tall one"
    return not _COUNTED_THINGS.match(text, size.end)  # "2 tall columns" counts columns
