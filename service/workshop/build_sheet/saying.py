"""How a build sheet is said, on paper and on a screen."""

from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime
from itertools import groupby
from operator import attrgetter

from service.leads import words
from service.workshop.build_sheet.progress import Boxes
from service.workshop.build_sheet.values import (
    BuildSheet,
    Held,
    Letter,
    PieceSheet,
    Step,
    Stretch,
    Total,
)

_ROW = 10
"""Clusters beside one another that an eye finds its place among."""


@dataclass(frozen=True, kw_only=True, slots=True)
class Line:
    """A line of the recipe: clusters beside one another; `times` over, said where they end.

    `span` are the numbers that its boxes are for: of the whole step where it repeats, else of the
    line. `numbers` are the same where they are to be read: once for each step.
    """

    numbers: str
    span: str
    letters: tuple[str, ...]
    times: int
    ends: bool


def lines_of(step: Step) -> Sequence[Line]:
    """A step in lines that are no longer than an eye takes in."""
    repeats = step.times > 1
    lines = []
    for start in range(0, len(step.letters), _ROW):
        letters = step.letters[start : start + _ROW]
        ends = start + _ROW >= len(step.letters)
        first = step.first + start
        last = step.last if repeats else first + len(letters) - 1
        span = _span(step.first if repeats else first, last)
        lines.append(
            Line(
                numbers="" if repeats and start else span,
                span=span,
                letters=letters,
                times=step.times if ends else 1,
                ends=ends or not repeats,
            )
        )
    return lines


def one_by_one(piece: PieceSheet, stretch: Stretch) -> Iterator[tuple[int, Letter]]:
    """Every cluster of a stretch by its number, with nothing folded."""
    letters = {each.letter: each for each in piece.letters}
    for step in stretch.steps:
        for number, letter in enumerate(step.letters * step.times, start=step.first):
            yield number, letters[letter]


def fillers(piece: PieceSheet) -> frozenset[str]:
    """The letters of what is pushed in."""
    return frozenset(each.letter for each in piece.letters if each.filler)


def holds(held: Sequence[Held]) -> str:
    """ "2 gold, navy, white", or "10 in: 2 gold, 3 navy; 18 in: white" where sizes are mixed."""
    by_size = [(size, list(same)) for size, same in groupby(held, key=attrgetter("size_class"))]
    if len(by_size) == 1:
        return _colours(held)
    return "; ".join(f"{size} in: {_colours(same)}" for size, same in by_size)


def named(letter: Letter) -> str:
    """ "mini quad, 5 in, push in after"; the size is left out where there are several."""
    sizes = {each.size_class for each in letter.holds}
    size = [f"{sizes.pop()} in"] if len(sizes) == 1 else []
    return ", ".join([letter.name, *size, "push in after" if letter.filler else "tie on"])


def _colours(held: Iterable[Held]) -> str:
    return ", ".join(
        f"{each.count} {each.colour}" if each.count > 1 else each.colour for each in held
    )


def to_tie(letter: Letter, pieces: int) -> str:
    """How many: "6", or "2 × 3 = 6" where there are several such pieces."""
    return f"{pieces} × {letter.each} = {letter.all}" if pieces > 1 else str(letter.all)


def copies(piece: PieceSheet) -> str:
    """ "Make 2 like this."; empty for one."""
    return f"Make {piece.count} like this." if piece.count > 1 else ""


def each_box(boxes: Boxes) -> str:
    """What a box stands for; empty where it is one each time."""
    return f"one box for every {boxes.per}" if boxes.per > 1 else ""


def line_of(piece: PieceSheet) -> str:
    """ "30 ft, 1 join, 36 knots"."""
    joins = {0: "no joins", 1: "1 join"}.get(piece.line_joins, f"{piece.line_joins} joins")
    return f"{words.feet(piece.line_m)}, {joins}, {piece.knots} knots"


def held_at(places: Sequence[float]) -> str:
    """How many points hold it, and where: "5 points: 0 in, 1 ft 4 in …"."""
    points = "1 point" if len(places) == 1 else f"{len(places)} points"
    said = (words.feet(place).replace(" ", "\u00a0") for place in places)
    return f"{points}: {', '.join(said)}" if places else points


def lasting(hours: float) -> str:
    """Hours and minutes, to five minutes: 1.4 is "1 h 25 min"."""
    whole, minutes = divmod(max(1, round(hours * 12)) * 5, 60)
    said = (f"{whole} h" if whole else "", f"{minutes} min" if minutes else "")
    return " ".join(filter(None, said))


def inflating(sheet: BuildSheet) -> str:
    """From when on balloons may be inflated."""
    if sheet.inflate_from is None:
        return f"no sooner than {sheet.fresh_h:.0f} hours before it begins"
    return f"from {moment(sheet.inflate_from)} on, {sheet.fresh_h:.0f} hours before it begins"


def moment(value: datetime) -> str:
    """A day and a time."""
    return words.moment(value)


@dataclass(frozen=True, kw_only=True, slots=True)
class Counts:
    """Balloons by color down and by size across: the sizes' heads, where the box is set, rows."""

    heads: tuple[str, ...]
    boxes: tuple[str, ...]
    rows: tuple[tuple[str, tuple[str, ...]], ...]
    sums: tuple[str, ...]


