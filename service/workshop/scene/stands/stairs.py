"""A straight flight of stairs with its rail, seen from the side."""

from service.estimating import Point
from service.workshop.scene.relaxing import Wall
from service.workshop.scene.stands.stand import BELOW_M, Dressed, Stand, across, bar, lying
from service.workshop.scene.values import Direction, Material, Measure, Panel, Rod

_RISER_M = 0.19
_DEEP_M = 1.0
_NEAR_M = -0.06
"""The flight begins this far behind the rail, which stands on its near side."""


def staircase(dressed: Dressed) -> Stand:
    """Steps that go up to the right, balusters and a rail along their near side."""
    start, end = dressed.path.start, dressed.path.end
    run, rise, rail = end.x, end.y - start.y, start.y
    steps = int(dressed.piece.steps or max(1, round(rise / _RISER_M)))
    tread, riser = run / steps, rise / steps
    return Stand(
        rods=_rail(steps, tread, riser, rail),
        panels=_flight(steps, tread, riser),
        measures=_measures(dressed, run, rise),
        walls=(Wall(axis=1, at_m=0.0),),
    )


def _flight(steps: int, tread: float, riser: float) -> tuple[Panel, ...]:
    """Tops of the treads, far ones hidden by near ones, and the flight's own side."""
    side = [Point(x=steps * tread, y=0.0, z=_NEAR_M), Point(x=0.0, y=0.0, z=_NEAR_M)]
    for step in range(steps):
        side += [
            Point(x=x, y=(step + 1) * riser, z=_NEAR_M) for x in (step * tread, (step + 1) * tread)
        ]
    treads = [
        lying(step * tread, (step + 1) * tread, _NEAR_M, _NEAR_M - _DEEP_M, (step + 1) * riser)
        for step in range(steps)
    ]
    return (
        *(Panel(corners=corners, material=Material.WOOD) for corners in treads),
        Panel(corners=tuple(side), material=Material.WALL),
    )


def _rail(steps: int, tread: float, riser: float, rail_m: float) -> tuple[Rod, ...]:
    slope = riser / tread
    balusters = [
        bar([(x, (step + 1) * riser, 0.0), (x, rail_m + x * slope, 0.0)], Material.WOOD, 0.025)
        for step in range(steps)
        for x in ((step + 0.5) * tread,)
    ]
    run, rise = steps * tread, steps * riser
    newels = [
        bar([(x, foot, 0.0), (x, rail_m + x * slope + 0.1, 0.0)], Material.WOOD, 0.08)
        for x, foot in ((0.0, 0.0), (run, rise))
    ]
    rail = bar([(0.0, rail_m, 0.0), (run, rail_m + rise, 0.0)], Material.WOOD, 0.06)
    return (*balusters, *newels, rail)


def _measures(dressed: Dressed, run: float, rise: float) -> tuple[Measure, ...]:
    side = run + dressed.clear_m
    return (
        across((0.0, -BELOW_M), (run, -BELOW_M), Direction.WIDTH, run),
        across((side, 0.0), (side, rise), Direction.HEIGHT, rise),
    )
