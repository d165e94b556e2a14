"""A ceiling with rows of garland under it."""

from service.estimating import Point
from service.workshop.scene.relaxing import Wall
from service.workshop.scene.stands.stand import FLOOR, Dressed, Stand, across
from service.workshop.scene.values import Direction, Measure

_BEYOND_M = 0.8
_BENEATH_M = 0.2


def under_a_ceiling(dressed: Dressed) -> Stand:
    """Rows that go away from the viewer, the nearest one in the plane of the picture."""
    start, end = dressed.path.start, dressed.path.end
    above = dressed.path.top_m + dressed.balloon_m * 0.75
    nearest, farthest = max(start.z, end.z), min(start.z, end.z)
    return Stand(
        measures=_measures(dressed),
        walls=(FLOOR, Wall(axis=1, at_m=above, under=True)),
        back_m=nearest,
        backs_on_m=farthest - dressed.girth_m / 2 - _BEYOND_M,
        ceiling_m=above,
        seen=Point(x=0.0, y=-1.0, z=0.0),
    )


def _measures(dressed: Dressed) -> tuple[Measure, ...]:
    piece = dressed.piece
    length, width = piece.length_m or 0.0, piece.width_m
    if not width:
        y = dressed.path.top_m - dressed.girth_m / 2 - _BENEATH_M
        return (across((0.0, y), (length, y), Direction.LENGTH, length),)
    # Rows press on one another and come out deeper than one by itself.
    y = dressed.path.top_m - dressed.girth_m - _BENEATH_M
    left, right, far = (
        Point(x=x, y=y, z=z) for x, z in ((0.0, width), (length, width), (length, 0.0))
    )
    return (
        Measure(direction=Direction.LENGTH, start=left, end=right, metres=length),
        Measure(direction=Direction.WIDTH, start=right, end=far, metres=width),
    )
