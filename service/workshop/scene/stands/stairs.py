"""A straight flight of stairs with its rail, seen from the side."""

from service.estimating import Point
from service.workshop.scene.stands.stand import BELOW_M, Dressed, Stand, across, bar
from service.workshop.scene.values import Direction, Material, Panel, Rod

_RISER_M = 0.19
_NEAR_M = -0.06
"""The flight begins this far behind the rail, which stands on its near side."""

_WALL_M = -0.7
_LANDING_M = 0.6
_TREAD_THICK_M, _NOSING_M = 0.035, 0.03


def staircase(dressed: Dressed) -> Stand:
    """Steps that go up to the right to a landing, balusters and a rail along their near side."""
    start, end = dressed.path.start, dressed.path.end
    run, rise, rail = end.x, end.y - start.y, start.y
    steps = int(dressed.piece.steps or max(1, round(rise / _RISER_M)))
    tread, riser = run / steps, rise / steps
    return Stand(
        rods=(*_treads(steps, tread, riser), *_rail(steps, tread, riser, rail)),
        panels=(_side(steps, tread, riser),),
        measures=(
            across((0.0, -BELOW_M), (run, -BELOW_M), Direction.WIDTH, run),
            across((run, 0.0), (run, rise), Direction.HEIGHT, rise),
        ),
        backs_on_m=_WALL_M,
    )


def _side(steps: int, tread: float, riser: float) -> Panel:
    beyond = steps * tread + _LANDING_M
    outline = [(beyond, steps * riser), (beyond, 0.0), (0.0, 0.0)]
    for step in range(steps):
        top = (step + 1) * riser
        outline += [(step * tread, top), ((step + 1) * tread, top)]
    corners = tuple(Point(x=x, y=y, z=_NEAR_M) for x, y in outline)
    return Panel(corners=corners, material=Material.STONE)


def _treads(steps: int, tread: float, riser: float) -> tuple[Rod, ...]:
    """The near edge of each tread, a little over its riser, and of the landing."""
    z, under = _NEAR_M + 0.005, _TREAD_THICK_M / 2
    spans = [(step * tread, (step + 1) * tread) for step in range(steps)]
    spans[-1] = (spans[-1][0], steps * tread + _LANDING_M)
    return tuple(
        bar(
            [(left - _NOSING_M, y - under, z), (right, y - under, z)],
            Material.WOOD,
            _TREAD_THICK_M,
        )
        for (left, right), y in zip(
            spans, ((step + 1) * riser for step in range(steps)), strict=True
        )
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
