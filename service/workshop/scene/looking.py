"""From where the whole is looked at, and what of it the picture shows."""

from collections.abc import Iterator, Sequence

from service.estimating import Point
from service.workshop.scene.values import (
    Ball,
    Bloom,
    Float,
    Foil,
    Measure,
    Panel,
    Person,
    Rod,
    Sign,
    Sprig,
    Streamer,
    Window,
    seen_from,
)

_EYES_M = 1.5
_LOW_EYES_M = 0.4
_NEAREST_M, _NEAR_A_CEILING_M = 6.0, 4.5
_MARGIN_M = 0.2
_LABEL_M = 0.15

Thing = Rod | Panel | Foil | Bloom | Sprig | Streamer | Sign | Float | Person | Measure


def looked_at(
    balls: Sequence[Ball],
    things: Sequence[Thing],
    *,
    eye_m: tuple[float, float] | None,
    from_below: bool,
) -> tuple[Point, Window]:
    """The eye, in the middle before all of it, and the window that holds all with a margin.

    The eye is a person's and lower under a ceiling, but where `eye_m` says its height and
    distance [m].
    """
    reach = [*_reaching(balls, things)]
    left = min(point.x - r for point, r in reach)
    right = max(point.x + r for point, r in reach)
    high = max(point.y + r for point, r in reach)
    up, away = eye_m or (
        _LOW_EYES_M if from_below else _EYES_M,
        max(
            _NEAR_A_CEILING_M if from_below else _NEAREST_M,
            (0.9 if from_below else 1.3) * (right - left),
            (1.3 if from_below else 1.8) * high,
        ),
    )
    eye = Point(x=(left + right) / 2, y=up, z=away)
    seen = [(at.u, at.v, r * at.scale) for p, r in reach for at in (seen_from(eye, p),)]
    return eye, Window(
        left=min(u - r for u, _, r in seen) - _MARGIN_M,
        bottom=min(v - r for _, v, r in seen) - _MARGIN_M,
        right=max(u + r for u, _, r in seen) + _MARGIN_M,
        top=max(v + r for _, v, r in seen) + _MARGIN_M,
    )


def _reaching(balls: Sequence[Ball], things: Sequence[Thing]) -> Iterator[tuple[Point, float]]:
    for ball in balls:
        yield ball.centre, ball.diameter_m / 2
    for thing in things:
        yield from reaching(thing)


def reaching(thing: Thing) -> Iterator[tuple[Point, float]]:
    """Points of a thing and how far round each it reaches [m]: all of it lies within them."""
    if isinstance(thing, Rod | Streamer):
        yield from ((point, 0.0) for point in thing.points)
    elif isinstance(thing, Panel):
        yield from ((corner, 0.0) for corner in thing.corners)
    elif isinstance(thing, Foil | Sign):
        yield thing.centre, max(thing.width_m, thing.height_m) / 2
    elif isinstance(thing, Bloom | Float):
        yield thing.centre, thing.diameter_m / 2
    elif isinstance(thing, Person):
        wide = thing.height_m * 0.15
        top = Point(x=thing.at.x, y=thing.at.y + thing.height_m - wide, z=thing.at.z)
        yield from ((thing.at, wide), (top, wide))
    else:
        beside = _LABEL_M if isinstance(thing, Measure) else 0.0
        yield from ((thing.start, beside), (thing.end, beside))
