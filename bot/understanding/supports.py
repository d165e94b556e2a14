"""What to build: the things named, how many, and which size belongs to which.

A garland is carried by something. Where the support is said ("garland on the mantel") the garland
is that support's and its length is the support's; where it is not, the garland is `other`. Things
that stand by themselves (columns, hoops, frames, arches) keep their kind wherever they stand:
"columns at the entrance" is no doorway.
"""

import re
from dataclasses import dataclass, field, replace

from bot.understanding.lexicon import NUMBER_WORDS, SUPPORTS
from bot.understanding.lexicon.wordlist import listed
from bot.understanding.measures import Measure, Size
from bot.understanding.passage import TAKEN, Passage, Phrases, Word
from bot.understanding.slots import Structure

_LINKS = r"""on|onto|for|over|around|along|across|above|to|up|down|behind|off|onto|draped|wrapped
    |framing|
    en|sobre|para|alrededor|encima|por|a\slo\slargo|fur"""
_LINK = re.compile(rf"\b(?:{_LINKS})\b", re.VERBOSE)
_SPLIT = re.compile(r"[.;!?\n]|\b(?:and|plus|y|e|n|mas|also|then)\b|[&+]")
_AND = re.compile(r"[,;.!?\n&+]|\b(?:and|plus|y|e|n|with|con)\b")
_STANDS_AT = re.compile(
    r"\b(?:at|by|near|beside|next to|flanking|in front of|against|outside|from|to|toward|through|"
    r"behind|junto a|al lado de|frente a|"
    r"contra|en|on each side of|either side of|beside)\s(?:the\s|our\s|my\s|a\s|each\s|la\s|el\s|"
    r"una?\s)?(?:\w+\s)?$"
)
_BESIDE = re.compile(
    r"\b(?:at|by|near|beside|next to|in front of|outside|against|junto a|al lado de|frente a)\b"
)
_ON_ARCH = re.compile(r"\b(?:on|onto|around|over|sobre|alrededor de)\b[^,.;!?\n]*$")
_SAME_AGAIN = re.compile(
    r"\b(?:the|my|our|its|it|that|this|your|el|la|mi|nuestro|este|ese)\s(?:\w+\s)?$|\b(?:is|"
    r"are)\s(?:a\s|an\s)?$"
)
_COMPARED = re.compile(
    r"\b(?:(?:as|like|size of|tan \w+ como)\s(?:a|an|the|una?|el|la|my|our)?\s?|kind of |type of |"
    r"no |without (?:a |the )?|sin |not a )$"
)
_DOORS_OPEN = re.compile(rf"doors\s?(?:{TAKEN}|open)")
# Words that say how many there are.
COUNT_WORDS = {**NUMBER_WORDS, "couple": 2, "pair": 2, "par": 2, "duo": 2, "trio": 3, "dozen": 12}
_COUNT_AFTER = re.compile(
    r"\s?(?:x\s?(?P<x>\d{1,2})\b|\((?P<in>\d{1,2})\)|(?P<pair>pair)\b|"
    r":\s?(?P<colon>\d{1,2})\b(?!\s?[x'/.\d]))"
)
_FLANKING = re.compile(r"\s(?:\S+\s){0,2}?(?:on|at) (?:each|either|both) (?:side|end)s?\b")
_OF_THEM = re.compile(
    rf"\b(?P<count>\d{{1,2}}|{'|'.join(NUMBER_WORDS)})\sof\s(?:them|those|these)\b"
)
_COUNT_OF_SIZE = re.compile(
    rf"^[^.;!?\n]{{0,24}}?\b(?P<count>\d{{1,2}}|{'|'.join(NUMBER_WORDS)})\s(?:x\s)?$"
)
_MOST_OF_A_KIND = 60
_TWO_OF_A_KIND = re.compile(r"\b(?:and|plus|y|another|second|other|also|both|otr[oa])\b|[&+]")
# A plural of these without a number leaves open how many.
_COUNTABLE = frozenset({"column", "hoop", "arch_frame", "freestanding_arch", "table"})
_TWO_ITEMS = re.compile(r"\b(?:each|both|apiece|cada un[oa])\b")

_WITH = re.compile(r"\s(?:with|con)\s")
_CARRIES_AN_ARCH = frozenset({"arch_frame", "hoop", "doorway"})
_ARCHES = frozenset({"arch_frame", "freestanding_arch"})
# Where a lone figure belongs when the client does not say which way it runs.
_LONE_AXIS = {
    "arch_frame": "height",
    "freestanding_arch": "width",
    "doorway": "width",
    "hoop": "width",
    "column": "height",
}
_RUNS = frozenset({"mantel", "table", "ceiling", "swag", "other", "wall"})
_TABLE: Phrases[tuple[str, str]] = Phrases(
    {
        **{f"{name}s": value for name, value in SUPPORTS.items()},
        **SUPPORTS,
    }
)

