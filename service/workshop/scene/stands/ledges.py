"""Supports that a garland lies along and hangs down from: a mantel over its fire, a table."""

from service.estimating import Point
from service.workshop.scene.relaxing import Wall
from service.workshop.scene.stands.stand import (
    BELOW_M,
    FLOOR,
    Dressed,
    Stand,
    across,
    lying,
    upright,
)
from service.workshop.scene.values import Direction, Material, Measure, Panel

_EDGE_SHARE = 0.8
"""How far the edge is behind the line, in usual balloons: they sit on it and hang before it."""

_ON_IT = 0.2
"""The garland lies so far above the ledge, as a share of its girth."""

_SHELF_M, _SHELF_DEEP_M = 0.07, 0.25
_TABLE_DEEP_M = 0.75


def mantel(dressed: Dressed) -> Stand:
    """A shelf over an open fireplace, on its wall."""
    length, high = dressed.piece.length_m or 0.0, dressed.path.top_m
    edge = -_EDGE_SHARE * dressed.balloon_m
    back, face = edge - _SHELF_DEEP_M, edge - 0.1
    leg = min(0.3, length * 0.2)
    inset = min(0.05, length * 0.1)
    return Stand(
        panels=(
            _panel(upright(inset, 0.0, length - inset, high - _SHELF_M, face), Material.STONE),
            _panel(upright(leg, 0.0, length - leg, high * 0.68, face + 0.005), Material.DARK),
            _panel(lying(0.0, length, edge, back, high), Material.WOOD),
            _panel(upright(0.0, high - _SHELF_M, length, high, edge), Material.WOOD),
        ),
        measures=_measures(dressed),
        walls=(FLOOR, Wall(axis=2, at_m=edge)),
        backs_on_m=back,
        aside_m=_ON_IT * dressed.girth_m,
    )


def table(dressed: Dressed) -> Stand:
    """A table under a cloth to the floor."""
    length, high = dressed.piece.length_m or 0.0, dressed.path.top_m
    edge = -_EDGE_SHARE * dressed.balloon_m
    return Stand(
        panels=(
            _panel(lying(0.0, length, edge, edge - _TABLE_DEEP_M, high), Material.CLOTH),
            _panel(upright(0.0, 0.0, length, high, edge), Material.CLOTH),
        ),
        measures=_measures(dressed),
        walls=(FLOOR, Wall(axis=2, at_m=edge)),
        aside_m=_ON_IT * dressed.girth_m,
    )


def _measures(dressed: Dressed) -> tuple[Measure, ...]:
    piece, high = dressed.piece, dressed.path.top_m
    length, drop = piece.length_m or 0.0, piece.drop_m
    along = across((0.0, -BELOW_M), (length, -BELOW_M), Direction.LENGTH, length)
    if drop is None:
        return (along,)
    return along, across((0.0, high - drop), (0.0, high), Direction.DROP, drop)


def _panel(corners: tuple[Point, ...], material: Material) -> Panel:
    return Panel(corners=corners, material=material)
