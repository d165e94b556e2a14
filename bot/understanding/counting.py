"""How many of each piece: "a pair of columns", "hoops x3", "6 ft columns, 4 of them"."""

import re

from bot.understanding.lexicon import NUMBER_WORDS
from bot.understanding.lexicon.wordlist import listed
from bot.understanding.measures import Measure, Size
from bot.understanding.passage import Passage, Span, Word
from bot.understanding.supports import EACH_NEEDS, Mention

# Words that say how many there are.
COUNT_WORDS = {
    **NUMBER_WORDS,
    **dict.fromkeys(("couple", "duo", "twin", "both", "ambas", "ambos"), 2),
    **dict.fromkeys(("pair", "pairs", "par", "pares"), 2),
    "trio": 3,
    **dict.fromkeys(("dozen", "dozens", "docena", "docenas"), 12),
}
_UNITS = frozenset(word for word in COUNT_WORDS if word.startswith(("pa", "doz", "doc")))
_WORD = "|".join(sorted(NUMBER_WORDS, key=len, reverse=True))
_COUNT_ALONE = re.compile(
    rf"(?:\s(?:too|also|please|pls|tambien)\s?)?[.,:-]\s(?P<count>\d{{1,2}}|{_WORD})(?=\s?[.,;!\n]|$)"
)
_COUNT_AFTER = re.compile(
    r"\s?(?:x\s?(?P<x>\d{1,2})\b(?!\s?['\"]|\s?(?:ft|feet|foot|pies|m|cm)\b)|\((?P<in>"
    rf"\d{{1,2}}|{_WORD})\s?[,)]|"
    rf"(?:,\s?)?(?:an?\s|un\s)?(?:set|group|total|juego)\s(?:of|de)\s(?P<set>\d{{1,2}}|{_WORD})\b|"
    r"(?:,\s?)?(?:an?\s|un\s)?(?P<pair>pair|par|duo)\b(?!\sof|\sde)|"
    r"[:-]\s?(?P<colon>\d{1,2})(?=\s?(?:$|[,;)\n\0]|\.(?!\d)|"
    r"(?:each|of|de\s\0|c/u|pcs)\b)))"
)
# "Two columns 6 ft tall. Actually three": the count said last.
_COUNT_MENDED = re.compile(
    rf"[\0\s]{{0,30}}[,.!?]{{0,3}}\s?(?:no,?\s)?(?:wait|actually|sorry|make (?:it|that)|i mean|"
    rf"mejor|(?<=[,.!?]\s)no|digo|perdon|jk|rather|scratch that|oops),?\s"
    rf"(?:(?:make (?:it|that)|just|only|its|it's|i need|we need|we want|solo|nada mas|son|mejor)"
    rf"\s){{0,2}}(?P<count>\d{{1,2}}|{_WORD})(?P<pairs>\s(?:pairs?|par(?:es)?)\b)?"
    rf"(?=\s?(?:$|[,;!\n]|\.(?!\d)|of them\b))"
)
# "Columns should be 4", "de las columnas mejor 4": told about what was named.
_COUNT_TOLD = re.compile(
    rf"[\s,]{{1,2}}(?:should be|make (?:it|that|them)|now|to|are|is|mejor|que sean|sean|seran|"
    rf"son|quantity|qty|cantidad)\s(?:just\s|only\s|solo\s)?(?P<count>\d{{1,2}}|{_WORD})"
    r"(?=\s?(?:$|[,.;!?)\n\0]|(?:not|no|instead|en vez|please|y no|and|por favor|porfa)\b))"
)
# "Columnas negras con naranja (3)", "2 columns each wing (so four)"
_BRACKETED = re.compile(
    rf"(?:\s[^\W\d]+,?){{1,6}}\s\((?:so\s|total\s|o sea\s|=\s?)?(?P<count>\d{{1,2}}|{_WORD})"
    r"(?:\s(?:total|in all|of them))?\)"
)
_EACH_SIDE = re.compile(
    r"[^.;!?\n]{0,40}?(?:\b(?:on|at|to|in|flanking)\s)?(?:\b(?:each|either|both)\s(?:side|end|"
    r"corner)s?\b|\ba\s(?:cada lado|ambos lados|los (?:dos )?lados)\b|\ben\scada\s(?:lado|"
    r"extremo|esquina)\b|\b(?:left and right|izquierda y derecha)\b)"
)
_FLANKS = re.compile(r"\s(?:to\s|that\s|which\s)?flank(?:ing)?\b")
_OF_THEM = re.compile(
    rf"\b(?:(?P<count>\d{{1,2}}|{_WORD}|both)\sof\s(?:them|those|these)|(?P<both>both)(?=\s(?:\0|"
    rf"to|be)))"
)
_THERE_ARE = re.compile(
    r"[^.;!?\n]{0,30}?[,;]\s(?:son|serian|en total|in total|total|i need|we need|need|want|i want|"
    rf"we want|quiero|necesito)\s(?P<count>\d{{1,2}}|{_WORD})(?=\s?(?:[,.;!\n]|$))"
)
_COUNT_OF_SIZE = re.compile(
    rf"^[^.;!?\n]{{0,40}}?\b(?P<count>\d{{1,2}}|{_WORD})\s(?:x\s|de\s|of\s|at\s)?$"
)
# How many of a thing, as a pattern.
COUNT = rf"(?:\d{{1,3}}|{_WORD}|dozen|docena)"
_HALF = frozenset({"half", "media"})
_BREAK = re.compile(r"[,;:.!?\n&+]")
_BEFORE_SIZE = re.compile(r",\s?\0+[\s-]?")  # "2, 6 ft columns"
_STOPS_COUNT = listed(
    """
    and y for with the on at my our is are to in plus number para con el la del age turning
    turns room table grade year over under around a an un una so but then because if where near
    want wants need needs
    """
)
_TREADS = frozenset({"stairs", "steps", "escalones"})  # "12 stairs" are one staircase
_OVER_WORDS = 7  # "two of your very tall shiny gold columns"
_MOST_OF_A_KIND = 60


