"""A ceiling with rows of garland under it, and the room's far wall."""

from service.estimating import Point
from service.workshop.scene.relaxing import Wall
from service.workshop.scene.stands.stand import FLOOR, Dressed, Stand, across, lying, upright
from service.workshop.scene.values import Direction, Material, Measure, Panel

_BESIDE_M = 0.5
_BEYOND_M = 0.8


def under_a_ceiling(dressed: Dressed) -> Stand:
    """Rows that go away from the viewer, the nearest one in the plane of the picture."""
    piece, high = dressed.piece, dressed.path.top_m
    length, width = piece.length_m or 0.0, piece.width_m or 0.0
    above = high + dressed.balloon_m * 0.75
    nearest = max(dressed.path.start.z, dressed.path.end.z)
    left, right = -dressed.clear_m - _BESIDE_M, length + dressed.clear_m + _BESIDE_M
    back = min(dressed.path.start.z, dressed.path.end.z) - dressed.girth_m / 2 - _BEYOND_M
    front = nearest + dressed.girth_m / 2
    return Stand(
        panels=(
            Panel(corners=upright(left, 0.0, right, above, back), material=Material.WALL),
            Panel(corners=lying(left, right, front, back, above), material=Material.CEILING),
        ),
        measures=_measures(length, width, high - dressed.clear_m),
        walls=(FLOOR, Wall(axis=1, at_m=above, under=True)),
        back_m=nearest,
        seen=Point(x=0.0, y=-1.0, z=0.0),
    )


def _measures(length: float, width: float, under: float) -> tuple[Measure, ...]:
    along = across((0.0, under), (length, under), Direction.LENGTH, length)
    if not width:
        return (along,)
    away = Measure(
        direction=Direction.WIDTH,
        start=Point(x=length, y=under, z=width),
        end=Point(x=length, y=under, z=0.0),
        metres=width,
    )
    return along, away
