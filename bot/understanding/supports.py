"""What is named to be built, and which names are the place or another name of one piece.

A garland is carried by something. Where the support is said ("garland on the mantel") the garland
is that support's and its length is the support's; where it is not, the garland is `other`. Things
that stand by themselves (columns, hoops, frames, arches) keep their kind wherever they stand:
"columns at the entrance" is no doorway.
"""

import re
from dataclasses import dataclass, field

from bot.understanding.lexicon import SUPPORTS
from bot.understanding.measures import Size
from bot.understanding.passage import TAKEN, Passage, Phrases, Span, Word
from bot.understanding.scenery import is_not_built

LINK = re.compile(
    r"\b(?:on|onto|for|over|around|round|along|across|above|to|up|down|behind|off|in|"
    r"draped|wrapped|framing|covering|"
    r"en|sobre|para|pa|p|pal|alrededor|encima|arriba|por|a\slo\slargo|fur|auf|um|sur|autour|pour|"
    r"na|no|"
    r"su|"
    r"per)\b"
)
ARCHES = frozenset({"arch_frame", "freestanding_arch"})

_SPLIT = re.compile(r"[.;!?\n]|\b(?:and|plus|y|e|n|mas|also|then)\b|[&+]")
_STANDS_AT = re.compile(
    r"\b(?:at|by|near|beside|next to|flanking|in front of|against|outside|from|to|toward|through|"
    r"behind|junto a|al lado de|frente a|detras de|"
    r"contra|en|on each side of|either side of|both sides of|beside|"
    r"(?:sides?|ends?|corners?|lados?|foot|bottom|front|pie) (?:of|de|del))\s(?:the\s|our\s|my\s|"
    r"a\s|"
    r"each\s|la\s|el\s|una?\s)?(?:\w+\s)?$"
)
_BESIDE = re.compile(
    r"\b(?:at|by|near|beside|next to|in front of|outside|against|behind|junto a|al lado de|"
    r"frente a|detras de)\b"
)
_HANGS = re.compile(r"\b(?:from|under|underneath|beneath|desde|del|de|bajo)\b")
_ON_ARCH = re.compile(r"\b(?:on|onto|around|over|sobre|alrededor de)\b[^,.;!?\n]*$")
_WITH = re.compile(r"\s(?:with|con)\s")
_NEEDS = re.compile(
    r"\s(?:needing|needs?|with|w/|wants?|gets?|getting|con|necesitan?|lleva)\s(?:an?\s|una?\s|"
    r"some\s)?(?:\w+\s)?$"
)
_OF = re.compile(
    r"\s(?:of|off|from|at|de|d|del|desde)\s(?:the\s|our\s|my\s|each\s|la\s|las\s|el\s|los\s|mi\s)?"
)
_EACH = re.compile(r"\b(?:each|both|apiece|cada un[oa])\b")
_ON_A_FRAME = re.compile(
    r"[^,.;!?\n]{0,20}\s(?:with|con|on|en|sobre)\s(?:an?\s|the\s|una?\s|su\s|your\s)?(?:\w+\s)?"
    r"(?:base|estructura|marco|frame|stand)\b"
)
_ANOTHER_PLACE = re.compile(
    r"(?:\b(?:and|y|plus|also)|[,&+])\s(?:an?other\s|one\s|otra\s(?:de\s\S+\s)?|tambien\s|"
    r"then\s)?(?:on|en|for|"
    r"para|over|"
    r"along|down|across|in|up|sobre)\s(?:the\s|la\s|el\s|my\s|our\s|mi\s|nuestra\s)?$"
)
_CARRIES_AN_ARCH = frozenset({"arch_frame", "hoop", "doorway"})
_TABLE: Phrases[tuple[str, str]] = Phrases(
    {**{f"{name}s": value for name, value in SUPPORTS.items()}, **SUPPORTS}
)
_FOR_THE = re.compile(
    r"(?:^|[,.;:!?\n(+&-]\s?|\b(?:and|then|also|plus|y|also)\s)(?:for|at|on|in|by|para|en|"
    r"a)\s(?:the|my|our|each|la|el|las|los|mi|nuestr[oa])\s(?:\w+\s)?$"
)
_LED = re.compile(
    r"\s?(?:\([^()\n]{0,24}\)|\0+)?\s?,?\s?"
    r"(?:(?:i|we)(?:'d|d)?\s(?:would\s)?(?:really\s)?(?:like|love|want|need)\s(?:to have\s)?|"
    r"(?:maybe|just|please|quiero|queremos|necesito|quisiera)\s)?"
    r"(?:(?:an?|one|two|three|four|\d|una?|dos|tres|some|unas)\s)?(?:\0+\s?)?(?:\w+\s){0,2}"
)
EACH_NEEDS = re.compile(
    r",?\s(?:each|all|every one|cada una?)\s(?:of them\s)?(?:needs?|gets?|wants?|with|having|has|"
    r"con|"
    r"lleva)\b"
)
_LONGEST_LINK, _LONGEST_STAND = 90, 60  # characters between two names


