"""Supports on a wall: a run along it, the way round a door, and a swag from hook to hook."""

from service.estimating import Point
from service.workshop.scene.relaxing import Wall
from service.workshop.scene.stands.stand import (
    BELOW_M,
    FLOOR,
    Dressed,
    Stand,
    across,
    bar,
    upright,
    wide_and_high,
)
from service.workshop.scene.values import Direction, Material, Measure, Panel, Rod

_LOWEST_WALL_M = 2.6
_BESIDE_M = 0.35
_SKIRTING_M = 0.1
_HOOK_M = 0.08
_ON_THE_WALL = 0.28
"""A doorway's garland lies this share of its girth beside the opening, so that people can pass."""
_POST_M = 0.09


def wall(dressed: Dressed) -> Stand:
    """A plain wall with its skirting board."""
    piece = dressed.piece
    width = piece.width_m or piece.length_m or 0.0
    if piece.height_m and piece.width_m:
        measures = wide_and_high(width, piece.height_m, dressed.clear_m)
    else:
        measures = (_under(width, Direction.LENGTH),)
    back = _back(dressed)
    return Stand(
        panels=_plain_wall(dressed, width, -back),
        measures=measures,
        walls=(FLOOR, Wall(axis=2, at_m=-back)),
    )


def doorway(dressed: Dressed) -> Stand:
    """A door's opening in its frame, in a wall, the garland on the wall round it."""
    piece = dressed.piece
    width, height = piece.width_m or 0.0, piece.height_m or 0.0
    back, aside = _back(dressed), dressed.girth_m * _ON_THE_WALL
    opening = Panel(corners=upright(0.0, 0.0, width, height, -back + 0.005), material=Material.DARK)
    sides = [(0.0, 0.0), (0.0, height), (width, height), (width, 0.0)]
    casing = bar([(x, y, -back + 0.01) for x, y in sides], Material.TRIM, 0.09)
    return Stand(
        rods=(casing,),
        panels=(*_plain_wall(dressed, width, -back, aside), opening),
        measures=wide_and_high(width, height, dressed.clear_m + aside),
        walls=(FLOOR, Wall(axis=2, at_m=-back)),
        aside_m=aside,
        hollow=True,
    )


def swag(dressed: Dressed) -> Stand:
    """Two hooks in a wall's picture rail; outdoors in a beam on posts."""
    piece = dressed.piece
    width, sag = piece.width_m or 0.0, piece.sag_m or 0.0
    high = dressed.path.top_m
    hooks = tuple(
        bar([(x, high + _HOOK_M, 0.0), (x, high, 0.0)], Material.METAL, 0.02) for x in (0.0, width)
    )
    side = width + dressed.clear_m
    measures = (
        _under(width, Direction.WIDTH),
        across((side, high - sag), (side, high), Direction.DROP, sag),
    )
    if dressed.outdoors:
        return Stand(rods=(*hooks, *_beam(width, high)), measures=measures)
    back = _back(dressed)
    rail = bar(
        [
            (-dressed.clear_m, high + _HOOK_M, -back + 0.01),
            (side, high + _HOOK_M, -back + 0.01),
        ],
        Material.TRIM,
        0.06,
    )
    return Stand(
        rods=(rail, *hooks),
        panels=_plain_wall(dressed, width, -back),
        measures=measures,
        walls=(FLOOR, Wall(axis=2, at_m=-back)),
    )


def _beam(width_m: float, high_m: float) -> tuple[Rod, ...]:
    left, right, high = -_POST_M * 2, width_m + _POST_M * 2, high_m + _HOOK_M
    return (
        bar([(left, high, 0.0), (right, high, 0.0)], Material.WOOD, _POST_M),
        *(bar([(x, 0.0, 0.0), (x, high, 0.0)], Material.WOOD, _POST_M) for x in (left, right)),
    )


def _plain_wall(
    dressed: Dressed, width_m: float, z: float, aside_m: float = 0.0
) -> tuple[Panel, Panel]:
    clear = dressed.clear_m + aside_m
    beside = clear + _BESIDE_M
    top = max(_LOWEST_WALL_M, dressed.path.top_m + clear + 0.1)
    face = upright(-beside, 0.0, width_m + beside, top, z)
    skirting = upright(-beside, 0.0, width_m + beside, _SKIRTING_M, z + 0.002)
    return (
        Panel(corners=face, material=Material.WALL),
        Panel(corners=skirting, material=Material.TRIM),
    )


def _back(dressed: Dressed) -> float:
    """How far in front of its wall the line hangs [m]: a balloon fits behind it."""
    return dressed.balloon_m


def _under(width_m: float, direction: Direction) -> Measure:
    return Measure(
        direction=direction,
        start=Point(x=0.0, y=-BELOW_M),
        end=Point(x=width_m, y=-BELOW_M),
        metres=width_m,
    )
