"""Supports on a wall: a run along it, the way round a door, and a swag from hook to hook."""

from service.workshop.scene.relaxing import Wall
from service.workshop.scene.stands.stand import (
    FLOOR,
    Dressed,
    Stand,
    across,
    bar,
    upright,
    wide_and_high,
)
from service.workshop.scene.values import Direction, Material, Panel, Rod

_HOOK_M = 0.08
_POST_M = 0.09
_ON_THE_WALL = 0.28
"""A doorway's garland lies this share of its girth beside the opening, so that people can pass."""


def wall(dressed: Dressed) -> Stand:
    """A plain wall."""
    piece, back = dressed.piece, -dressed.balloon_m
    width = piece.width_m or piece.length_m or 0.0
    if piece.height_m and piece.width_m:
        measures = wide_and_high(width, piece.height_m)
    else:
        high = dressed.path.top_m
        measures = (across((0.0, high), (width, high), Direction.LENGTH, width),)
    return Stand(measures=measures, walls=(FLOOR, Wall(axis=2, at_m=back)), backs_on_m=back)


def doorway(dressed: Dressed) -> Stand:
    """A door's opening in its frame, the garland on the wall round it."""
    piece, back = dressed.piece, -dressed.balloon_m
    width, height = piece.width_m or 0.0, piece.height_m or 0.0
    opening = upright(0.0, 0.0, width, height, back + 0.005)
    sides = [(0.0, 0.0), (0.0, height), (width, height), (width, 0.0)]
    casing = bar([(x, y, back + 0.01) for x, y in sides], Material.TRIM, 0.09)
    return Stand(
        rods=(casing,),
        panels=(Panel(corners=opening, material=Material.DARK),),
        measures=wide_and_high(width, height),
        walls=(FLOOR, Wall(axis=2, at_m=back)),
        backs_on_m=back,
        aside_m=dressed.girth_m * _ON_THE_WALL,
        hollow=True,
    )


def swag(dressed: Dressed) -> Stand:
    """Two hooks in a wall's picture rail; outdoors in a beam on posts."""
    piece, back = dressed.piece, -dressed.balloon_m
    width, sag, high = piece.width_m or 0.0, piece.sag_m or 0.0, dressed.path.top_m
    hooks = tuple(
        bar([(x, high + _HOOK_M, 0.0), (x, high, 0.0)], Material.METAL, 0.02) for x in (0.0, width)
    )
    measures = (
        across((0.0, high), (width, high), Direction.WIDTH, width),
        across((width, high - sag), (width, high), Direction.DROP, sag),
    )
    if dressed.outdoors:
        return Stand(rods=(*hooks, *_beam(width, high)), measures=measures)
    return Stand(
        rods=hooks,
        measures=measures,
        walls=(FLOOR, Wall(axis=2, at_m=back)),
        backs_on_m=back,
        rail_m=high + _HOOK_M,
    )


def _beam(width_m: float, high_m: float) -> tuple[Rod, ...]:
    left, right, high = -_POST_M * 2, width_m + _POST_M * 2, high_m + _HOOK_M
    return (
        bar([(left, high, 0.0), (right, high, 0.0)], Material.WOOD, _POST_M),
        *(bar([(x, 0.0, 0.0), (x, high, 0.0)], Material.WOOD, _POST_M) for x in (left, right)),
    )