@dataclass(slots=True, eq=False)
class Mention:
    """One name in the message; `role` as in the lexicon."""

    kind: str
    role: str
    start: int
    end: int
    first: int
    text: str
    stands_for: "Mention | None" = None  # the piece this is another name or the place of
    dropped: bool = False
    sizes: list[Size] = field(default_factory=list)
    count: int | None = None

    @property
    def piece(self) -> "Mention":
        return self.stands_for.piece if self.stands_for else self

    @property
    def plural(self) -> bool:
        head = re.split(r"\s(?:de|del|of)\s", self.text)[0]
        return head.endswith("s") and not head.endswith(("ss", "'s"))


def mentions_in(passage: Passage, words: list[Word]) -> list[Mention]:
    """Every name in the order said, linked to the piece it belongs to."""
    found = []
    for hit in _TABLE.find(words):
        kind, role = hit.value
        start, end = words[hit.first].start, words[hit.last].end
        alone = hit.first == hit.last
        if role == "nothing" or is_not_built(passage.folded, (start, end), kind, role, alone=alone):
            continue
        if kind == "freestanding_arch" and _ON_A_FRAME.match(passage.folded, end):
            kind = "arch_frame"
        if "archway" in passage.folded[start:end] and _is_in_wall(passage.folded, start, end):
            kind, role = "doorway", "place"
        found.append(Mention(kind, role, start, end, hit.first, passage.folded[start:end]))
    _link(found, passage.folded)
    return found


def _is_in_wall(text: str, start: int, end: int) -> bool:
    """Is an archway part of the house: "around our archway", "the archway to the dining room"?"""
    return bool(_IN_WALL.search(text[max(0, start - 24) : start]) or _LEADS_TO.match(text, end))


_IN_WALL = re.compile(
    r"\b(?:around|over|along|framing|frame|through|(?:has|have|got)\san?)\s(?:the\s|our\s|my\s|"
    r"an\s)?(?:\w+\s)?$"
)
_LEADS_TO = re.compile(r"\s(?:(?:that|which)\s)?(?:to|into|between|lead(?:s|ing)|going|goes)\b")


def spans_of(mentions: list[Mention]) -> tuple[Span, ...]:
    return tuple((mention.start, mention.end) for mention in mentions)


def _link(mentions: list[Mention], text: str) -> None:
    """Decides which names are places or other names of one piece."""
    for index, mention in enumerate(mentions):
        previous = _last_piece(mentions[:index])
        following = mentions[index + 1] if index + 1 < len(mentions) else None
        if following and _leads(mention, following, text):
            continue
        gap = text[previous.end : mention.start] if previous else ""
        if mention.role == "generic":
            _name_again(previous, mention, text)
            continue
        if previous and (_compounded(previous, mention, gap) or _of(previous, mention, gap)):
            continue
        if previous and previous.role == "generic":
            _carry(previous, mention, gap)
        elif previous and _led_by_place(previous, mention, gap, text):
            previous.stands_for, previous.dropped = mention, True
        elif previous:
            _stand(previous, mention, gap)
        if mention.role == "spot" and not mention.stands_for and not _garlanded(mention, mentions):
            mention.dropped = True
        _drop_place(mention, mentions, text)


def _last_piece(earlier: list[Mention]) -> Mention | None:
    return next((m for m in reversed(earlier) if not m.dropped and not m.stands_for), None)


def _name_again(previous: Mention | None, garland: Mention, text: str) -> None:
    """ "staircase garland", "two tables, garland on each": the garland of what was named."""
    if previous is None or previous.role == "generic":
        return
    gap = text[previous.end : garland.start]
    led = _NEEDS.match(gap) or _leads(previous, garland, text)
    touching = len(gap) < 2 or (previous.role == "place" and led)
    if touching or _EACH.match(text, garland.end + 1):
        garland.stands_for = previous


def _compounded(first: Mention, second: Mention, gap: str) -> bool:
    """ "arch entrance", "entrance arch", "stage columns", "stage wall": two names, one piece."""
    if gap.strip(" -") not in ("", "shaped") or "generic" in (first.role, second.role):
        return False
    if first.role != "product" and second.role != "product":
        # The last noun is the thing: a "bar wall" is a wall, a "stair railing" a staircase.
        inner, outer = (second, first) if first.kind == "staircase" else (first, second)
        inner.stands_for, inner.dropped = outer, inner is first
        if outer.role == "spot":
            outer.role = inner.role
        return True
    piece, place = (first, second) if first.role == "product" else (second, first)
    if second.role == "product" and second.text not in ("frame", "stand", "backdrop"):
        piece, place = second, first  # "a backdrop hoop" is a hoop, "a hoop frame" as well
    if piece.kind in ARCHES and place.text.startswith("door"):
        piece, place = place, piece
    place.stands_for = piece
    return True


