"""The outlines of shaped foils, as closed lines within ±1: x right, y up."""

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from itertools import cycle, islice

from service.rendering.picture.stencil import XY


@dataclass(frozen=True, kw_only=True, slots=True)
class Part:
    """A closed line that is filled, or with `hole` cut out of what was filled before it."""

    line: tuple[XY, ...]
    hole: bool = False


def outline_of(name: str) -> tuple[Part, ...]:
    """A shape by its plain name; a plain round one where it has no outline of its own."""
    return _SHAPES.get(name, _round)()


def _filled(*lines: list[XY]) -> tuple[Part, ...]:
    return tuple(Part(line=tuple(line)) for line in lines)


def _polar(radius: Callable[[float], float], points: int = 180) -> list[XY]:
    """A line round the middle; the angle begins at the top and goes to the right."""
    angles = [2 * math.pi * k / points for k in range(points)]
    return [(radius(a) * math.sin(a), radius(a) * math.cos(a)) for a in angles]


def _oval(x: float, y: float, across: float, upright: float, turn: float = 0.0) -> list[XY]:
    """An ellipse by its middle and half axes, turned to the right by so many degrees."""
    cos, sin = math.cos(math.radians(turn)), math.sin(math.radians(turn))
    places = [(across * dx, upright * dy) for dx, dy in _polar(lambda _: 1.0, 60)]
    return [(x + dx * cos + dy * sin, y - dx * sin + dy * cos) for dx, dy in places]


def _arc(radius: float, start: int, end: int, x: float = 0.0, y: float = 0.0) -> list[XY]:
    """Part of a circle; degrees from the right, upwards."""
    step = 5 if end > start else -5
    angles = [math.radians(a) for a in range(start, end + step, step)]
    return [(x + radius * math.cos(a), y + radius * math.sin(a)) for a in angles]


def _round() -> tuple[Part, ...]:
    return _filled(_polar(lambda _: 1.0))


def _star() -> tuple[Part, ...]:
    corners = enumerate(islice(cycle((1.0, 0.50)), 10))
    return _filled(
        [(r * math.sin(math.pi * k / 5), r * math.cos(math.pi * k / 5)) for k, r in corners]
    )


def _heart() -> tuple[Part, ...]:
    turns = [2 * math.pi * k / 120 for k in range(120)]
    return _filled([(math.sin(t) ** 3, _lobes(t) / 16 + 0.15) for t in turns])


def _lobes(t: float) -> float:
    return 13 * math.cos(t) - 5 * math.cos(2 * t) - 2 * math.cos(3 * t) - math.cos(4 * t)


def _moon() -> tuple[Part, ...]:
    outer = _arc(1.0, 40, 320)
    inner = [(0.42 + 0.72 * x, 0.80 * y) for x, y in _arc(1.0, 310, 50)]
    return _filled(outer + inner)


def _sun() -> tuple[Part, ...]:
    return _filled(_polar(lambda a: 0.86 + 0.14 * math.cos(12 * a)))


def _flower() -> tuple[Part, ...]:
    angles = [math.radians(90 + 72 * k) for k in range(5)]
    petals = [_oval(0.58 * math.cos(a), 0.58 * math.sin(a), 0.41, 0.41) for a in angles]
    return _filled(*petals, _oval(0, 0, 0.45, 0.45))


def _cloud() -> tuple[Part, ...]:
    puffs = ((-0.52, -0.18, 0.46), (0.02, 0.22, 0.60), (0.56, -0.12, 0.42), (0.05, -0.30, 0.40))
    return _filled(*(_oval(x, y, r, r) for x, y, r in puffs))


def _crown() -> tuple[Part, ...]:
    points = ((-0.9, -0.8), (-1.0, 0.5), (-0.5, 0.0), (0.0, 0.95), (0.5, 0.0), (1.0, 0.5))
    return _filled([*points, (0.9, -0.8)])


def _butterfly() -> tuple[Part, ...]:
    upper = [_oval(side * 0.52, 0.34, 0.44, 0.56, side * 35) for side in (-1, 1)]
    lower = [_oval(side * 0.42, -0.48, 0.34, 0.44, side * 140) for side in (-1, 1)]
    return _filled(*upper, *lower, _oval(0, -0.05, 0.12, 0.72))


def _boat() -> tuple[Part, ...]:
    hull = [(1.0, -0.30), (0.62, -0.95), (-0.62, -0.95), (-1.0, -0.30)]
    mast = [(-0.12, 1.0), (-0.12, -0.40), (0.06, -0.40), (0.06, 1.0)]
    sail = [(0.0, 1.0), (0.80, -0.14), (0.0, -0.14)]
    return _filled(hull, mast, sail)


def _book() -> tuple[Part, ...]:
    """An open one, seen from above its pages."""
    share = [k / 12 for k in range(13)]
    bulge = [0.22 * math.sin(math.pi * s) ** 0.8 for s in share]
    top = [(s, 0.48 + b) for s, b in zip(share, bulge, strict=True)]
    bottom = [(s, -0.72 + b) for s, b in zip(share, bulge, strict=True)]
    right = [*top, *reversed(bottom)]
    spine = [(-0.035, 0.62), (-0.035, -0.50), (0.035, -0.50), (0.035, 0.62)]
    left = [(-x, y) for x, y in right]
    return (*_filled(left, right), Part(line=tuple(spine), hole=True))


def _shell() -> tuple[Part, ...]:
    """A scallop: ribs that fan out from its hinge."""
    fan = [
        (r * math.sin(a), -0.62 + r * math.cos(a))
        for a in (math.radians(d) for d in range(-62, 63, 2))
        for r in (1.46 + 0.10 * abs(math.cos(7.3 * a)),)
    ]
    hinge = [(0.34, -0.62), (0.38, -0.95), (-0.38, -0.95), (-0.34, -0.62)]
    return _filled([(0.72 * x, y) for x, y in fan] + hinge)


def _rainbow() -> tuple[Part, ...]:
    bow = [*_arc(1.0, 0, 180, y=-0.5), *_arc(0.46, 180, 0, y=-0.5)]
    return _filled([(x, 1.25 * y + 0.12) for x, y in bow])


def _dove() -> tuple[Part, ...]:
    """In flight to the left, one wing up."""
    body = _oval(-0.08, -0.20, 0.62, 0.27, -8)
    head = _oval(-0.66, -0.02, 0.23, 0.22)
    beak = [(-0.82, 0.06), (-1.0, -0.06), (-0.82, -0.12)]
    wing = [(-0.36, -0.12), (-0.12, 0.62), (0.30, 0.98), (0.22, 0.60), (0.52, 0.66), (0.34, -0.10)]
    tail = [(0.36, -0.10), (1.0, 0.10), (0.94, -0.24), (0.98, -0.56), (0.36, -0.38)]
    return _filled(body, head, beak, wing, tail)


def _ring() -> tuple[Part, ...]:
    hole = Part(line=tuple(_polar(lambda _: 0.56)), hole=True)
    return (*_round(), hole)


_SHAPES: Mapping[str, Callable[[], tuple[Part, ...]]] = {
    "star": _star,
    "heart": _heart,
    "moon": _moon,
    "sun": _sun,
    "flower": _flower,
    "cloud": _cloud,
    "crown": _crown,
    "butterfly": _butterfly,
    "boat": _boat,
    "book": _book,
    "shell": _shell,
    "rainbow": _rainbow,
    "dove": _dove,
    "ring": _ring,
}
