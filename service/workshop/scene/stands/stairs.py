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
    """Treads and risers going back from the viewer, and the flight's own side before them."""
    side = [Point(x=steps * tread, y=0.0, z=_NEAR_M), Point(x=0.0, y=0.0, z=_NEAR_M)]
    behind = []
    for step in range(steps):
        left, right, top = step * tread, (step + 1) * tread, (step + 1) * riser
        side += [Point(x=x, y=top, z=_NEAR_M) for x in (left, right)]
        flat = lying(left, right, _NEAR_M, _NEAR_M - _DEEP_M, top)
        front = tuple(
            Point(x=left, y=y, z=z)
            for z, y in (
                (_NEAR_M, step * riser),
                (_NEAR_M, top),
                (_NEAR_M - _DEEP_M, top),
                (_NEAR_M - _DEEP_M, step * riser),
            )
        )
        behind += [
            Panel(corners=front, material=Material.TRIM),
            Panel(corners=flat, material=Material.WOOD),
        ]
    return *behind, Panel(corners=tuple(side), material=Material.STONE)


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
