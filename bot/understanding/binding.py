"""Which size belongs to which piece, and to which of its sides."""

import re
from collections.abc import Iterable
from dataclasses import replace

from bot.understanding.counting import count_and_side, is_times
from bot.understanding.measures import Measure, Size
from bot.understanding.passage import TAKEN
from bot.understanding.slots import Structure
from bot.understanding.supports import LINK, Mention

_AND = re.compile(r"[,;.!?\n&+]|\b(?:and|plus|y|e|n|with|con)\b")
_FOR_THE = re.compile(
    r"\s(?:of\s(?:\w+\s)?(?:garland|balloons)\s)?(?:for|on|across|along|over|around|up|down|para|"
    r"pa|en|sobre|por)\s(?:the|my|our|each|a|la|el|las|los|mi|una?)\s(?:\w+\s){0,2}"
)
# What else has a size: the room it stands in, a person, a way to go.
_OF_ROOM_BEFORE = re.compile(
    r"(?<!\bat )(?<!\bin )(?<!\bof )(?<!\bto )(?<!\bde )(?<!\bdel )(?<!\bat the )(?<!\bin the )"
    r"(?<!\bof the )(?<!\bat our )(?<!\bin our )(?<!\bat my )(?<!\bin my )(?<!\bde la )(?<!\ben "
    r"la )"
    r"(?<!\ben el )\b(?:rooms?|hall|space|venue|yard|backyard|patio|ceiling|garage|tent|lawn|"
    r"salon|cuarto|espacio|gym|"
    r"area|dance floor|ceilings|techos?|ladder|i'?m|im|he'?s|she'?s|he is|she is|parking|"
    r"ceiling height|(?:height|width|size) (?:limit|restriction)|altura maxima)\s(?:is\s|are\s|"
    r"was\s|measures\s|only\s|about\s|like\s|es\s|mide\s|"
    r"son\s|miden\s|de\s|tiene\s|esta\sa\s|around\s){1,3}$"
)
_MOST = re.compile(r"\b(?:max|maximum|maxima?)\s$")
_OF_ROOM_AFTER = re.compile(
    r"\s(?:\w+\s)?(?:rooms?|hall|space|yard|backyard|tent|ceilings|lawn|away|from|apart|"
    r"deep|off the (?:ground|floor)|extension|cord|ladder|numbers?|letters?|truck|trailer|van|"
    r"clearance|"
    r"ceiling(?!\s(?:garland|drop|install\w*|balloons?|piece|swag|decor))|"
    r"de distancia|del suelo|de profundidad|de fondo)\b"
)
_OF_BALLOONS = re.compile(
    r"\s(?:(?!con\b|with\b|of\b|and\b|y\b|de\b)\w+\s){0,2}(?:balloons|ballons|latex|foils?|mylar|"
    r"globos|ones)\b|\s?sized?\b"
)
_BALLOONS_OF = re.compile(r"\b(?:balloons|globos|foils?|mylar)\s(?:\w+\s)?(?:de\s|of\s|in\s)?$")
_LARGEST_BALLOON_M = 1.0
_RUNS = frozenset({"mantel", "table", "ceiling", "swag", "other", "wall"})
# Where a lone figure belongs when the client does not say which way it runs.
_LONE_AXIS = {
    "arch_frame": "width",
    "freestanding_arch": "width",
    "doorway": "width",
    "hoop": "width",
    "column": "height",
}
# Above or below these a size is more likely a slip than a wish [m].
_TALLEST_M = {"column": 12.0, "arch_frame": 12.0, "freestanding_arch": 12.0}
_WIDEST_M = {"hoop": 8.0, "mantel": 15.0, "arch_frame": 20.0}
_USUAL_TALLEST_M, _USUAL_WIDEST_M, _LONGEST_M, _SMALLEST_M = 12.0, 40.0, 100.0, 0.25


def of_pieces(sizes: Iterable[Size], text: str) -> list[Size]:
    """The sizes that may be a piece's: not a room's, a person's or one balloon's."""
    return [size for size in sizes if not _of_something_else(size, text)]


def _of_something_else(size: Size, text: str) -> bool:
    before = text[max(0, size.start - 40) : size.start]
    ends = text[size.end - 1] == "."  # "6ft. deep teal" begins a sentence
    if _OF_ROOM_BEFORE.search(before) or (not ends and _OF_ROOM_AFTER.match(text, size.end)):
        return True
    if _MOST.search(before) and text[size.start].isalpha():
        return True  # "the max height is 7 ft"
    small = all(0 < measure.metres <= _LARGEST_BALLOON_M for measure in size.measures)
    return (
        len(size.measures) == 1
        and small
        and bool(_OF_BALLOONS.match(text, size.end) or _BALLOONS_OF.search(before))
    )


def bind(sizes: Iterable[Size], anchors: list[Mention], text: str) -> None:
    """Gives each size to its piece."""
    for size in sizes:
        owner = _owner(size, anchors, text)
        if owner:
            _take_back(owner.piece, size, text)
            owner.piece.sizes.append(_of_garland(size) if owner.role == "generic" else size)


# "30 ft no wait 20 ft": the size said last counts.
_MENDED = re.compile(
    r"\b(?:no,? wait|wait|actually|i mean|i meant|sorry|scratch that|make (?:that|it)|correction|"
    r"nope|now (?:its|it's|it is|we need|we want|make it)|jk|just kidding|lol no|hold on|my bad|"
    r"typo|rather|whoops|"
    r"no,|no sorry|or rather|perdon|digo|quise decir|en realidad|mejor|nono|oops|ups)(?=\W)"
)


