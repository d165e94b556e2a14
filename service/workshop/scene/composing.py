"""The whole picture, put together: pieces on one floor, what dresses them, and a person."""

from __future__ import annotations

import hashlib
from collections.abc import Iterator, Mapping, Sequence
from typing import TypeVar

from service.estimating import Brief, Estimate, Point, PriceBook, Setting, Support
from service.workshop.scene.arranging import Arranged, Kinds, Placed, arranged, one_of
from service.workshop.scene.floats import floats_of
from service.workshop.scene.grown import Grown
from service.workshop.scene.hues import hue, metal_hue
from service.workshop.scene.looking import Thing, looked_at
from service.workshop.scene.moving import moved
from service.workshop.scene.pieces import shown
from service.workshop.scene.rooms import room
from service.workshop.scene.values import (
    Ball,
    Bloom,
    Float,
    Foil,
    Measure,
    Panel,
    Person,
    Rod,
    Scene,
    Sign,
    Sprig,
    Streamer,
)

PERSON_M = 1.7
_BESIDE_M = 0.45

_Kind = TypeVar("_Kind", bound=Thing)


def seed_of(name: str) -> int:
    """A seed that is the same for the same name for ever."""
    return int.from_bytes(hashlib.sha256(name.encode()).digest()[:8], "big")


def scene_of(brief: Brief, estimate: Estimate, book: PriceBook, *, seed: int) -> Scene:
    """The garland of `estimate` in its place; the same seed gives the same scene, bit for bit.

    `book` is the price book that the estimate was made with.
    Raises ValueError for an old estimate, which does not say what its clusters are.
    """
    if not all(counted.order for counted in estimate.pieces):
        raise ValueError("this estimate is from before clusters were kept in order")
    kinds = [*shown(brief, estimate, book, seed=seed)]
    floor = arranged(kinds)
    each = [(place, one_of(kinds, place.piece, place.copy)) for place in floor.places]
    balls = tuple(ball for place, one in each for ball in _balls(one.grown, place))
    things = [
        moved(thing, place.by)
        for place, one in each
        for thing in one.things(place.copy, floor.label_m)
    ]
    colours = {ball.colour: hue(ball.colour, book) for ball in balls}
    floats = tuple(_floats(brief, floor, colours, book))
    return _composed(brief, kinds, floor, balls, [*things, *floats], colours)


def _composed(
    brief: Brief,
    kinds: Kinds,
    floor: Arranged,
    balls: tuple[Ball, ...],
    things: Sequence[Thing],
    colours: Mapping[str, str],
) -> Scene:
    outdoors = brief.site.setting is Setting.OUTDOOR
    floats = _only(Float, things)
    right = max([floor.right_m, *(each.centre.x + each.diameter_m / 2 for each in floats)])
    person = Person(at=Point(x=right + _BESIDE_M, y=0.0, z=0.0), height_m=PERSON_M)
    below = all(piece.support is Support.CEILING for piece in brief.pieces)
    eye, window = looked_at(balls, [*things, person], eye_m=floor.eye_m, from_below=below)
    behind = [*room([each[0] for each in kinds], floor, eye, outdoors=outdoors)]
    return Scene(
        balls=balls,
        rods=(*_only(Rod, behind), *_only(Rod, things)),
        panels=(*_only(Panel, behind), *_only(Panel, things)),
        foils=_only(Foil, things),
        blooms=_only(Bloom, things),
        sprigs=_only(Sprig, things),
        streamers=_only(Streamer, things),
        signs=_only(Sign, things),
        floats=floats,
        person=person,
        measures=_only(Measure, things),
        colours=colours,
        outdoors=outdoors,
        eye=eye,
        window=window,
        ranked=floor.eye_m is not None,
    )


def _floats(
    brief: Brief, floor: Arranged, colours: Mapping[str, str], book: PriceBook
) -> Iterator[Float]:
    """Helium balloons to the right of all pieces."""
    metal = metal_hue(colours, book)
    for each in floats_of(brief.floating, tuple(colours.values()), metal):
        yield moved(each, Point(x=floor.right_m, y=0.0, z=0.0))


def _balls(piece: Grown, place: Placed) -> Iterator[Ball]:
    by = place.by
    for spot in piece.spots:
        yield Ball(
            x=spot.x + by.x,
            y=spot.y + by.y,
            z=spot.z + by.z,
            diameter_m=piece.sized[spot.size_class],
            colour=spot.colour,
            size_class=spot.size_class,
            piece=place.piece,
            copy=place.copy,
            cluster=spot.cluster,
        )


def _only(kind: type[_Kind], things: Sequence[Thing]) -> tuple[_Kind, ...]:
    return tuple(thing for thing in things if isinstance(thing, kind))
