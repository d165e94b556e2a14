"""One kind of piece for the bench: what it is made of, how it is laid, and what goes on it."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from service.estimating import (
    Brief,
    Estimate,
    Fitting,
    Line,
    Piece,
    PieceEstimate,
    PriceBook,
    Setting,
    expansion,
    knots,
    laid,
    sized_diameters,
)
from service.estimating import Stretch as Laid
from service.leads import words
from service.workshop.build_sheet.diagram import diagram
from service.workshop.build_sheet.naming import names_of, start_of
from service.workshop.build_sheet.recipe import letters_of, steps_of
from service.workshop.build_sheet.values import (
    Attached,
    Letter,
    PieceSheet,
    Sizing,
    Stretch,
    Total,
)
from service.workshop.fitted import how_many

_ROUNDED_M = 0.001
"""Places where the garland is held are kept to the millimetre."""

_MARKS = "abcdefghjkmnpqrstuvwxyz"


@dataclass(frozen=True, kw_only=True, slots=True)
class _Making:
    """A piece, what the estimate makes of it, and where its clusters lie."""

    piece: Piece
    counted: PieceEstimate
    laid: Sequence[Laid]
    fittings: Sequence[Fitting]


def piece_sheets(brief: Brief, estimate: Estimate, book: PriceBook) -> Iterator[PieceSheet]:
    """Every kind of piece, in the brief's order."""
    outdoors = brief.site.setting is Setting.OUTDOOR
    pairs = zip(brief.pieces, estimate.pieces, names_of(brief), strict=True)
    for index, (piece, counted, name) in enumerate(pairs):
        making = _Making(
            piece=piece,
            counted=counted,
            laid=laid(piece, counted, book, outdoors=outdoors),
            fittings=[each for each in estimate.fittings if each.piece == index],
        )
        yield _sheet(name, making, tuple(_sizing(brief, piece, counted, book)))


def _sheet(name: str, making: _Making, sizing: tuple[Sizing, ...]) -> PieceSheet:
    piece, counted = making.piece, making.counted
    letters = letters_of(counted, making.laid)
    held = _held(making)
    attached = [*_attached(making)]
    marks = [(each.mark, at) for each, places in attached if each.mark for at in places]
    joins = counted.line_joins
    line = Line(length_m=counted.line_length_m, lengths=len(held) + joins, joins=joins)
    boxes = {each.size_class: each.box_m for each in sizing}
    return PieceSheet(
        name=name,
        title=words.piece(piece),
        count=piece.count,
        start=start_of(piece.path),
        garland_m=counted.garland_length_m,
        line_m=line.length_m,
        line_joins=joins,
        knots=knots(line, sum(each.each for each in letters.values() if not each.filler)),
        sizing=sizing,
        balloons=tuple(
            Total(
                size_class=each.size_class,
                box_m=boxes[each.size_class],
                colour=each.colour,
                count=each.count,
                spares=each.spares,
            )
            for each in counted.balloons
        ),
        letters=tuple(letters.values()),
        stretches=tuple(_stretches(making, letters, held)),
        attached=tuple(each for each, _ in attached),
        diagram=diagram(piece.path, making.laid, held, marks),
    )


def _sizing(
    brief: Brief, piece: Piece, counted: PieceEstimate, book: PriceBook
) -> Iterator[Sizing]:
    """Where the box is set for each size class: for a site that is warmer, colder or higher too."""
    outdoors = brief.site.setting is Setting.OUTDOOR
    sized = sized_diameters(piece, book, outdoors=outdoors)
    used = sorted({each.size_class for each in counted.balloons})
    changed = expansion(brief.site, [(size, sized[size]) for size in used], book.workshop)
    if changed:
        for each in changed.sized:
            yield Sizing(
                size_class=each.size_class, box_m=each.in_workshop_m, at_site_m=each.at_site_m
            )
        return
    for size in used:
        yield Sizing(size_class=size, box_m=sized[size], at_site_m=sized[size])


def _held(making: _Making) -> Sequence[tuple[float, ...]]:
    """Where each stretch is held: where one ends as the next begins, both have that place."""
    left = list(making.counted.attachments_m)
    held = []
    for stretch in making.laid:
        places: list[float] = []
        end = stretch.run.end_m + _ROUNDED_M
        while left and left[0] <= end and (not places or left[0] > places[-1]):
            places.append(left.pop(0))
        held.append(tuple(places))
    return held


def _stretches(
    making: _Making, letters: Mapping[int, Letter], held: Sequence[tuple[float, ...]]
) -> Iterator[Stretch]:
    count, breaks = len(making.laid), (0.0, *making.piece.path.breaks_m)
    kind = "Row" if len(breaks) > 1 else "Stretch"
    for number, (stretch, places) in enumerate(zip(making.laid, held, strict=True), start=1):
        start = stretch.run.start_m
        row = max(each for each in breaks if each <= start + _ROUNDED_M)
        yield Stretch(
            name=f"{kind} {number} of {count}" if count > 1 else "",
            start_m=max(0.0, start - row),
            length_m=stretch.run.length_m,
            held_at_m=tuple(max(0.0, at - row) for at in places),
            steps=tuple(steps_of(stretch, letters)),
        )


def _attached(making: _Making) -> Iterator[tuple[Attached, tuple[float, ...]]]:
    marks = iter(_MARKS)
    # A sign hangs under the foils: what hangs higher comes first, as the drawing stacks them.
    for each in sorted(making.fittings, key=lambda fitting: fitting.code == "accents"):
        mark = next(marks, "") if each.at_m else ""
        cut = _to_cut(making) if each.code == "line" and each.unit == "m" else ""
        text = f"{each.label}, {cut}" if cut else how_many(each.label, each.unit, each.count)
        # What a piece stands on says which piece it is for.
        place = "" if each.code in ("wear", "hire") else each.place
        yield Attached(mark=mark, text=text, place=place, mount=each.mount), each.at_m


def _to_cut(making: _Making) -> str:
    """ "cut 2 × 12 ft 6 in": what is cut for this piece, not what is bought for it."""
    counted = making.counted
    length = words.feet(counted.line_length_m)
    each = " for each" if counted.count > 1 else ""
    if len(making.laid) > 1 or counted.line_joins:
        return f"{length} in all{each}"
    return f"cut {counted.count} × {length}" if each else f"cut {length}"