# "4 ft each side so 8 ft"
_SUM = re.compile(
    r"[^.;!?\n]{0,24}\b(?:so|o sea|makes?)\s(?:thats\s|that's\s|its\s|about\s|like\s)?"
)
# "Top 6 ft, side 7 ft, so 13 ft total"
_IN_ALL = re.compile(r"\s(?:total|in total|in all|altogether|all together|en total)\b")
_SAID_BEFORE = re.compile(
    r"\b(?:i said|we said|told (?:you|u)|i thought|i put|it was|dije|habia dicho|era|"
    r"eran)\s(?:it was\s|it's\s|"
    r"about\s|que\s|de\s)?$"
)


def _take_back(piece: Mention, size: Size, text: str) -> None:
    last = piece.sizes[-1] if piece.sizes else None
    if last is None or last.end > size.start:
        return
    before = text[max(0, last.start - 24) : last.start]
    gap = text[last.end : size.start]
    mended = _MENDED.search(gap) or _SUM.fullmatch(gap) or _IN_ALL.match(text, size.end)
    if mended or _SAID_BEFORE.search(before):
        piece.sizes.clear()


def _owner(size: Size, anchors: list[Mention], text: str) -> Mention | None:
    """The piece a size belongs to: the one it stands right before, else the last one named."""
    following = next((m for m in anchors if m.start >= size.end), None)
    earlier = [m for m in anchors if m.end <= size.start]
    before = earlier[-1] if earlier else None
    if following is None or before is None:
        return following or before
    gap = text[size.end : following.start]
    if _FOR_THE.fullmatch(gap) and _AND.search(text[before.end : size.start]):
        return following
    if not _AND.search(gap) and len(gap.replace(TAKEN, "").split()) <= 4 and not LINK.search(gap):
        if before.piece is not following.piece and _trails(before, size, text):
            return before
        return following
    return before


def _of_garland(size: Size) -> Size:
    """A lone figure beside the garland itself is the garland's length, whatever carries it."""
    if len(size.measures) == 1 and size.measures[0].axis is None:
        return replace(size, measures=(replace(size.measures[0], axis="length"),))
    return size


def _trails(before: Mention, size: Size, text: str) -> bool:
    """ "columns 7 ft hoop 5 ft": sizes follow their things, as the first one did."""
    gap = text[before.end : size.start]
    return not before.piece.sizes and not re.search(r"[^\s:(\0-]", gap)


def as_structure(kind: str, sizes: list[Size]) -> Structure:
    """One structure of a kind with the sizes given; for answers to a question about size."""
    piece = sized(kind, 1, sizes)
    said = {measure.axis for size in sizes for measure in size.measures}
    if kind == "other" and said == {"width"}:
        # Of what, only the conversation knows: "10 ft wide" stays a width.
        return replace(piece, width_m=piece.length_m, length_m=None)
    return piece


def sized(kind: str, count: int, sizes: list[Size]) -> Structure:
    if kind == "hoop" and _is_oblong(sizes):
        kind = "arch_frame"  # "a round frame 4 ft wide and 7 ft tall" is round at its top
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


def _is_oblong(sizes: list[Size]) -> bool:
    """Plainly wider than tall, or taller than wide: beyond what a hoop's stand adds."""
    said = [measure for size in sizes if not size.vague for measure in size.measures]
    if len(said) != 2 or (len(sizes) == 1 and is_times("hoop", sizes[0])):
        return False
    axes = {measure.axis for measure in said}
    low, high = sorted(measure.metres for measure in said)
    apart = axes == {"width", "height"} or (len(sizes) == 1 and "diameter" not in axes)
    return apart and high > _STANDS_TALLER * low


_STANDS_TALLER = 1.1


def _axes(kind: str, size: Size) -> list[tuple[str, float]]:
    if is_times(kind, size):
        return [(_LONE_AXIS[kind], count_and_side(size)[1].metres)]
    if len(size.measures) == 1:
        only = size.measures[0]
        return [(_axis(kind, only) or _LONE_AXIS.get(kind, "length"), only.metres)]
    first, second = size.measures
    axis_a, axis_b = _axis(kind, first), _axis(kind, second)
    if axis_a is None and axis_b is None:
        axis_a, axis_b = _both_axes(kind, first, second)
    return [
        (axis_a or _other(axis_b), first.metres),
        (axis_b or _other(axis_a), second.metres),
    ]


def _both_axes(kind: str, first: Measure, second: Measure) -> tuple[str, str]:
    """Width by height; but a table is as long as its longer side, a column as tall."""
    long_first = first.metres >= second.metres
    if kind == "table":
        return ("length", "width") if long_first else ("width", "length")
    if kind == "column":
        return ("height", "width") if long_first else ("width", "height")
    return "width", "height"


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


def is_implausible(piece: Structure) -> bool:
    tallest = _TALLEST_M.get(piece.kind, _USUAL_TALLEST_M)
    widest = _WIDEST_M.get(piece.kind, _USUAL_WIDEST_M)
    longest = min(widest, _LONGEST_M) if piece.kind in _WIDEST_M else _LONGEST_M
    limits = ((piece.width_m, widest), (piece.height_m, tallest), (piece.length_m, longest))
    return any(side is not None and not _SMALLEST_M <= side <= limit for side, limit in limits)


def is_below_zero(sizes: Iterable[Size]) -> bool:
    return any(measure.metres <= 0 for size in sizes for measure in size.measures)
