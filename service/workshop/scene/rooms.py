"""The one wall, its picture rail and the ceiling that pieces stand against, far to both sides."""

from collections.abc import Iterator, Sequence

from service.estimating import Point
from service.workshop.scene.arranging import Arranged
from service.workshop.scene.showing import Shown
from service.workshop.scene.stands.stand import bar, lying, upright
from service.workshop.scene.values import Material, Panel, Rod

_FAR_M = 40.0
_HIGH_M = 8.0
_GARDEN_WALL_M = 2.6
_SKIRTING_M = 0.1
_NEAR = 0.85
_RAIL_M = 0.06


def room(
    pieces: Sequence[Shown], floor: Arranged, eye: Point, *, outdoors: bool
) -> Iterator[Panel | Rod]:
    """What is behind and over the pieces on a floor; nothing where none needs it.

    Indoors the wall goes up out of the picture, outdoors a little higher than what is on it.
    """
    wall_z, ceiling = floor.wall_z, floor.ceiling_m
    if wall_z is None:
        return
    left, right = -_FAR_M, floor.right_m + _FAR_M
    stands = [shown.grown.stand for shown in pieces]
    top = ceiling or (_garden_wall_m(pieces) if outdoors else _HIGH_M)
    yield Panel(corners=upright(left, 0.0, right, top, wall_z), material=Material.WALL)
    if not outdoors:
        skirting = upright(left, 0.0, right, _SKIRTING_M, wall_z + 0.002)
        yield Panel(corners=skirting, material=Material.TRIM)
    if ceiling is not None:
        # It comes so near the eye that it goes up out of the picture.
        near = _NEAR * eye.z
        yield Panel(corners=lying(left, right, near, wall_z, ceiling), material=Material.CEILING)
    for high in sorted({stand.rail_m for stand in stands if stand.rail_m is not None}):
        ends = [(x, high, wall_z + 0.01) for x in (left, right)]
        yield bar(ends, Material.TRIM, _RAIL_M)


def _garden_wall_m(pieces: Sequence[Shown]) -> float:
    high = (
        shown.grown.path.top_m + shown.grown.girth_m / 2 + 0.3
        for shown in pieces
        if shown.grown.stand.backs_on_m is not None
    )
    return max(_GARDEN_WALL_M, *high)