# Above or below these a size is more likely a slip than a wish [m].
TALLEST_M = 12.0
WIDEST_M = 40.0
LONGEST_M = 100.0
SMALLEST_M = 0.25


@dataclass(slots=True)
class _Mention:
    kind: str
    role: str
    start: int
    end: int
    first: int
    text: str
    stands_for: "_Mention | None" = None  # the piece this is another name or the place of
    dropped: bool = False
    sizes: list[Size] = field(default_factory=list)
    count: int | None = None

    @property
    def piece(self) -> "_Mention":
        return self.stands_for.piece if self.stands_for else self


@dataclass(frozen=True, slots=True)
class Pieces:
    structures: tuple[Structure, ...]
    spoken: tuple[
        bool, ...
    ]  # for each, whether one particular piece is meant: "an arch", "2 hoops"
    implausible: bool
    ambiguous: bool
    spans: tuple[tuple[int, int], ...]


def pieces_in(passage: Passage, sizes: list[Size], unnamed: Structure | None = None) -> Pieces:
    """Everything to build, with its measures.

    `passage` has the sizes masked; `sizes` says where they were. Where no piece is named, sizes
    belong to a piece like `unnamed`, or to one of kind `other`.
    """
    words = passage.words()
    mentions = _mentions(passage, words)
    _link(mentions, passage.folded)
    anchors = [mention for mention in mentions if not mention.dropped or mention.stands_for]
    if not anchors and sizes:
        return _unnamed(sizes, unnamed)
    for size in sizes:
        owner = _owner(size, anchors, passage.folded)
        if owner:
            owner.piece.sizes.append(_of_garland(size) if owner.role == "generic" else size)
    for mention in anchors:
        _count(mention, mentions, passage.folded, words)
    _count_of_them(anchors, passage.folded)
    pieces = _settled(mentions, passage.folded)
    structures = [piece for mention in pieces for piece in _structures(mention)]
    owned = [size for mention in pieces for size in mention.sizes]
    return Pieces(
        tuple(structures),
        tuple(_particular(mention) for mention in pieces for _ in _structures(mention)),
        any(map(_implausible, structures)) or _below_zero(sizes),
        any(size.vague for size in owned),
        tuple((mention.start, mention.end) for mention in mentions),
    )


def count_of_them(passage: Passage) -> tuple[int | None, list[tuple[int, int]]]:
    """ "Two of them", said of what the conversation knows, and where."""
    said = _OF_THEM.search(passage.folded)
    return (_said_count(said), [said.span()]) if said else (None, [])


def as_structure(kind: str, sizes: list[Size]) -> Structure:
    """One structure of a kind with the sizes given; for answers to a question about size."""
    piece = _sized(kind, 1, sizes)
    said = {measure.axis for size in sizes for measure in size.measures}
    if kind == "other" and said == {"width"}:
        # Of what, only the conversation knows: "10 ft wide" stays a width.
        return replace(piece, width_m=piece.length_m, length_m=None)
    return piece


def _unnamed(sizes: list[Size], like: Structure | None) -> Pieces:
    kind, count = (like.kind, like.count) if like else ("other", 1)
    piece = replace(_sized(kind, count, sizes), count=count)
    vague = any(size.vague for size in sizes)
    if not piece.measured:
        return Pieces((), (), _below_zero(sizes), vague, ())
    return Pieces(
        (piece,), (like is not None,), _implausible(piece) or _below_zero(sizes), vague, ()
    )


def _mentions(passage: Passage, words: list[Word]) -> list[_Mention]:
    found = []
    for hit in _TABLE.find(words):
        kind, role = hit.value
        start, end = words[hit.first].start, words[hit.last].end
        if _DOORS_OPEN.match(passage.folded, start):
            continue
        if role != "nothing" and not _COMPARED.search(passage.folded[max(0, start - 24) : start]):
            text = passage.folded[start:end]
            found.append(_Mention(kind, role, start, end, hit.first, text))
    return found