def counts_of(totals: Sequence[Total]) -> Counts:
    """Totals as a table: "54 + 4" are 54 that go in and 4 to spare."""
    sizes = sorted({(each.size_class, each.box_m) for each in totals})
    found = {(each.size_class, each.box_m, each.colour): each for each in totals}
    colours = dict.fromkeys(each.colour for each in totals)
    return Counts(
        heads=tuple(f"{size} in" for size, _ in sizes),
        boxes=tuple(words.inches(box) for _, box in sizes),
        rows=tuple(
            (colour, tuple(_counted([found.get((*size, colour))]) for size in sizes))
            for colour in colours
        ),
        sums=tuple(_counted([found.get((*size, colour)) for colour in colours]) for size in sizes),
    )


def _counted(totals: Iterable[Total | None]) -> str:
    there = [each for each in totals if each]
    spares = sum(each.spares for each in there)
    count = str(sum(each.count for each in there))
    return (f"{count} + {spares}" if spares else count) if there else ""


def _span(first: int, last: int) -> str:
    return str(first) if first == last else f"{first}–{last}"


LEGEND = (
    "Numbers: clusters along the line. Stroke: held here. Letter in a ring: see fix and finish. "
    "Gray: garland."
)
SHAPES = "Square: tie it on the line. Round: push it in between, after."
NO_RECIPE = (
    "This price was made before clusters were laid out in order. Price the request afresh for the "
    "recipe."
)


def facts(sheet: BuildSheet) -> Iterator[tuple[str, str]]:
    """When and where it is for, by when to make it, and how long that takes."""
    if sheet.begins_at:
        yield "Begins", moment(sheet.begins_at)
    elif sheet.day:
        yield "Day", words.day(sheet.day)
    if sheet.place:
        yield "Place", sheet.place
    yield "Inflate", inflating(sheet)
    if sheet.leaves_at:
        yield "Ready to load by", moment(sheet.leaves_at)
    yield "At the bench", making(sheet)
    yield "Bags", bags(sheet)


def making(sheet: BuildSheet) -> str:
    """How long each task takes, and all of them."""
    crew = f", {sheet.crew} people" if sheet.crew > 1 else ""
    whole = lasting(sum(hours for _, hours in sheet.making))
    each = ", ".join(f"{name.lower()} {lasting(hours)}" for name, hours in sheet.making)
    return f"{whole}{crew}: {each}"


def bags(sheet: BuildSheet) -> str:
    """How many bags it makes."""
    return "1 bag" if len(sheet.bags) == 1 else f"{len(sheet.bags)} bags, see their labels"


def facts_of(piece: PieceSheet) -> tuple[tuple[str, str], ...]:
    """Garland, line and where to begin, of one such piece."""
    return (
        ("Garland", words.feet(piece.garland_m)),
        ("Line", line_of(piece)),
        ("Begin at", piece.start),
        *_held(piece),
    )


def _held(piece: PieceSheet) -> Sequence[tuple[str, str]]:
    places = [held_at(stretch.held_at_m) for stretch in piece.stretches]
    if len(set(places)) == 1:
        return [("Held at" if len(places) == 1 else "Held, each row", places[0])]
    names = (stretch.name.lower() for stretch in piece.stretches)
    return [(f"Held, {name}", at) for name, at in zip(names, places, strict=True)]


def counted(piece: PieceSheet) -> str:
    """The title of a piece's table of balloons."""
    whose = f"Balloons for all {piece.count}" if piece.count > 1 else "Balloons"
    return f"{whose}: to go in + to spare"


def along(piece: PieceSheet, stretch: Stretch) -> str:
    """The title of a stretch's recipe."""
    at = f", from {words.feet(stretch.start_m)} on" if stretch.name and stretch.start_m else ""
    name = f"{stretch.name}{at}" if stretch.name else f"Along the line, from {piece.start}"
    return f"{name}, each of the {piece.count}" if piece.count > 1 else name


def fixing(piece: PieceSheet) -> str:
    """The title of what holds and dresses a piece."""
    return f"Fix and finish: for all {piece.count}" if piece.count > 1 else "Fix and finish"


def heading(number: int, of: int, piece: PieceSheet) -> str:
    """ "2. Hoop"; without a number where there is one piece only."""
    name = f"{piece.name[:1].upper()}{piece.name[1:]}"
    return f"{number}. {name}" if of > 1 else name


def described(piece: PieceSheet) -> str:
    """What the client wants, as a sentence."""
    return f"{piece.title[:1].upper()}{piece.title[1:]}"


def alt(piece: PieceSheet) -> str:
    """The drawing in words."""
    seen = "from above" if piece.diagram.from_above else "from the front"
    return f"Outline of the {piece.name} {seen}, with clusters numbered along it."


def spares(totals: Sequence[Total]) -> tuple[Held, ...]:
    """What lies ready beside the pieces."""
    counts = Counter[tuple[int, str]]()
    for each in totals:
        counts[each.size_class, each.colour] += each.spares
    return tuple(
        Held(size_class=size, colour=colour, count=count)
        for (size, colour), count in sorted(counts.items())
        if count
    )


def by_size(contents: Sequence[Held]) -> Sequence[str]:
    """ "10 in: 12 navy, 8 white", a line for each size."""
    return [
        f"{size} in: {', '.join(f'{each.count} {each.colour}' for each in same)}"
        for size, same in groupby(contents, key=attrgetter("size_class"))
    ]
