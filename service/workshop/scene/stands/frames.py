"""Supports that stand free: frames, hoops, arches and columns, on feet of their own."""

import math

from service.estimating import Point
from service.workshop.scene.relaxing import Wall
from service.workshop.scene.stands.stand import (
    BELOW_M,
    TUBE_M,
    Dressed,
    Stand,
    across,
    bar,
    of_frame,
    sampled,
    wide_and_high,
)
from service.workshop.scene.values import Direction, Material, Rod

_FOOT_M = 0.23
"""A foot reaches this far before and behind its frame."""

_PLATE_M = 0.17

_BEHIND_M = 0.03
"""A cover lies this far behind the tube that the garland is tied to."""


def round_top_frame(dressed: Dressed) -> Stand:
    """Two legs under a round top, with a foot to each and a bar between them."""
    return _frame(dressed)


def square_frame(dressed: Dressed) -> Stand:
    """Two legs under a straight top, with a foot to each and a bar between them."""
    return _frame(dressed)


def _frame(dressed: Dressed) -> Stand:
    piece, outline = dressed.piece, sampled(dressed.path)
    width, height = piece.width_m or 0.0, piece.height_m or 0.0
    low = TUBE_M / 2
    return Stand(
        rods=(
            _tube(outline),
            bar([(0.0, low, 0.0), (width, low, 0.0)], Material.METAL, TUBE_M),
            *(_foot(x) for x in (0.0, width)),
        ),
        measures=of_frame(*wide_and_high(width, height)),
        hollow=True,
        cover=_behind(outline),
    )


def hoop(dressed: Dressed) -> Stand:
    """A ring held by two struts on a base; clear of the floor where its garland goes all round."""
    width = dressed.piece.width_m or 0.0
    lift = dressed.girth_m / 2 if dressed.all_round else 0.06
    outline, low = sampled(dressed.path), -lift + TUBE_M / 2
    half, middle = width * 0.27, width / 2
    base = bar([(middle - half, low, 0.0), (middle + half, low, 0.0)], Material.METAL, TUBE_M)
    struts = [
        bar([(x, low, 0.0), (x, _on_ring(width, x), 0.0)], Material.METAL, TUBE_M)
        for x in (middle - half * 0.8, middle + half * 0.8)
    ]
    feet = [
        bar([(x, low, -_FOOT_M), (x, low, _FOOT_M)], Material.METAL, TUBE_M)
        for x in (middle - half, middle + half)
    ]
    under = -lift - BELOW_M
    return Stand(
        rods=(_tube(outline), base, *struts, *feet),
        measures=of_frame(across((0.0, under), (width, under), Direction.WIDTH, width)),
        walls=(Wall(axis=1, at_m=-lift),),
        lift_m=lift,
        hollow=True,
        cover=_behind(outline),
    )


def arch(dressed: Dressed) -> Stand:
    """A jointed pole from foot to foot, each in a base plate."""
    piece = dressed.piece
    width, height = piece.width_m or 0.0, piece.height_m or 0.0
    return Stand(
        rods=(_tube(sampled(dressed.path)), *_plate(0.0), *_plate(width)),
        measures=of_frame(*wide_and_high(width, height)),
        hollow=True,
        cover=_behind(sampled(dressed.path)),
    )


def column(dressed: Dressed) -> Stand:
    """A pole on a base plate, which ends among the topmost balloons."""
    height = dressed.piece.height_m or 0.0
    top = max(height - dressed.balloon_m, height / 2)
    return Stand(
        rods=(bar([(0.0, 0.0, 0.0), (0.0, top, 0.0)], Material.METAL, TUBE_M), *_plate(0.0)),
        measures=(across((0.0, 0.0), (0.0, height), Direction.HEIGHT, height),),
    )


def _tube(points: tuple[Point, ...]) -> Rod:
    return Rod(points=points, thickness_m=TUBE_M, material=Material.METAL)


def _foot(x: float) -> Rod:
    low = TUBE_M / 2
    return bar([(x, low, -_FOOT_M), (x, low, _FOOT_M)], Material.METAL, TUBE_M)


def _plate(x: float) -> tuple[Rod, Rod]:
    low = TUBE_M / 2
    return (
        bar([(x - _PLATE_M, low, 0.0), (x + _PLATE_M, low, 0.0)], Material.METAL, TUBE_M),
        bar([(x, low, -_PLATE_M), (x, low, _PLATE_M)], Material.METAL, TUBE_M),
    )


def _on_ring(width_m: float, x: float) -> float:
    """How high the ring's lower half is at `x` [m]."""
    radius = width_m / 2
    return radius - math.sqrt(radius**2 - (x - radius) ** 2)


def _behind(outline: tuple[Point, ...]) -> tuple[Point, ...]:
    return tuple(Point(x=point.x, y=point.y, z=-_BEHIND_M) for point in outline)
