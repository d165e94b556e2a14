"""The diagram of a piece as marks in mm, black and white."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import groupby
from math import dist

from service.rendering.paper import Align, Circle, Line, Mark, Polygon, Text, width_of
from service.workshop.build_sheet import Diagram, Sign, Spot

_ROUND = 13.0
"""Room for numbers and marks round the piece."""

_EDGE = 2.0
_BLACK, _GARLAND, _WHITE = "#000000", "#b9bdb9", "#ffffff"
_NUMBER_OUT, _NUMBER_SIZE, _LINE, _TICK = 6.0, 11.0, 4.4, 2.6
_DEPTHS = (7.0, 12.4, 17.8, 23.2)
"""How far inside a mark stands: as near to its place as others leave room for."""
_RING = 2.5

_MOST_PINS = 10


@dataclass(frozen=True, kw_only=True, slots=True)
class Drawn:
    """Marks in a room of so much width and height."""

    width: float
    height: float
    marks: tuple[Mark, ...]


def drawn(diagram: Diagram, *, width: float, height: float) -> Drawn:
    """The diagram as large as there is room for, with what stands round it."""
    view = _View(diagram, width, height)
    marks: list[Mark] = [
        *(Polygon(view.line(line), _GARLAND, None, 3.2, closed=False) for line in diagram.garland),
        *(Polygon(view.line(line), _BLACK, None, 0.35, closed=False) for line in diagram.support),
    ]
    pins: list[tuple[float, float]] = []
    for spot in _worth_showing(diagram.spots, view):
        if spot.sign is Sign.MARK:
            pins.append(_free(view, spot, pins))
            marks += _pin(view, spot, pins[-1])
        else:
            marks += _held(view, spot) if spot.sign is Sign.HELD else _number(view, spot)
    return _cropped(marks)


def _cropped(marks: Sequence[Mark]) -> Drawn:
    left = min(_across(mark)[0] for mark in marks) - _EDGE
    right = max(_across(mark)[1] for mark in marks) + _EDGE
    top = min(mark.extent[0] for mark in marks) - _EDGE
    bottom = max(mark.extent[1] for mark in marks) + _EDGE
    moved = tuple(mark.placed(-left, -top) for mark in marks)
    return Drawn(width=right - left, height=bottom - top, marks=moved)


def _across(mark: Mark) -> tuple[float, float]:
    """Where it begins and ends from left to right."""
    if isinstance(mark, Text):
        return mark.left, mark.left + mark.width
    if isinstance(mark, Circle):
        return mark.x - mark.radius, mark.x + mark.radius
    if isinstance(mark, Polygon):
        return min(x for x, _ in mark.points), max(x for x, _ in mark.points)
    if isinstance(mark, Line):
        return min(mark.x1, mark.x2), max(mark.x1, mark.x2)
    raise TypeError(f"a diagram has no {type(mark).__name__}")


class _View:
    """Metres of the diagram in mm of the drawing."""

    def __init__(self, diagram: Diagram, width: float, height: float) -> None:
        points = [point for line in diagram.support for point in line]
        self._left = min(x for x, _ in points)
        self._top = max(y for _, y in points)
        wide = max(max(x for x, _ in points) - self._left, 1e-6)
        high = max(self._top - min(y for _, y in points), 1e-6)
        self._scale = min((width - 2 * _ROUND) / wide, (height - 2 * _ROUND) / high)

    def at(self, x: float, y: float) -> tuple[float, float]:
        """A place on the drawing."""
        across, down = (x - self._left) * self._scale, (self._top - y) * self._scale
        return across + _ROUND, down + _ROUND

    def line(self, points: Sequence[tuple[float, float]]) -> tuple[tuple[float, float], ...]:
        """A line on the drawing."""
        return tuple(self.at(x, y) for x, y in points)

    def off(self, spot: Spot, by: float) -> tuple[float, float]:
        """A place so far outside of a spot, or inside where `by` is negative."""
        x, y = self.at(spot.x, spot.y)
        return x + spot.out_x * by, y - spot.out_y * by


def _worth_showing(spots: Sequence[Spot], view: _View) -> Iterator[Spot]:
    """All but numbers that would run together, and marks in the midst of many alike."""
    numbers = [spot for spot in spots if spot.sign is Sign.NUMBER]
    yield from (spot for spot in spots if spot.sign is Sign.HELD)
    yield from _apart(numbers, view)
    marks = (spot for spot in spots if spot.sign is Sign.MARK)
    for _, group in groupby(marks, key=lambda spot: spot.text):
        alike = list(group)
        # Of many the first and the last say where they are.
        yield from alike if len(alike) <= _MOST_PINS else (alike[0], alike[-1])


def _apart(numbers: Sequence[Spot], view: _View) -> Iterator[Spot]:
    """Numbers that leave room for one another: the first, the last, and what fits between."""
    taken: list[tuple[float, float, float]] = []
    for spot in [*numbers[:1], *numbers[:0:-1][:1], *numbers[1:-1]]:
        x, y = view.off(spot, _NUMBER_OUT)
        wide = width_of(spot.text, size=_NUMBER_SIZE, bold=True)
        if all(abs(x - u) > (wide + w) / 2 + 1 or abs(y - v) > _LINE for u, v, w in taken):
            taken.append((x, y, wide))
            yield spot


def _held(view: _View, spot: Spot) -> list[Mark]:
    inner, outer = view.off(spot, -_TICK), view.off(spot, _TICK)
    return [Line(*inner, *outer, _BLACK, 0.45)]


def _number(view: _View, spot: Spot) -> list[Mark]:
    x, y = view.off(spot, _NUMBER_OUT)
    on = Circle(*view.at(spot.x, spot.y), 1.0, _BLACK, _BLACK, 0.2)
    return [on, _centred(x, y + 1.4, spot.text, _NUMBER_SIZE)]


def _pin(view: _View, spot: Spot, at: tuple[float, float]) -> list[Mark]:
    x, y = at
    return [
        Line(*view.at(spot.x, spot.y), x, y, _BLACK, 0.25),
        Circle(x, y, _RING, _BLACK, _WHITE, 0.4),
        _centred(x, y + 1.2, spot.text, 9.5),
    ]


def _centred(x: float, y: float, text: str, size: float) -> Text:
    return Text(x, y, text, size=size, bold=True, colour=_BLACK, anchor=Align.CENTRE)


def _free(view: _View, spot: Spot, taken: Sequence[tuple[float, float]]) -> tuple[float, float]:
    """The nearest place for a mark at which it hides none of the others."""
    places = [view.off(spot, -depth) for depth in _DEPTHS]
    return next(
        (at for at in places if all(dist(at, other) > 2 * _RING for other in taken)), places[-1]
    )
