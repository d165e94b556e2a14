"""Things moved as a whole."""

from dataclasses import fields, replace
from typing import Any, TypeVar

from service.estimating import Point

Thing = TypeVar("Thing")


def shifted(point: Point, by: Point) -> Point:
    """`point` moved by `by` [m]."""
    return Point(x=point.x + by.x, y=point.y + by.y, z=point.z + by.z)


def moved(thing: Thing, by: Point) -> Thing:
    """`thing` with every point of it moved by `by` [m]."""
    changes: dict[str, Any] = {}
    for field in fields(thing):  # type: ignore[arg-type]
        value = getattr(thing, field.name)
        if isinstance(value, Point):
            changes[field.name] = shifted(value, by)
        elif isinstance(value, tuple) and value and isinstance(value[0], Point):
            changes[field.name] = tuple(shifted(point, by) for point in value)
    return replace(thing, **changes)  # type: ignore[type-var]
