"""Helium balloons beside the pieces: bunches, each tied down to a weight of its own."""

from collections.abc import Iterator, Sequence
from itertools import cycle

from service.estimating import METRES_PER_INCH, Floating, Point
from service.workshop.scene.values import Float

_STAGGERED = ((0.0, 0.0, 0.0), (-0.68, -0.72, 0.1), (0.72, -0.6, -0.1), (-0.1, -1.5, 0.3))
"""Places in a bunch, in diameters of its largest balloon."""

_ABREAST = 3
_TOP_M = 1.9
_APART = 2.6
_LATEX_SHARE, _FOIL_SHARE = 0.95, 0.78
"""How wide each comes out of its nominal size: a flat foil draws in. Common practice."""


def floats_of(wanted: Sequence[Floating], colours: Sequence[str], metal: str) -> Iterator[Float]:
    """Every helium balloon of a brief, bunch by bunch to the right from x = 0.

    Latex takes the client's `colours` in turn, foils are `metal`.
    """
    each = _singly(wanted, colours, metal)
    widest = max((diameter for *_, diameter in each), default=0.0)
    for start in range(0, len(each), len(_STAGGERED)):
        bunch = start // len(_STAGGERED)
        row, place = divmod(bunch, _ABREAST)
        x = widest * (1.2 + _APART * (place + 0.5 * (row % 2)))
        weight = Point(x=x, y=0.0, z=-row * widest * 2)
        members = each[start : start + len(_STAGGERED)]
        for (floating, hex_value, diameter), (aside, up, near) in zip(
            members, _STAGGERED, strict=False
        ):
            centre = Point(
                x=x + aside * widest, y=_TOP_M + (up + row) * widest, z=weight.z + near * widest
            )
            yield Float(
                kind=floating.kind,
                centre=centre,
                diameter_m=diameter,
                hex=hex_value,
                weight=weight,
            )


def _singly(
    wanted: Sequence[Floating], colours: Sequence[str], metal: str
) -> list[tuple[Floating, str, float]]:
    turns = cycle(colours)
    return [
        (
            floating,
            metal if floating.kind.foil else next(turns),
            floating.size_class
            * METRES_PER_INCH
            * (_FOIL_SHARE if floating.kind.foil else _LATEX_SHARE),
        )
        for floating in wanted
        for _ in range(floating.count)
    ]