def _link(mentions: list[_Mention], text: str) -> None:
    """Decides which names are places or other names of one piece."""
    for index, mention in enumerate(mentions):
        previous = _last_piece(mentions[:index])
        gap = text[previous.end : mention.start] if previous else ""
        if mention.role == "generic":
            each = _TWO_ITEMS.match(text, mention.end + 1)
            touching = previous is not None and previous.end + 1 >= mention.start
            if previous and previous.role != "generic" and (touching or each):
                mention.stands_for = previous
            continue
        if previous and _compounded(previous, mention, gap):
            continue
        if previous and previous.role == "generic":
            _carry(previous, mention, gap)
        elif previous:
            _stand(previous, mention, gap)
        if mention.role == "spot" and not mention.stands_for and not _garlanded(mention, mentions):
            mention.dropped = True
        _drop_place(mention, mentions, text)


def _compounded(first: _Mention, second: _Mention, gap: str) -> bool:
    """ "arch entrance", "entrance arch", "stage columns": two names, one piece."""
    if gap.strip(" -") not in ("", "shaped") or "generic" in (first.role, second.role):
        return False
    if first.role != "product" and second.role != "product":
        return False
    piece, place = (first, second) if first.role == "product" else (second, first)
    if second.role == "product" and second.text not in ("frame", "stand", "backdrop"):
        piece, place = second, first  # "a backdrop hoop" is a hoop, "a hoop frame" as well
    if piece.kind in _ARCHES and place.text.startswith("door"):
        piece, place = place, piece
    place.stands_for = piece
    return True


def _last_piece(earlier: list[_Mention]) -> _Mention | None:
    return next((m for m in reversed(earlier) if not m.dropped and not m.stands_for), None)


def _carry(garland: _Mention, support: _Mention, gap: str) -> None:
    """ "garland on the mantel": the mantel is the piece, the garland another name of it."""
    if TAKEN in gap and not gap.strip(f" {TAKEN}"):  # "garland 6ft table"
        garland.stands_for = support
        return
    linked = _LINK.search(gap)
    if linked and not _SPLIT.search(gap[: linked.start()]) and len(gap) < 90:
        garland.stands_for = support
        if support.kind == "freestanding_arch" and _ON_ARCH.search(gap):
            support.kind = "arch_frame"


def _stand(piece: _Mention, place: _Mention, gap: str) -> None:
    """ "columns at the entrance", "arch over the door", "the entrance with two columns"."""
    if piece.role != "product" and place.role == "product" and _WITH.match(gap):
        piece.stands_for, piece.dropped = place, True
        return
    linked = _LINK.search(gap) or _STANDS_AT.search(gap)
    if not linked or _SPLIT.search(gap) or len(gap) > 60:
        return
    if piece.kind in _ARCHES and place.kind in _CARRIES_AN_ARCH and not _BESIDE.search(gap):
        piece.stands_for = place  # "a half arch on a hoop"
    elif piece.kind == place.kind == "other" and place.role == "product":
        place.stands_for = piece  # "bouquets for centerpieces"
    elif place.role != "product" and (piece.role == "product" or _STANDS_AT.search(gap)):
        place.stands_for, place.dropped = piece, True


def _garlanded(mention: _Mention, mentions: list[_Mention]) -> bool:
    return any(other.stands_for is mention for other in mentions)


def _drop_place(mention: _Mention, mentions: list[_Mention], text: str) -> None:
    """ "against the wall" is where, not what, once something else is to be built."""
    if mention.role != "place" or mention.stands_for or _garlanded(mention, mentions):
        return
    before = text[max(0, mention.start - 30) : mention.start]
    others = [m for m in mentions if m is not mention and not m.dropped and m.role != "spot"]
    if others and _STANDS_AT.search(before) and not re.search(r"\b(?:to|en)\s\S*$", before):
        mention.dropped = True


def _owner(size: Size, anchors: list[_Mention], text: str) -> _Mention | None:
    """The piece a size belongs to: the one it stands right before, else the last one named."""
    following = next((m for m in anchors if m.start >= size.end), None)
    earlier = [m for m in anchors if m.end <= size.start]
    before = earlier[-1] if earlier else None
    if following is None or before is None:
        return following or before
    gap = text[size.end : following.start]
    if not _AND.search(gap) and len(gap.replace(TAKEN, "").split()) <= 4 and not _LINK.search(gap):
        if before.piece is not following.piece and _trails(before, size, text):
            return before
        return following
    return before


def _of_garland(size: Size) -> Size:
    """A lone figure beside the garland itself is the garland's length, whatever carries it."""
    if len(size.measures) == 1 and size.measures[0].axis is None:
        return replace(size, measures=(replace(size.measures[0], axis="length"),))
    return size


def _trails(before: _Mention, size: Size, text: str) -> bool:
    """ "columns 7 ft hoop 5 ft": sizes follow their things, as the first one did."""
    gap = text[before.end : size.start]
    return not before.piece.sizes and not re.search(r"[^\s:(\0-]", gap)