def count(mention: Mention, mentions: list[Mention], text: str, words: list[Word]) -> None:
    """Settles how many of one piece, from what stands before, behind or at its sizes."""
    before = None if mention.text in _TREADS else _count_before(mention, mentions, text, words)
    after = _COUNT_AFTER.match(text, mention.end)
    told = (
        _COUNT_MENDED.match(text, mention.end)
        or _COUNT_TOLD.match(text, mention.end)
        or _COUNT_ALONE.match(text, mention.end)
        or (_BRACKETED.match(text, mention.end) if mention.plural else None)
    )
    if _flanks(mention, mentions, text):
        mention.count = before if before and before > 1 else 2
    elif after:
        said = after["x"] or after["in"] or after["colon"] or after["set"]
        mention.count = number_of(said) if said else 2
    elif told and mention.role == "product":
        mention.count = _within(_said(told))
    else:
        mention.count = before or _one_for_each(mention, mentions, text, words)
    for size in mention.sizes:
        again = _COUNT_AFTER.match(text, size.end)  # "frame 4x7 x2"
        times = int(again["x"]) if again and again["x"] else None
        mention.count = mention.count or times or _multiplied(mention, size)
        mention.count = mention.count or _count_beside(mention, size, text)


def _one_for_each(
    mention: Mention, mentions: list[Mention], text: str, words: list[Word]
) -> int | None:
    """The four of "4 tables, each needs a centerpiece" and of "centerpieces for 4 tables"."""
    for place in mentions:
        if place.stands_for is not mention or not place.dropped or not place.plural:
            continue
        each = place.end < mention.start and EACH_NEEDS.match(text, place.end)
        many = mention.plural and mention.end < place.start and place.kind == "table"
        if each or many:
            return _count_before(place, mentions, text, words)
    return None


def count_of_them(passage: Passage) -> tuple[int | None, list[Span]]:
    """ "Two of them", said of what the conversation knows, and where."""
    said = _OF_THEM.search(passage.folded)
    return (_said(said), [said.span()]) if said else (None, [])


def count_again(anchors: list[Mention], text: str) -> None:
    """ "6 foot columns in team colors. 4 of them", "columns 6 ft tall, need 4"."""
    for mention in anchors:
        there = _THERE_ARE.match(text, mention.end)
        if there and mention.plural and not mention.piece.count:
            mention.piece.count = _within(_said(there))
    for said in _OF_THEM.finditer(text):
        earlier = [mention for mention in anchors if mention.end <= said.start()]
        of_two = len(earlier) > 1 and earlier[-2].kind != earlier[-1].kind and said["both"]
        of_two = of_two and not earlier[-1].plural and not earlier[-2].plural
        if earlier and not earlier[-1].piece.count and not of_two:
            earlier[-1].piece.count = _within(_said(said))


