"""What the form asks about each support, in feet and inches, and what it takes for an unknown.

The usual sizes are common practice, no source: frames and hoops as sold for backdrops, tables as
rented, doors as built.
"""

import math
from collections.abc import Mapping
from dataclasses import dataclass

from service.estimating import Support
from service.leads.speech import msg

METRES_PER_INCH = 0.0254

# How deep a swag hangs is rarely known; a sixth of the span looks graceful (common practice, no
# source).
USUAL_SAG_OF_SPAN = 1 / 6

# Stairs at the limits of the dwelling code, a 7 3/4 in riser on a 10 in tread (IRC R311.7, from
# memory): people measure along the handrail, and the estimate wants rise and run.
_STAIR_SLOPE = math.atan2(7.75, 10.0)


@dataclass(frozen=True, kw_only=True, slots=True)
class Asked:
    """A support as the form offers it; `measures` are asked, `usual_in` is their usual size."""

    label: str
    hint: str
    measures: tuple[str, ...]
    usual_in: tuple[int, ...]


ASKED: Mapping[Support, Asked] = {
    Support.ROUND_TOP_FRAME: Asked(
        label=msg("Round-top frame"),
        hint=msg("a metal frame with a half-round top"),
        measures=("width", "height"),
        usual_in=(48, 84),
    ),
    Support.SQUARE_FRAME: Asked(
        label=msg("Square frame"),
        hint=msg("a frame with square corners"),
        measures=("width", "height"),
        usual_in=(60, 84),
    ),
    Support.HOOP: Asked(
        label=msg("Hoop"),
        hint=msg("a round ring that stands by itself"),
        measures=("width",),
        usual_in=(72,),
    ),
    Support.COLUMN: Asked(
        label=msg("Column"),
        hint=msg("a standing pillar; two of them make a pair"),
        measures=("height",),
        usual_in=(72,),
    ),
    Support.FREESTANDING_ARCH: Asked(
        label=msg("Freestanding arch"),
        hint=msg("spans a stage or a start line"),
        measures=("width", "height"),
        usual_in=(96, 96),
    ),
    Support.WALL: Asked(
        label=msg("Wall"), hint=msg("a garland along a wall"), measures=("length",), usual_in=(96,)
    ),
    Support.DOORWAY: Asked(
        label=msg("Doorway"),
        hint=msg("around a door or gate"),
        measures=("width", "height"),
        usual_in=(36, 84),
    ),
    Support.STAIRCASE: Asked(
        label=msg("Staircase"),
        hint=msg("along the handrail"),
        measures=("length",),
        usual_in=(144,),
    ),
    Support.MANTEL: Asked(
        label=msg("Mantel"), hint=msg("along a fireplace"), measures=("length",), usual_in=(72,)
    ),
    Support.TABLE: Asked(
        label=msg("Table"),
        hint=msg("along a buffet or cake table"),
        measures=("length",),
        usual_in=(72,),
    ),
    Support.CEILING: Asked(
        label=msg("Ceiling"), hint=msg("a run overhead"), measures=("length",), usual_in=(144,)
    ),
    Support.SWAG: Asked(
        label=msg("Swag"),
        hint=msg("hangs between two points"),
        measures=("width", "sag"),
        usual_in=(120, 20),
    ),
}


def metres_of(support: Support, sizes_m: Mapping[str, float]) -> dict[str, float]:
    """Measures as the form asks them [m], turned into the measures that a piece takes [m]."""
    if support is Support.STAIRCASE and "length" in sizes_m:
        along = sizes_m["length"]
        return {
            "rise_m": round(along * math.sin(_STAIR_SLOPE), 4),
            "run_m": round(along * math.cos(_STAIR_SLOPE), 4),
        }
    return {f"{name}_m": size for name, size in sizes_m.items()}
