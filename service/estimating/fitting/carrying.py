"""Which piece carries the foils: the widest one that has room for all of them."""

from collections.abc import Iterator, Mapping, Sequence

from service.estimating.brief import Piece
from service.estimating.fitting.foils import FoilList
from service.estimating.fitting.garland import Garland, crown_at, main_run
from service.estimating.paths import Support
from service.estimating.units import METRES_PER_INCH

_DRAWN_IN = 0.88
"""A foil filled with air is so much of its flat size. Common practice, no source."""

FOIL_HEIGHTS_M: Mapping[str, float] = {
    sort: inches * METRES_PER_INCH * _DRAWN_IN
    for sort, inches in (("digit", 34), ("letter", 16), ("shape", 18))
}
"""The sizes that are usual on a garland, filled. Common practice, no source."""

FOIL_NARROW = 0.64
"""A digit or letter is about so much of its height across."""

FOILS_APART_M = 0.05

_STEP_M = 0.1
_BELOW_M = 0.5
"""A line of foils may bend down by so much and still be read as one."""


def carrier(found: FoilList, pieces: Sequence[Piece], garlands: Sequence[Garland]) -> int:
    """The place in the brief of the piece that carries the foils; of several alike the first.

    It is the widest of those where they all go side by side near its crown, else the one with
    the longest garland. A ceiling's is looked at from below and carries them only where there is
    nothing else.
    """
    seen = [i for i, piece in enumerate(pieces) if piece.support is not Support.CEILING]
    able = seen or [*range(len(pieces))]
    if len(able) == 1:
        return able[0]
    needed = _needed_m(found)
    roomy = [index for index in able if _room_m(garlands[index]) >= needed]
    if roomy:
        return max(roomy, key=lambda index: (_wide_m(garlands[index]), -index))
    return max(able, key=lambda index: (_whole_m(garlands[index]), -index))


def _needed_m(found: FoilList) -> float:
    """How long the line of them is, side by side [m]."""
    digits, letters = len(found.digits), sum(map(len, found.words))
    across = FOIL_NARROW * (digits * FOIL_HEIGHTS_M["digit"] + letters * FOIL_HEIGHTS_M["letter"])
    number = digits + letters + len(found.shapes)
    return across + len(found.shapes) * FOIL_HEIGHTS_M["shape"] + (number - 1) * FOILS_APART_M


def _room_m(garland: Garland) -> float:
    """How wide the garland is about its crown, for as long as it keeps near that height [m]."""
    top = garland.path.at(crown_at(garland))
    across = [x for way in (-1, 1) for x in _near(garland, top.y, way)]
    return max(across, default=top.x) - min(across, default=top.x)


def _near(garland: Garland, high: float, way: int) -> Iterator[float]:
    run, at = main_run(garland), crown_at(garland)
    while run.start_m <= at <= run.end_m:
        point = garland.path.at(at)
        if abs(point.y - high) > _BELOW_M:
            return
        yield point.x
        at += way * _STEP_M


def _whole_m(garland: Garland) -> float:
    return main_run(garland).length_m


def _wide_m(garland: Garland) -> float:
    run = main_run(garland)
    steps = range(round(run.length_m / _STEP_M) + 1)
    across = [garland.path.at(min(run.start_m + i * _STEP_M, run.end_m)).x for i in steps]
    return round(max(across) - min(across), 3)
