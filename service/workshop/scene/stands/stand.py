"""A support as it is drawn, and what all supports are drawn with."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from service.estimating import Path, Piece, Point
from service.workshop.scene.lines import TO_THE_VIEWER
from service.workshop.scene.relaxing import Wall
from service.workshop.scene.values import Direction, Material, Measure, Panel, Rod

TUBE_M = 0.025
"""A frame's tube is about an inch across."""

BELOW_M = 0.16
"""A dimension line runs this far below the floor."""

FLOOR = Wall(axis=1, at_m=0.0)


@dataclass(frozen=True, kw_only=True, slots=True)
class Dressed:
    """A piece that is to be drawn: its garland's girth and its usual balloon's diameter [m].

    `all_round` where the garland goes the whole way round a closed path.
    """

    piece: Piece
    path: Path
    girth_m: float
    balloon_m: float
    all_round: bool
    outdoors: bool


@dataclass(frozen=True, kw_only=True, slots=True)
class Stand:
    """The support in its path's coordinates [m], and the surfaces that no balloon goes through.

    `lift_m` is how far the path is lifted off the floor, `back_m` how far away from the viewer,
    and `aside_m` how far outward of it the garland lies; `seen` is the direction to those who
    look at it. What stands against a wall says where that is in `backs_on_m`, how high its
    picture rail runs, and the ceiling. Of `measures`, upright ones and those above the floor are
    moved clear of the garland later.
    `hollow` where a sign hangs free under the garland, `cover` is what fabric would hide.
    """

    rods: tuple[Rod, ...] = ()
    panels: tuple[Panel, ...] = ()
    measures: tuple[Measure, ...] = ()
    walls: tuple[Wall, ...] = (FLOOR,)
    lift_m: float = 0.0
    back_m: float = 0.0
    aside_m: float = 0.0
    seen: Point = TO_THE_VIEWER
    backs_on_m: float | None = None
    rail_m: float | None = None
    ceiling_m: float | None = None
    hollow: bool = False
    cover: tuple[Point, ...] = ()


def sampled(path: Path, number: int = 48) -> tuple[Point, ...]:
    """Points along the whole path, its bends among them."""
    even = [path.length_m * i / number for i in range(number + 1)]
    return tuple(path.at(at) for at in sorted({*even, *path.corners_m}))


def upright(left: float, bottom: float, right: float, top: float, z: float) -> tuple[Point, ...]:
    """A rectangle that faces the viewer."""
    corners = ((left, bottom), (right, bottom), (right, top), (left, top))
    return tuple(Point(x=x, y=y, z=z) for x, y in corners)


def lying(left: float, right: float, front: float, back: float, y: float) -> tuple[Point, ...]:
    """A level rectangle, from its front edge to its back one."""
    corners = ((left, front), (right, front), (right, back), (left, back))
    return tuple(Point(x=x, y=y, z=z) for x, z in corners)


def bar(points: Sequence[tuple[float, float, float]], material: Material, thick_m: float) -> Rod:
    """A rod from point to point."""
    return Rod(
        points=tuple(Point(x=x, y=y, z=z) for x, y, z in points),
        thickness_m=thick_m,
        material=material,
    )


def across(
    start: tuple[float, float], end: tuple[float, float], direction: Direction, metres: float
) -> Measure:
    """A dimension line in the plane of the path, from (x, y) to (x, y) [m]."""
    (left, low), (right, high) = start, end
    return Measure(
        direction=direction,
        start=Point(x=left, y=low),
        end=Point(x=right, y=high),
        metres=metres,
    )


def of_frame(*measures: Measure) -> tuple[Measure, ...]:
    """Dimension lines of the bare frame, which the balloons reach beyond."""
    return tuple(replace(each, frame=True) for each in measures)


def wide_and_high(width_m: float, height_m: float) -> tuple[Measure, ...]:
    """The width under the floor's edge, and the height on the left."""
    return (
        across((0.0, -BELOW_M), (width_m, -BELOW_M), Direction.WIDTH, width_m),
        across((0.0, 0.0), (0.0, height_m), Direction.HEIGHT, height_m),
    )