def _of(first: Mention, second: Mention, gap: str) -> bool:
    """ "columns of the entrance", "lluvia de globos del techo", "the railing of the stairs"."""
    if not _OF.fullmatch(gap):
        return False
    if first.role == "generic" or (first.kind == "other" and first.role != "product"):
        first.stands_for = second
    elif second.role != "product" or second.kind == first.kind:
        second.stands_for, second.dropped = first, second.kind != first.kind
    else:
        return False
    return True


def _carry(garland: Mention, support: Mention, gap: str) -> None:
    """ "garland on the mantel": the mantel is the piece, the garland another name of it."""
    if TAKEN in gap and not gap.strip(f" {TAKEN}"):  # "garland 6ft table"
        garland.stands_for = support
        return
    links = list(LINK.finditer(gap)) or list(_HANGS.finditer(gap))
    apart = links and re.search(rf",|{_SPLIT.pattern}", gap[links[-1].end() :])
    if (
        links
        and not apart
        and not _SPLIT.search(gap[: links[0].start()])
        and len(gap) < _LONGEST_LINK
    ):
        garland.stands_for = support
        if support.kind == "freestanding_arch" and _ON_ARCH.search(gap):
            support.kind = "arch_frame"


def _stand(piece: Mention, place: Mention, gap: str) -> None:
    """ "columns at the entrance", "arch over the door", "the entrance with two columns"."""
    if piece.role != "product" and place.role == "product" and _WITH.match(gap):
        piece.stands_for, piece.dropped = place, True
        return
    linked = LINK.search(gap) or _STANDS_AT.search(gap)
    if not linked or _SPLIT.search(gap) or len(gap) > _LONGEST_STAND:
        return
    # An arch over a door hangs on it; an arch for an entrance stands by itself.
    on_door = place.kind != "doorway" or place.text.startswith(
        ("door", "puerta", "garage", "front")
    )
    carries = place.kind in _CARRIES_AN_ARCH and on_door
    if piece.kind in ARCHES and carries and not _BESIDE.search(gap):
        piece.stands_for = place  # "a half arch on a hoop"
    elif piece.kind == place.kind == "other" and place.role == "product":
        place.stands_for = piece  # "bouquets for centerpieces"
    elif place.role != "product" and (piece.role == "product" or _STANDS_AT.search(gap)):
        place.stands_for, place.dropped = piece, True


def _led_by_place(place: Mention, piece: Mention, gap: str, text: str) -> bool:
    """ "For the entrance I'd like two columns", "4 tables, each needs a centerpiece"."""
    if place.role == "product" or piece.role != "product":
        return False
    return _leads(place, piece, text) or bool(EACH_NEEDS.match(gap))


def _leads(place: Mention, piece: Mention, text: str) -> bool:
    """Opens the place a clause whose piece follows: "…, for the main table a garland"?"""
    if place.role != "place" or piece.role not in ("product", "generic"):
        return False
    before = _FOR_THE.search(text[max(0, place.start - 30) : place.start])
    return bool(before and _LED.fullmatch(text[place.end : piece.start]))


_OWN_SIZE = re.compile(r"\s(?:de\s|of\s)?\(?\0")


def _is_room_height(ceiling: Mention, before: str, text: str) -> bool:
    """ "8 foot ceilings", "our ceiling is 9 ft": how high the room is."""
    if _HIGH.search(before):
        return True
    if LINK.search(before[-14:]) or _HANGS.search(before[-12:]):
        return False
    return ceiling.plural or bool(_HEIGHT_IS.match(text, ceiling.end))


# "A 9 ft high ceiling", "techo de 3 m de alto": the size is masked.
_HIGH = re.compile(r"(?<!of )\0[\s-](?:high |tall )?$|\b(?:high|low|vaulted|tall)\s$")


_HEIGHT_IS = re.compile(r"\s(?:height\s)?(?:is|are|mide|es|esta a)\s\S*\0|\sheight\b")


def _garlanded(mention: Mention, mentions: list[Mention]) -> bool:
    return any(other.stands_for is mention for other in mentions)


def _drop_place(mention: Mention, mentions: list[Mention], text: str) -> None:
    """ "against the wall" is where, not what, once something else is to be built."""
    if mention.role != "place" or mention.stands_for or _garlanded(mention, mentions):
        return
    before = text[max(0, mention.start - 30) : mention.start]
    if mention.kind == "ceiling" and _is_room_height(mention, before, text):
        mention.dropped = True
    others = [m for m in mentions if m is not mention and not m.dropped and m.role != "spot"]
    if _OWN_SIZE.match(text, mention.end) and not any(m.start < mention.start for m in others):
        return  # "globos en el techo de 10 m y 4 columnas"
    if _ANOTHER_PLACE.search(before):
        return
    if others and _STANDS_AT.search(before) and not re.search(r"\b(?:to|en)\s\S*$", before):
        mention.dropped = True
