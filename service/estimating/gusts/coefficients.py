"""Tables: how hard wind pushes on a shape, and how well a floor holds."""

import math
from bisect import bisect_right
from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from typing import Literal

from service.estimating.gusts.demands import demand, positive


@dataclass(frozen=True, kw_only=True, slots=True)
class Coefficient:
    """A figure without unit from a table, and where it comes from."""

    value: float
    source: str
    mark: Literal["published", "from memory"] = "published"


class Face(StrEnum):
    """What a flat part shows the wind; a sign board is any panel that stands near the ground."""

    SQUARE_PANEL = "square_panel"
    LONG_PANEL = "long_panel"
    DISC = "disc"
    SIGN_BOARD = "sign_board"


_DATA_BOOK = "Aeronautical Engineer's Data Book, fig. 5.13: drag coefficients of standard shapes"

FORCE_COEFFICIENTS: Mapping[Face, Coefficient] = {
    Face.SQUARE_PANEL: Coefficient(value=1.17, source=_DATA_BOOK),
    Face.LONG_PANEL: Coefficient(value=1.98, source=_DATA_BOOK),
    Face.DISC: Coefficient(value=1.12, source="engineering encyclopedia, 'Drag coefficient'"),
    Face.SIGN_BOARD: Coefficient(value=1.80, source="EN 1991-1-4, 7.4.3(2)"),
}

# Length over diameter and coefficient of a cylinder square to the wind, same source.
_CYLINDER = ((1.0, 0.63), (2.0, 0.68), (5.0, 0.74), (10.0, 0.82), (40.0, 0.98))
_ENDLESS_CYLINDER = 1.20


def garland_coefficient(length_m: float, girth_m: float) -> float:
    """Force coefficient [-], on its outline, of a garland so long and so thick [m].

    A cylinder by length over diameter, table of the Aeronautical Engineer's Data Book: linear in
    the logarithm between entries, beyond 40 linear in the inverse to the endless cylinder's 1.20,
    below 1 as at 1. The fall in drag at high Reynolds numbers is not counted on.
    """
    demand(length_m=positive(length_m), girth_m=positive(girth_m))
    ratio = length_m / girth_m
    last, at_last = _CYLINDER[-1]
    if ratio >= last:
        return _ENDLESS_CYLINDER - (_ENDLESS_CYLINDER - at_last) * last / ratio
    if ratio <= 1:
        return _CYLINDER[0][1]
    after = bisect_right(_CYLINDER, (ratio, math.inf))
    (low, at_low), (high, at_high) = _CYLINDER[after - 1], _CYLINDER[after]
    return at_low + (at_high - at_low) * math.log(ratio / low) / math.log(high / low)


FRICTION: Mapping[str, Coefficient] = {
    "grass": Coefficient(
        value=0.2, source="wet grass under a tire (Noon 1994); any foot", mark="from memory"
    ),
    "paving": Coefficient(value=0.4, source="concrete on concrete, BS 5975 (Concrete Society)"),
    "timber": Coefficient(value=0.3, source="planed wood on plywood, CTU Code, appendix 2"),
    "carpet": Coefficient(value=0.3, source="laid loose it slides itself", mark="from memory"),
}
"""Static friction [-] by floor, the low end. Bare steel on smooth cast concrete has only 0.1
(BS 5975): rubber under the feet, or the owner's own figure."""
