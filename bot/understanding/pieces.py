"""What to build: the things named, how many, which size and which looks belong to which."""

import re
from dataclasses import dataclass, replace
from itertools import pairwise

from bot.understanding.binding import bind, is_below_zero, is_implausible, sized
from bot.understanding.counting import count, count_again, counts_of, is_times
from bot.understanding.looks import Look, looks_of
from bot.understanding.measures import Size
from bot.understanding.passage import TAKEN, Passage, Span
from bot.understanding.slots import Structure
from bot.understanding.supports import ARCHES, Mention, mentions_in, spans_of

_SAME_AGAIN = re.compile(
    r"\b(?:the|my|our|its|it|that|this|your|each|every|el|la|mi|nuestro|este|ese|"
    r"cada)\s(?:\w+\s)?$|\b(?:is|"
    r"are)\s(?:a\s|an\s)?$"
)
_RESTATED = re.compile(r"\(\s?(?:\w+\s){0,2}$")  # "a column for each of them (2 columns)"
_TWO_OF_A_KIND = re.compile(r"\b(?:and|plus|y|another|second|other|also|both|otr[oa])\b|[&+]")
# A plural of these without a number leaves open how many.
_COUNTABLE = frozenset({"column", "hoop", "arch_frame", "freestanding_arch", "table"})
# "(1) a hoop, (2) four columns": the figures of a list count nothing.
_LISTED = re.compile(r"(?<![\w$#])\(?(?P<n>[1-9])[.)]\s(?=[^\W\d])")


@dataclass(frozen=True, slots=True)
class Pieces:
    """`spoken` tells of each structure whether one particular piece is meant: "2 hoops"."""

    structures: tuple[Structure, ...]
    spoken: tuple[bool, ...]
    implausible: bool
    ambiguous: bool
    spans: tuple[Span, ...]


def pieces_in(
    passage: Passage,
    sizes: list[Size],
    unnamed: Structure | None = None,
    looks: tuple[Look, ...] = (),
) -> Pieces:
    """Everything to build, with its measures and looks.

    `passage` has the sizes masked; `sizes` says where they were. Where no piece is named, sizes
    and looks belong to a piece like `unnamed`, or sizes to one of kind `other`.
    """
    passage = passage.without(_list_figures(passage.folded))
    text, words = passage.folded, passage.words()
    mentions = mentions_in(passage, words)
    anchors = [mention for mention in mentions if not mention.dropped or mention.stands_for]
    if not anchors:
        nameless = _unnamed(sizes, unnamed, looks)
        return replace(nameless, spans=spans_of(mentions))
    bind(_not_of_places(sizes, mentions, text), anchors, text)
    for mention in anchors:
        count(mention, mentions, text, words)
    count_again(anchors, text)
    kept = _settled(mentions, text)
    built = [(mention, piece) for mention in kept for piece in _structures(mention, text)]
    structures = _looking(built, mentions, looks, text)
    return Pieces(
        structures,
        tuple(_particular(mention) for mention, _ in built),
        any(map(is_implausible, structures)) or is_below_zero(sizes),
        any(size.vague for mention in kept for size in mention.sizes),
        spans_of(mentions),
    )


def _not_of_places(sizes: list[Size], mentions: list[Mention], text: str) -> list[Size]:
    """ "The stage is 20 ft wide and we need columns": a place's own size is no column's."""
    if len(sizes) == 1 and not any(m.role == "product" for m in mentions):
        return sizes  # "the window is 6 ft, garland on it"
    places = [m for m in mentions if m.dropped and m.role in ("place", "spot")]
    own = [size for m in places for size in sizes if _is_size_of(size, m, mentions, text)]
    return [size for size in sizes if size not in own or _ALONG_IT.match(text, size.end)]


def _is_size_of(size: Size, place: Mention, mentions: list[Mention], text: str) -> bool:
    if not _MEASURES.fullmatch(text, place.end, max(place.end, size.start)):
        return False
    return not any(place.end < m.start < size.start for m in mentions)


# "The stage front is 32 ft, garland along it": that is the garland's.
_ALONG_IT = re.compile(
    r"[^.!?\n]{0,30}\bgarland\s(?:along|on|across|over|around|for)\s(?:it|that|there|all of it)\b"
)
_MEASURES = re.compile(
    r"\s(?:\w+\s){0,2}?(?:is|are|measures?|es|son|miden?|tiene)\s(?:about\s|like\s|only\s|"
    r"roughly\s|de\s|como\s|solo\s)?"
)


def _list_figures(text: str) -> list[Span]:
    marks = list(_LISTED.finditer(text))
    in_order = [int(mark["n"]) for mark in marks] == list(range(1, len(marks) + 1))
    return [mark.span() for mark in marks] if in_order and len(marks) > 1 else []