def _count(mention: _Mention, mentions: list[_Mention], text: str, words: list[Word]) -> None:
    after = _COUNT_AFTER.match(text, mention.end)
    if _FLANKING.match(text, mention.end):
        mention.count = _count_before(mention, mentions, text, words) or 2
    elif after:
        said = after["x"] or after["in"] or after["colon"]
        mention.count = int(said) if said else 2
    else:
        mention.count = _count_before(mention, mentions, text, words)
    for size in mention.sizes:
        again = _COUNT_AFTER.match(text, size.end)  # "frame 4x7 x2"
        times = int(again["x"]) if again and again["x"] else None
        mention.count = mention.count or times or _multiplied(mention, size)
        mention.count = mention.count or _count_beside(mention, size, text)


def _count_beside(mention: _Mention, size: Size, text: str) -> int | None:
    """ "columns please, two 6 ft": the number stands right before the size."""
    said = (
        _COUNT_OF_SIZE.search(text[mention.end : size.start]) if mention.end < size.start else None
    )
    return _said_count(said) if said and mention.text.endswith("s") else None


def _count_of_them(anchors: list[_Mention], text: str) -> None:
    """ "6 foot columns in team colors. 4 of them"."""
    for said in _OF_THEM.finditer(text):
        earlier = [mention for mention in anchors if mention.end <= said.start()]
        if earlier and not earlier[-1].piece.count:
            earlier[-1].piece.count = _within(_said_count(said))


def _said_count(said: re.Match[str]) -> int:
    count = said["count"]
    return int(count) if count.isdecimal() else COUNT_WORDS[count]


def _count_before(
    mention: _Mention, mentions: list[_Mention], text: str, words: list[Word]
) -> int | None:
    """The number a few words before a thing: "two of your tall gold columns"."""
    supports = {other.start for other in mentions}
    for index in range(mention.first - 1, max(-1, mention.first - 7), -1):
        word, following = words[index], words[index + 1]
        if _BREAK.search(text[word.end : following.start]) or word.start in supports:
            return None
        if word.text in COUNT_WORDS:
            return _within(COUNT_WORDS[word.text])
        if word.text.isdecimal():
            return _within(int(word.text)) if len(word.text) < 4 else None
        if word.text in _STOPS_COUNT:
            return None
    return None


_BREAK = re.compile(r"[,;.!?\n&+]")
_STOPS_COUNT = listed("and y for with the on at my our is are to in plus number para con el la del")


def _within(count: int) -> int | None:
    return count if 1 <= count <= _MOST_OF_A_KIND else None


def _multiplied(mention: _Mention, size: Size) -> int | None:
    """ "2 x 6ft columns" is two columns, not a column two wide."""
    if _is_times(mention.kind, size):
        return int(_count_and_side(size)[0].bare)
    return None


def _is_times(kind: str, size: Size) -> bool:
    if kind not in ("column", "hoop") or len(size.measures) != 2:
        return False
    counted, side = _count_and_side(size)
    small = counted.bare.is_integer() and 1 <= counted.bare <= 12
    return counted.axis is None and small and side.has_unit and not counted.has_unit


def _count_and_side(size: Size) -> tuple[Measure, Measure]:
    """In "2 x 6 ft" as in "6 ft x 2" the figure without a unit is the count."""
    first, second = size.measures
    return (second, first) if first.has_unit else (first, second)


def _settled(mentions: list[_Mention], text: str) -> list[_Mention]:
    """The pieces that remain, each named once."""
    for mention in mentions:
        listed = text[mention.end : mention.end + 1] == ":"  # "two garlands: one for…"
        alias = mention.stands_for and not mention.dropped and not listed
        if alias and mention.count and not mention.piece.count:
            mention.piece.count = mention.count
    pieces = [m for m in mentions if not m.dropped and not m.stands_for]
    strong = [m for m in pieces if m.role != "generic"]
    kept: list[_Mention] = []
    for piece in pieces:
        if piece.role == "generic" and strong and not piece.sizes:
            continue
        if piece.role == "generic" and _carried_before(piece, strong):
            strong[0].sizes += piece.sizes
            continue
        same = next((m for m in kept if _same(m, piece, text)), None)
        if same:
            _merge(same, piece)
        else:
            kept.append(piece)
    return kept


def _carried_before(garland: _Mention, strong: list[_Mention]) -> bool:
    """ "for our staircase we want a garland, 14 feet": the one place named first carries it."""
    if len(strong) != 1 or garland.count:
        return False
    place = strong[0]
    return place.role == "place" and not place.sizes and place.end <= garland.start


