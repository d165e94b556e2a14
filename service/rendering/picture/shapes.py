"""The outlines of shaped foils, as closed lines within ±1: x right, y up."""

import math
from collections.abc import Callable, Mapping
from itertools import cycle, islice

from service.rendering.picture.stencil import XY


def outline_of(name: str) -> list[XY]:
    """The outline of a shape by its plain name; a plain round one where it has none of its own."""
    shape = _SHAPES.get(name)
    return shape() if shape else _polar(lambda _: 1.0)


def _polar(radius: Callable[[float], float], points: int = 180) -> list[XY]:
    """A line round the middle; the angle begins at the top and goes to the right."""
    angles = [2 * math.pi * k / points for k in range(points)]
    return [(radius(a) * math.sin(a), radius(a) * math.cos(a)) for a in angles]


def _star() -> list[XY]:
    corners = enumerate(islice(cycle((1.0, 0.50)), 10))
    return [(r * math.sin(math.pi * k / 5), r * math.cos(math.pi * k / 5)) for k, r in corners]


def _heart() -> list[XY]:
    turns = [2 * math.pi * k / 120 for k in range(120)]
    return [(math.sin(t) ** 3, _lobes(t) / 16 + 0.15) for t in turns]


def _lobes(t: float) -> float:
    return 13 * math.cos(t) - 5 * math.cos(2 * t) - 2 * math.cos(3 * t) - math.cos(4 * t)


def _moon() -> list[XY]:
    outer = [math.radians(a) for a in range(40, 321, 5)]
    inner = [math.radians(a) for a in range(310, 49, -5)]
    return [(math.cos(a), math.sin(a)) for a in outer] + [
        (0.42 + 0.72 * math.cos(a), 0.80 * math.sin(a)) for a in inner
    ]


def _butterfly() -> list[XY]:
    return _polar(lambda a: 0.50 + 0.50 * abs(math.sin(2 * a)) ** 0.8)


def _boat() -> list[XY]:
    hull = [(1, -0.30), (0.62, -0.95), (-0.62, -0.95), (-1, -0.30)]
    return [(0.0, 1.0), (0.78, -0.12), (0.30, -0.14), (0.30, -0.30), *hull, (0.0, -0.30)]


_SHAPES: Mapping[str, Callable[[], list[XY]]] = {
    "star": _star,
    "heart": _heart,
    "moon": _moon,
    "sun": lambda: _polar(lambda a: 0.86 + 0.14 * math.cos(12 * a)),
    "flower": lambda: _polar(lambda a: 0.80 + 0.20 * math.cos(6 * a)),
    "cloud": lambda: _polar(lambda a: 0.82 + 0.16 * abs(math.cos(2.5 * a))),
    "crown": lambda: [
        *((-0.9, -0.8), (-1.0, 0.5), (-0.5, 0.0), (0.0, 0.95)),
        *((0.5, 0.0), (1.0, 0.5), (0.9, -0.8)),
    ],
    "butterfly": _butterfly,
    "boat": _boat,
}