def _unnamed(sizes: list[Size], like: Structure | None, looks: tuple[Look, ...]) -> Pieces:
    kind, times = (like.kind, like.count) if like else ("other", 1)
    piece = replace(sized(kind, times, sizes), count=times)
    vague, below = any(size.vague for size in sizes), is_below_zero(sizes)
    if like and looks:
        piece = replace(piece, **looks_of(looks))
    elif not piece.measured:
        return Pieces((), (), below, vague, ())
    return Pieces((piece,), (like is not None,), is_implausible(piece) or below, vague, ())


def _looking(
    built: list[tuple[Mention, Structure]],
    mentions: list[Mention],
    looks: tuple[Look, ...],
    text: str,
) -> tuple[Structure, ...]:
    """Each look goes to the piece named last before it, where that is in its sentence, else to
    the one that follows."""
    pieces = [piece for _, piece in built]
    owners = [mention for mention, _ in built]
    for look in looks:
        owner = _owner_of(look, owners, mentions, text)
        for index, mention in enumerate(owners):
            if mention is owner and getattr(pieces[index], look.field) is None:
                pieces[index] = replace(pieces[index], **looks_of((look,)))
    return tuple(pieces)


def _owner_of(
    look: Look, owners: list[Mention], mentions: list[Mention], text: str
) -> Mention | None:
    if len(owners) == 1:
        return owners[0]
    named = [m for m in mentions if m.piece in owners]
    before = [m for m in named if m.start <= look.start]
    after = [m for m in named if m.start > look.start]
    if before and not re.search(r"[.;!?\n]", text[before[-1].end : look.start]):
        leads = re.search(r"[,+&]|\b(?:and|y)\b", text[before[-1].end : look.start])
        touching = after and not re.search(r"[,.;!?\n+&]", text[look.end : after[0].start])
        return after[0].piece if leads and touching else before[-1].piece
    following = after[0].piece if after else None
    return following or (before[-1].piece if before else None)


def _settled(mentions: list[Mention], text: str) -> list[Mention]:
    """The pieces that remain, each named once."""
    for mention in mentions:
        listed = text[mention.end : mention.end + 1] == ":"  # "two garlands: one for…"
        alias = mention.stands_for and not mention.dropped and not listed
        if alias and mention.count and not mention.piece.count:
            mention.piece.count = mention.count
    pieces = [m for m in mentions if not m.dropped and not m.stands_for]
    pieces = _with_rails(pieces)
    strong = [m for m in pieces if m.role != "generic"]
    kept: list[Mention] = []
    for piece in pieces:
        if piece.role == "generic" and strong and not piece.sizes:
            continue
        if piece.role == "generic" and _carried_before(piece, strong, text):
            strong[0].sizes += piece.sizes
            continue
        same = next((m for m in kept if _same(m, piece, text)), None)
        if same:
            _merge(same, piece)
        else:
            kept.append(piece)
    return _sized_alike(kept, text)


def _sized_alike(pieces: list[Mention], text: str) -> list[Mention]:
    """ "A start arch and a finish arch, both 12 ft": the size is of both."""
    kept = list(pieces)
    for first, second in pairwise(pieces):
        alike = second.sizes and not first.sizes and not second.plural
        if not alike or not _BOTH.match(text, second.end):
            continue
        if second.count == 2 and not first.count:
            kept.remove(first)  # "both" counted it with the second
        else:
            first.sizes = list(second.sizes)
    return kept


_BOTH = re.compile(r"[^.;!?\n]{0,24}\b(?:both|each|amb[oa]s|cada un[oa])\b")


def _with_rails(pieces: list[Mention]) -> list[Mention]:
    """ "A staircase garland, the railing is 16 ft": beside stairs a railing is theirs."""
    stairs = [piece for piece in pieces if piece.kind == "staircase"]
    rails = [piece for piece in pieces if _RAIL.match(piece.text) and piece.kind == "other"]
    if len(stairs) != 1 or len(rails) != 1 or (stairs[0].sizes and rails[0].sizes):
        return pieces
    _merge(stairs[0], rails[0])
    return [piece for piece in pieces if piece is not rails[0]]


_ANOTHER = re.compile(
    r"(?:\b(?:and|plus|also|y|mas|tambien)|[&+])\s(?:an?\s|una?\s)(?:[\w\0]+\s){0,2}$|"
    r"(?:\b(?:and|plus|y|mas)|[&+])\s(?:\w+\s)?$"
)
_RAIL = re.compile(r"(?:hand)?rail|barand|pasamanos")


def _carried_before(garland: Mention, strong: list[Mention], text: str) -> bool:
    """ "for our staircase we want a garland, 14 feet": the one place named first carries it."""
    if len(strong) != 1 or garland.count:
        return False
    place = strong[0]
    if _ANOTHER.search(text[place.end : garland.start]):
        return False  # "balloons on the ceiling and a 5 ft garland over the bed"
    return place.role == "place" and not place.sizes and place.end <= garland.start