def _same(first: _Mention, second: _Mention, text: str) -> bool:
    alike = first.kind == second.kind or {first.kind, second.kind} == _ARCHES
    if {first.kind, second.kind} == _ARCHES and second.text == "frame" and not first.sizes:
        return True  # "full on one side of the arch, 7 ft tall 4 ft wide frame"
    alike = alike or (second.text == "frame" and first.role == "product")
    if not alike or (first.sizes and second.sizes) or (first.count and second.count):
        return False
    if _measured_once(first, second, text):
        return True
    if second.role == "generic":
        return True
    before = text[max(0, second.start - 30) : second.start]
    if first.text == second.text and before.endswith("of "):  # "16 feet of banister"
        return not first.sizes
    return bool(_SAME_AGAIN.search(before.replace(TAKEN, ""))) or (
        first.text == second.text and not second.sizes
    )


def _measured_once(first: _Mention, second: _Mention, text: str) -> bool:
    """ "Boathouse entrance, doorway 7 by 8 ft" measures what it named before."""
    once = first.kind == second.kind != "other" and bool(first.sizes) != bool(second.sizes)
    counted = first.count or second.count
    return once and not counted and not _TWO_OF_A_KIND.search(text[first.end : second.start])


def _merge(kept: _Mention, again: _Mention) -> None:
    kept.sizes += again.sizes
    kept.count = kept.count or again.count
    if kept.kind in _ARCHES and "arch_frame" in (kept.kind, again.kind):
        kept.kind = "arch_frame"


def _structures(mention: _Mention) -> list[Structure]:
    pairs = [
        size
        for size in mention.sizes
        if len(size.measures) == 2 and not _is_times(mention.kind, size)
    ]
    count = mention.count or 1
    lone = [size for size in mention.sizes if len(size.measures) == 1 and not size.measures[0].axis]
    if 1 < len(lone) == len(mention.sizes) == count:  # "two hoops, 5 ft and 6 ft"
        return [_sized(mention.kind, 1, [size]) for size in lone]
    if len(pairs) > 1 and len(pairs) == len(mention.sizes) and count in (1, len(pairs)):
        return [_sized(mention.kind, 1, [pair]) for pair in pairs]
    plural = mention.text.endswith("s") and not mention.count and mention.kind in _COUNTABLE
    return [replace(_sized(mention.kind, count, mention.sizes), uncounted=plural)]


def _sized(kind: str, count: int, sizes: list[Size]) -> Structure:
    sides: dict[str, float] = {}
    for size in sizes:
        if not size.vague:
            for axis, metres in _axes(kind, size):
                sides.setdefault(axis, metres)
    if kind in _RUNS and "width" in sides and "height" not in sides and "length" not in sides:
        sides["length"] = sides.pop("width")
    return Structure(
        kind=kind,
        count=count,
        width_m=sides.get("width"),
        height_m=sides.get("height"),
        length_m=sides.get("length"),
    )


def _axes(kind: str, size: Size) -> list[tuple[str, float]]:
    if _is_times(kind, size):
        return [(_LONE_AXIS[kind], _count_and_side(size)[1].metres)]
    if len(size.measures) == 1:
        only = size.measures[0]
        return [(_axis(kind, only) or _LONE_AXIS.get(kind, "length"), only.metres)]
    first, second = size.measures
    axis_a, axis_b = _axis(kind, first), _axis(kind, second)
    if axis_a is None and axis_b is None:
        axis_a, axis_b = "width", "height"
    return [
        (axis_a or _other(axis_b), first.metres),
        (axis_b or _other(axis_a), second.metres),
    ]


def _axis(kind: str, measure: Measure) -> str | None:
    if measure.axis is None:
        return None
    if kind == "hoop" or measure.axis == "diameter":
        return "width"
    if kind == "column" and measure.axis == "length":
        return "height"
    return measure.axis


def _other(axis: str | None) -> str:
    return "height" if axis in ("width", "length") else "width"


def _particular(mention: _Mention) -> bool:
    if mention.count or mention.sizes or not mention.text.endswith("s"):
        return True
    return mention.text.endswith("stairs")


def _implausible(piece: Structure) -> bool:
    limits = ((piece.width_m, WIDEST_M), (piece.height_m, TALLEST_M), (piece.length_m, LONGEST_M))
    return any(side is not None and not SMALLEST_M <= side <= limit for side, limit in limits)


def _below_zero(sizes: list[Size]) -> bool:
    return any(measure.metres <= 0 for size in sizes for measure in size.measures)