def counts_of(sizes: list[Size], text: str, first: int | None) -> list[int] | None:
    """ "One of 6 ft and two of 5 ft", "2 columns of 4 ft and 2 big ones of 7 ft": how many have
    each size, where that is said of all; `first` is the count of the piece as it was named."""
    more = [_COUNT_OF_ONES.search(text[max(0, size.start - 28) : size.start]) for size in sizes[1:]]
    if first and more and all(more):
        return [first, *(_said(match) for match in more if match)]
    said = [_COUNT_AT_SIZE.search(text[max(0, size.start - 20) : size.start]) for size in sizes]
    counts = [_said(match) for match in said if match]
    return counts if len(counts) == len(sizes) > 1 else None


_COUNT_AT_SIZE = re.compile(
    rf"\b(?P<count>\d|{_WORD}|otr[oa]|other|another)\s(?:one\s)?(?:de\s|at\s|of\s|that(?:'s| is| "
    rf"are)\s|is\s|will be\s|x\s)?$"
)


_COUNT_OF_ONES = re.compile(
    rf"\b(?P<count>\d|{_WORD})\s(?:\w+\s)?(?:ones|otr[oa]s|more|mas)\s(?:de\s|at\s|of\s)?$"
)


def is_times(kind: str, size: Size) -> bool:
    """ "2 x 6ft columns" is two columns, not a column two wide."""
    if kind not in ("column", "hoop") or len(size.measures) != 2:
        return False
    counted, side = count_and_side(size)
    small = counted.bare.is_integer() and 1 <= counted.bare <= 12
    return counted.axis is None and small and side.has_unit and not counted.has_unit


def count_and_side(size: Size) -> tuple[Measure, Measure]:
    """In "2 x 6 ft" as in "6 ft x 2" the figure without a unit is the count."""
    first, second = size.measures
    return (second, first) if first.has_unit else (first, second)


def _flanks(mention: Mention, mentions: list[Mention], text: str) -> bool:
    """ "Columns on each side of the stage", "una columna a cada lado"."""
    if mention.kind not in ("column", "other", "arch_frame", "hoop") or mention.role != "product":
        return False
    said = _EACH_SIDE.match(text, mention.end)
    if said:
        return not any(mention.end < m.start < said.end() for m in mentions if m.role == "product")
    return mention.plural and bool(_FLANKS.match(text, mention.end))


def _count_beside(mention: Mention, size: Size, text: str) -> int | None:
    """ "columns please, two 6 ft": the number stands right before the size."""
    gap = text[mention.end : size.start] if mention.end < size.start else ""
    said = _COUNT_OF_SIZE.search(gap)
    return _said(said) if said and mention.plural else None


def number_of(word: str) -> int:
    """The value of what `COUNT` matched."""
    return int(word) if word.isdecimal() else COUNT_WORDS.get(word, 1)


def _said(said: re.Match[str]) -> int:
    groups = said.groupdict()
    number = number_of(groups["count"] or groups.get("both") or "")
    return 2 * number if groups.get("pairs") else number


def _count_before(
    mention: Mention, mentions: list[Mention], text: str, words: list[Word]
) -> int | None:
    """The number a few words before a thing: "two of your tall gold columns"."""
    supports = {other.start for other in mentions}
    for index in range(mention.first - 1, max(-1, mention.first - _OVER_WORDS - 1), -1):
        word, following = words[index], words[index + 1]
        gap = text[word.end : following.start]
        if (_BREAK.search(gap) and not _BEFORE_SIZE.fullmatch(gap)) or word.start in supports:
            return None
        if word.text in COUNT_WORDS:
            return _within(COUNT_WORDS[word.text] * _times(words, index) // 2)
        if word.text.rstrip("x").isdecimal():
            return _within(int(word.text.rstrip("x"))) if len(word.text) < 4 else None
        if word.text.startswith("x") and word.text[1:].isdecimal():
            return _within(int(word.text[1:4]))
        if word.text in _STOPS_COUNT:
            return None
    return None


def _times(words: list[Word], index: int) -> int:
    """How many halves of a unit: 1 of "half a dozen", 4 of "two pairs", 2 of "a pair"."""
    if words[index].text not in _UNITS:
        return 2
    before = [word.text for word in words[max(0, index - 2) : index]]
    if any(word in _HALF for word in before):
        return 1
    last = before[-1] if before else ""
    many = int(last) if last.isdecimal() and len(last) < 3 else NUMBER_WORDS.get(last, 1)
    return 2 * max(1, many)


def _within(number: int) -> int | None:
    return number if 1 <= number <= _MOST_OF_A_KIND else None


def _multiplied(mention: Mention, size: Size) -> int | None:
    return int(count_and_side(size)[0].bare) if is_times(mention.kind, size) else None
