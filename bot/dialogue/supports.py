"""What the dialogue knows of each support: which measures it takes and its usual sizes.

The usual sizes are common practice, no source: frames and hoops as sold for backdrops, tables as
rented, doors as built. "Not sure yet" takes the first, and says so.
"""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from math import atan2, cos, hypot, sin

from bot.dialogue.draft import Piece

METRES_PER_INCH = 0.0254


@dataclass(frozen=True, kw_only=True)
class Support:
    """`measures` are fields of `Piece`; `usual_in` are sizes in inches, in their order."""

    measures: tuple[str, ...]
    usual_in: tuple[tuple[int, ...], ...]


_NO_SIDES: Mapping[str, float | None] = {"width_m": None, "height_m": None, "length_m": None}
_SPAN = ("width_m", "height_m")
_RUN = ("length_m",)

SUPPORTS: Mapping[str, Support] = {
    "round_top_frame": Support(measures=_SPAN, usual_in=((48, 84), (36, 72), (60, 84), (72, 84))),
    "square_frame": Support(measures=_SPAN, usual_in=((60, 84), (72, 84), (96, 84), (96, 96))),
    "hoop": Support(measures=("width_m",), usual_in=((72,), (60,), (84,), (96,))),
    "wall": Support(measures=_RUN, usual_in=((96,), (72,), (120,), (144,))),
    "doorway": Support(measures=_SPAN, usual_in=((36, 84), (72, 84), (96, 96))),
    "staircase": Support(measures=_RUN, usual_in=((144,), (96,), (192,))),
    "mantel": Support(measures=_RUN, usual_in=((72,), (60,), (96,))),
    "table": Support(measures=_RUN, usual_in=((72,), (96,), (144,))),
    "ceiling": Support(measures=_RUN, usual_in=((144,), (96,), (240,))),
    "freestanding_arch": Support(measures=_SPAN, usual_in=((96, 96), (120, 96), (144, 108))),
    "swag": Support(measures=_RUN, usual_in=((120,), (72,), (180,))),
    "column": Support(measures=("height_m",), usual_in=((72,), (60,), (84,))),
}

# A swag's dip is rarely known by the one who asks: a sixth of the span hangs gracefully
# (common practice, no source), and the readback says so.
USUAL_SAG_OF_SPAN = 1 / 6

# Stairs at the limits of the dwelling code, a 7 3/4 in riser on a 10 in tread (IRC R311.7, from
# memory). The garland's length is the client's; only its split into rise and run is assumed.
_STAIR_SLOPE = atan2(7.75, 10.0)


def missing_measures(piece: Piece) -> tuple[str, ...]:
    """The measures that `piece` still lacks; () for a piece without a support."""
    if piece.support is None:
        return ()
    needed = SUPPORTS[piece.support].measures
    return tuple(name for name in needed if getattr(piece, name) is None)


def sized(piece: Piece, inches: tuple[int, ...]) -> Piece:
    """`piece` in one of its support's sizes."""
    if piece.support is None:
        return piece
    names = SUPPORTS[piece.support].measures
    metres = {name: _metres(piece, name, size) for name, size in zip(names, inches, strict=True)}
    return _with(piece, {**_NO_SIDES, **metres}, assumed=False)


def _metres(piece: Piece, name: str, inches: int) -> float:
    # A button shows whole inches; a measure that the client gave in metres keeps its exactness.
    given: float | None = getattr(piece, name)
    if given is not None and round(given / METRES_PER_INCH) == inches:
        return given
    return round(inches * METRES_PER_INCH, 4)


def size_choices(piece: Piece) -> tuple[tuple[int, ...], ...]:
    """Usual sizes in inches to offer for `piece`, holding on to a measure already given."""
    if piece.support is None:
        return ()
    support = SUPPORTS[piece.support]
    given = [getattr(piece, name) for name in support.measures]
    if all(given):
        return support.usual_in
    known = [None if metres is None else round(metres / METRES_PER_INCH) for metres in given]
    fitted = [
        tuple(have or usual for have, usual in zip(known, size, strict=True))
        for size in support.usual_in
    ]
    return tuple(dict.fromkeys(fitted))


def usual(piece: Piece) -> Piece:
    """`piece` with every missing measure taken from the usual size, and marked so."""
    lacking = missing_measures(piece)
    if piece.support is None or not lacking:
        return piece
    support = SUPPORTS[piece.support]
    first = dict(zip(support.measures, support.usual_in[0], strict=True))
    metres = {name: round(first[name] * METRES_PER_INCH, 4) for name in lacking}
    return _with(piece, metres, assumed=True)


def rebuilt(piece: Piece, support: str) -> Piece:
    """`piece` on another support, with those of its measures that the new one takes."""
    kept = {
        name: getattr(piece, name) if name in SUPPORTS[support].measures else None
        for name in ("width_m", "height_m", "length_m")
    }
    if support == "staircase":  # its run and rise are nobody else's width and height
        kept |= {"width_m": None, "height_m": None}
    return _with(replace(piece, support=support), kept, assumed=False)


def stairs(run_m: float | None, rise_m: float | None) -> dict[str, float | None]:
    """A staircase's measures, `run_m` along and `rise_m` up; of one alone, the usual slope's."""
    if run_m is not None and rise_m is not None:
        return {"width_m": run_m, "height_m": rise_m, "length_m": hypot(run_m, rise_m)}
    if rise_m is not None:
        return {**_NO_SIDES, "length_m": rise_m / sin(_STAIR_SLOPE)}
    return {**_NO_SIDES, "length_m": None if run_m is None else run_m / cos(_STAIR_SLOPE)}


def rise_and_run(length_m: float) -> tuple[float, float]:
    """Rise and run [m] of a usual staircase whose slope is `length_m` long."""
    return length_m * sin(_STAIR_SLOPE), length_m * cos(_STAIR_SLOPE)


def is_size_of(support: str, inches: tuple[int, ...]) -> bool:
    """Whether `inches` can be a size of `support`: as many numbers as it has measures."""
    return len(inches) == len(SUPPORTS[support].measures) and all(size > 0 for size in inches)


def _with(piece: Piece, metres: Mapping[str, float | None], *, assumed: bool) -> Piece:
    return replace(
        piece,
        width_m=metres.get("width_m", piece.width_m),
        height_m=metres.get("height_m", piece.height_m),
        length_m=metres.get("length_m", piece.length_m),
        assumed=assumed,
    )
