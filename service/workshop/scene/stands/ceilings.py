"""A ceiling with rows of garland under it."""

from service.estimating import Point
from service.workshop.scene.relaxing import Wall
from service.workshop.scene.stands.stand import FLOOR, Dressed, Stand, across
from service.workshop.scene.values import Direction, Measure

_BEYOND_M = 0.8


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
    length, width, y = piece.length_m or 0.0, piece.width_m, dressed.path.top_m
    if not width:
        return (across((0.0, y), (length, y), Direction.LENGTH, length),)
    # Seen from below, the farthest row is the lowest: the line along it is clear of the others.
    beside = length + dressed.girth_m / 2
    left, right = (Point(x=x, y=y) for x in (0.0, length))
    far, near = (Point(x=beside, y=y, z=z) for z in (0.0, width))
    return (
        Measure(direction=Direction.LENGTH, start=left, end=right, metres=length),
        Measure(direction=Direction.WIDTH, start=far, end=near, metres=width),
    )