def _same(first: Mention, second: Mention, text: str) -> bool:
    alike = first.kind == second.kind or {first.kind, second.kind} == ARCHES
    if {first.kind, second.kind} == ARCHES and second.text == "frame" and not first.sizes:
        return True  # "full on one side of the arch, 7 ft tall 4 ft wide frame"
    alike = alike or (second.text == "frame" and first.role == "product")
    if alike and second.text == "frame" and not second.sizes and not second.count:
        return True  # "a wedding arch, the frame is ours"
    before = text[max(0, second.start - 30) : second.start]
    bare_again = second.plural and first.plural and first.count and second.sizes and not first.sizes
    if alike and not (first.count and second.count) and (bare_again or _RESTATED.search(before)):
        return True
    if first.kind == second.kind == "other" and first.role == "product" != second.role:
        return second.role == "generic" and not second.sizes  # "bouquets, and 10 ft for the bar"
    if not alike or (first.sizes and second.sizes) or (first.count and second.count):
        return False
    if _measured_once(first, second, text):
        return True
    if second.role == "generic":
        return True
    if first.text == second.text and before.endswith("of "):  # "16 feet of banister"
        return not first.sizes
    return bool(_SAME_AGAIN.search(before.replace(TAKEN, ""))) or (
        first.text == second.text and not second.sizes
    )


def _measured_once(first: Mention, second: Mention, text: str) -> bool:
    """ "Boathouse entrance, doorway 7 by 8 ft" measures what it named before."""
    once = first.kind == second.kind != "other" and not (first.sizes and second.sizes)
    once = once and bool(first.sizes or second.sizes or second.role == "place")
    counted = first.count or second.count
    return once and not counted and not _TWO_OF_A_KIND.search(text[first.end : second.start])


def _merge(kept: Mention, again: Mention) -> None:
    kept.sizes += again.sizes
    kept.count = kept.count or again.count
    if kept.kind in ARCHES and "arch_frame" in (kept.kind, again.kind):
        kept.kind = "arch_frame"


def _structures(mention: Mention, text: str) -> list[Structure]:
    sizes, times = mention.sizes, mention.count or 1
    pairs = [s for s in sizes if len(s.measures) == 2 and not is_times(mention.kind, s)]
    lone = [size for size in sizes if len(size.measures) == 1 and not size.measures[0].axis]
    counts = counts_of(sizes, text, mention.count) if mention.plural else None
    if counts and (sum(counts) == (mention.count or sum(counts)) or counts[0] == mention.count):
        return [sized(mention.kind, many, [size]) for many, size in zip(counts, sizes, strict=True)]
    if 1 < len(lone) == len(sizes) == times:  # "two hoops, 5 ft and 6 ft"
        return [sized(mention.kind, 1, [size]) for size in lone]
    if _each_its_own(mention, times, text):
        return [sized(mention.kind, 1, [size]) for size in sizes]
    if len(pairs) > 1 and len(pairs) == len(sizes) and times in (1, len(pairs)):
        return [sized(mention.kind, 1, [pair]) for pair in pairs]
    uncounted = mention.plural and not mention.count and mention.kind in _COUNTABLE
    return [replace(sized(mention.kind, times, sizes), uncounted=uncounted)]


def _each_its_own(mention: Mention, times: int, text: str) -> bool:
    """ "3 columns 4, 5 and 6 ft tall", "a column 6 ft tall and another 4 ft tall"."""
    sizes = mention.sizes
    axes = {size.measures[0].axis for size in sizes if len(size.measures) == 1}
    if len(sizes) < 2 or len(axes - {None}) > 1 or any(len(s.measures) > 1 for s in sizes):
        return False
    listed = all(
        _LISTED_SIZES.fullmatch(text[one.end : other.start]) for one, other in pairwise(sizes)
    )
    if 2 < len(sizes) == times or (listed and mention.plural and not mention.count):
        return True
    again = (_ANOTHER_ONE.search(text[max(0, size.start - 24) : size.start]) for size in sizes[1:])
    return times == 1 and all(again)


_LISTED_SIZES = re.compile(r"\s?(?:,|,?\s?(?:and|y|&|/))\s?")
_ANOTHER_ONE = re.compile(
    r"\b(?:an?other|otr[oa]|a second|the (?:other|second))\s(?:one\s|that's\s|that is\s|thats\s|"
    r"at\s|"
    r"of\s|de\s|is\s|que sea de\s)*$"
)


def _particular(mention: Mention) -> bool:
    if mention.count or mention.sizes or not mention.plural:
        return True
    return mention.text.endswith("stairs")
